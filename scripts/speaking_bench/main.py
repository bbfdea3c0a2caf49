"""Speaking bench: intelligibility of voices and rates in noise, and barge-in.

    scripts/bench_speaking [--short] [--only voice|barge-in]

Prints Markdown; results are copied into tests/bench/speaking.md by hand, with their interpretation. About four minutes
for the voices and ten for barge-in on an idle core; --short takes two minutes.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.hearing import StopWordSpotter, VoskRecogniser, verified_model
from kitchenvoice.speaking import NeuralSynthesiser, Pyttsx3Synthesiser
from speaking_bench import barge_in, report
from speaking_bench.echo_room import EchoRoom
from speaking_bench.intelligibility import Cell, measured

PACES_WPM = (130, 150, 165, 180, 200, 230)
VOICES = ("gmw/en-us", "gmw/en", "gmw/en-gb-x-rp")
GAINS_DB = (0.0, -6.0, -12.0)
ECHOES_DB = (-12.0, -6.0)


def voices(recogniser: VoskRecogniser) -> Iterator[tuple[str, list[Cell]]]:
    """Measure rates with the default voice, then voices at the usual rate."""
    yield (
        "pace, voice en-us",
        [measured(f"{pace} words a minute", Pyttsx3Synthesiser(pace), recogniser) for pace in PACES_WPM],
    )
    cells = [measured(name, Pyttsx3Synthesiser(165, name), recogniser) for name in VOICES]
    with suppress(VoiceMissing):
        cells.append(measured("neural (extra voice)", NeuralSynthesiser(165), recogniser))
    yield "voice, 165 words a minute", cells


def main() -> None:
    """Do what the command line says."""
    parser = argparse.ArgumentParser(prog="scripts/bench_speaking", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--short", action="store_true", help="fewer tries and minutes")
    parser.add_argument("--only", choices=("voice", "barge-in"), help="one half of it")
    given = parser.parse_args()
    model = verified_model()
    if given.only != "barge-in":
        for title, cells in voices(VoskRecogniser(model)):
            print("\n".join(report.clearness(title, cells)), flush=True)
    if given.only == "voice":
        return

    def make() -> StopWordSpotter:
        recogniser = VoskRecogniser(model)
        return StopWordSpotter(recogniser, "kitchen voice", knows=recogniser.knows)

    voice, own, stops = Pyttsx3Synthesiser(165), {}, {}
    for echo_db in ECHOES_DB:
        room = f"echo {echo_db:g} dB"
        own[room] = barge_in.own_voice(make, EchoRoom(echo_db, 2), voice, 3.0 if given.short else 30.0)
        for gain_db in GAINS_DB[: 1 if given.short else 3]:
            count = 14 if given.short else 63
            stops[room, gain_db] = barge_in.stopping(make, EchoRoom(echo_db, 1), voice, count, gain_db)
    print("\n".join(report.barge_in(own, stops, GAINS_DB)))


if __name__ == "__main__":
    main()
