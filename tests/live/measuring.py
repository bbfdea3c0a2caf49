"""How long the cook waits: from the last sample of a sentence in the room to the first one of the answer.

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
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Wait:
    """One sentence: seconds from its last sample until it was understood, and until its answer began to sound.

    `understood_s` is `None` if nothing was taken; then the answer is a question what was said.
    """

    sentence: str
    understood_s: float | None
    sound_s: float


def measure(kitchen: Kitchen, count: int) -> list[Wait]:
    """Say sentence after sentence; return how long each waited for its answer, if it got one."""
    kitchen.set_pace(230, "brief")
    program = kitchen.start()
    kitchen.speaker.wait_quiet(0.0)
    room = Recording(kitchen.environment, "room.monitor")
    waits = []
    for number in range(count):
        sentence = SENTENCES[number % len(SENTENCES)]
        before = room.pieces[-1][0]
        kitchen.say(voice(DEMO_COOK).say(sentence))
        over = room.loud_times(before)[-1]
        try:
            sound_s = kitchen.speaker.wait_loud(over, 8.0) - over
        except AssertionError:
            continue  # it took the sentence for nobody's: there is no answer to wait for
        heard = [t - over for t, line in program.pieces if t > over and line.get("who") == "heard" and line["event"]]
        waits.append(Wait(sentence, heard[0] if heard else None, sound_s))
        kitchen.speaker.wait_quiet(over)
    room.close()
    return waits


def spread(seconds: list[float]) -> dict[str, float]:
    """Return median, 95th percentile and worst of sorted times."""
    at_95 = min(len(seconds) - 1, round(0.95 * len(seconds)))
    values = {"median_s": statistics.median(seconds), "p95_s": seconds[at_95], "worst_s": seconds[-1]}
    return {name: round(value, 3) for name, value in values.items()}


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
    told = {
        "n": len(waits),
        "unanswered": given.count - len(waits),
        **spread(sorted(wait.sound_s for wait in waits)),
        "understood": spread(sorted(wait.understood_s for wait in waits if wait.understood_s is not None)),
        "understood_to_sound": spread(
            sorted(wait.sound_s - wait.understood_s for wait in waits if wait.understood_s is not None)
        ),
        "load_average": round(os.getloadavg()[0], 1),
        "each_s": [[wait.sentence, wait.understood_s, round(wait.sound_s, 3)] for wait in waits],
    }
    sys.stdout.write(json.dumps(told) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
