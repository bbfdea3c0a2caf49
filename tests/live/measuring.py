"""How long the cook waits: from the last sample of her sentence in the room to the first one of the answer.

Both are taken from recordings of the virtual sound card, so the sound server's own delays are in it; a real room adds
nothing that could be measured here.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import sys
import tempfile
from pathlib import Path

from kitchenvoice.rehearsal.cook import DEMO_COOK, voice

from .kitchen import Kitchen, Recording

SENTENCES = (
    "kitchen voice where are we",
    "kitchen voice how much time is left",
    "kitchen voice how much salt",
    "kitchen voice pressure is eleven",
    "kitchen voice set a timer for five minutes",
    "kitchen voice stop the timer",
)


def measure(kitchen: Kitchen, count: int) -> list[tuple[str, float]]:
    """Say sentence after sentence; return how long each waited for its answer, in seconds."""
    kitchen.set_pace(230, "brief")
    kitchen.start()
    kitchen.speaker.wait_quiet(0.0)
    room = Recording(kitchen.environment, "room.monitor")
    waits = []
    for number in range(count):
        sentence = SENTENCES[number % len(SENTENCES)]
        before = room.pieces[-1][0]
        kitchen.say(voice(DEMO_COOK).say(sentence))
        over = room.loud_times(before)[-1]
        waits.append((sentence, kitchen.speaker.wait_loud(over, 15.0) - over))
        kitchen.speaker.wait_quiet(over)
    room.close()
    return waits


def main(arguments: list[str] | None = None) -> int:
    """Measure and print one JSON object: median, 95th percentile and worst, in seconds."""
    parser = argparse.ArgumentParser(prog="scripts/bench_session", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--count", type=int, default=18, help="how many sentences")
    given = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        kitchen = Kitchen(Path(folder))
        try:
            waits = measure(kitchen, given.count)
        finally:
            kitchen.close()
    seconds = sorted(wait for _, wait in waits)
    told = {
        "n": len(seconds),
        "median_s": round(statistics.median(seconds), 3),
        "p95_s": round(seconds[min(len(seconds) - 1, round(0.95 * len(seconds)))], 3),
        "worst_s": round(seconds[-1], 3),
        "load_average": round(os.getloadavg()[0], 1),
        "each_s": {sentence: round(wait, 3) for sentence, wait in waits[: len(SENTENCES)]},
    }
    sys.stdout.write(json.dumps(told) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
