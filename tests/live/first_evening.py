"""The first evening and a practice day, spoken: a synthetic cook under a hood, the real program, an empty home.

Real time: about five minutes an evening, ten a practice day. Fails if the kitchen isn't known as it was
told, or if the cook doesn't get to a first load, or to the report of the practice.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kitchenvoice.kitchen.profile import Canner, Profile, load_profile
from kitchenvoice.rehearsal.cook import voice

from .kitchen import Kitchen, Program
from .spoken_cook import Answer, AnswerBook, Hood, SpokenCook

ALTITUDE_FT = 900
CANNER = {
    "gauge": "dial",
    "capacity": {"quart": 7, "pint": 18},
    "layers": {"pint": 2},
    "dial_error_psi": 0.5,
}
_LOAD = "start seven quarts of green beans raw pack"


def evening() -> AnswerBook:
    """Return the answers: the altitude is wrong at first, and put right at the read-back."""
    altitudes = iter(("fifteen hundred feet", *["nine hundred feet"] * 9))

    def right(text: str) -> str:
        heard = (
            "Nine hundred feet. Nine zero zero",
            "From now on, pantry please",
            "half a pound high. Is that",
            "Seven quarts of green beans, raw pack, in canner one, dial gauge, at nine hundred feet",
        )
        return "yes" if any(each in text for each in heard) else "no"

    return AnswerBook(
        (
            ("in feet and pounds, or", "feet and pounds"),
            ("What is your altitude", lambda _: next(altitudes)),
            ("How many pressure canners", "one"),
            ("a dial gauge, or a weighted", "dial gauge"),
            ("How many quart jars", "seven quarts"),
            ("How many pints", "eighteen"),
            ("In how many layers", "two layers"),
            ("last tested", "june"),
            ("What did the test find", "half a pound high"),
            ("Which jars do you use", "pints"),
            ("Which words shall I answer to", "pantry please"),
            ("Shall I say everything", "everything"),
            ("say: start a load", "start a load"),
            ("Now say .*, start a load", lambda text: f"{re.findall('Now say (.*), start', text)[-1]} {_LOAD}"),
            ("Is that right", right),
        ),
        {
            "seven quarts": "Seven quarts.",
            "eighteen": "Eighteen pints",
            "june": "Tested in June",
            "dial gauge": "Dial gauge.",
            "pints": "Pints.",
        },
    )


def practice() -> AnswerBook:
    """Return the reports of a day on which nothing is hot: the sights as told, and the wish of each step."""

    def gauge(text: str) -> str:
        return f"kitchen voice pressure is {text.rsplit('The gauge reads ', 1)[1].split('.')[0]}"

    def seals(text: str) -> str:
        count = text.rsplit("press the lids. ", 1)[1].split()[0].lower()
        return f"kitchen voice {count} sealed and one failed"

    done = {
        "say clear": "clear",
        "Say clear": "clear",
        "Say done": "done",
        "Salt if you like|Fill each jar|Let the bubbles out": "next",
        "say jars are in": "seven jars are in",
        "Say lid is locked": "lid is locked",
        "weight is on": "weight is on",
        "heat is off": "heat is off",
        "lid is off": "the lid is off",
        "jars are out\\.": "jars are out",
        "a jar that failed say": "put it in the refrigerator",
        "say close the load": "close the load",
    }
    steps: list[tuple[str, Answer]] = [(asked, f"kitchen voice {words}") for asked, words in done.items()]
    seen: list[tuple[str, Answer]] = [
        ("it is steady\\.|You see: The steam is steady again", "kitchen voice steam is steady"),
        ("The steam has stopped", "kitchen voice the steam stopped"),
        ("You see: The gauge reads", gauge),
        ("You see: The gauge is at zero", "kitchen voice the gauge is at zero"),
        ("One jar lies broken", "kitchen voice a jar broke"),
        ("one springs back", seals),
        ("are down for good\\.", "kitchen voice all sealed"),
    ]
    hello = ("This is practice", f"kitchen voice {_LOAD}")
    return AnswerBook((hello, *steps, *seen, ("Is that right", "yes")))


def play(folder: Path, who: str, below_db: float, *, practising: bool, show: Callable[[str], None]) -> dict[str, Any]:
    """Play one of them; return what was counted."""
    kitchen = Kitchen(folder)
    hood = Hood(kitchen, below_db)
    try:
        (kitchen.home / "profile.toml").unlink()
        verb, *more = ["practice", "--speed", "600", "--seed", "7"] if practising else ["start"]
        program = Program(kitchen.home, kitchen.environment, verb, *more)
        kitchen.programs.append(program)
        cook = SpokenCook(kitchen, program, voice(who), show)
        book = practice() if practising else evening()
        begun_t = time.perf_counter()
        end = {"who": "report", "event": "end"} if practising else {"who": "log", "event": "load_start"}
        cook.converse(book, lambda: bool(program.lines(0.0, **end)), 1500.0 if practising else 900.0)
        report = "" if not practising else program.wait_line(who="report", event="end")["text"]
        return {
            "voice": who,
            "minutes": round((time.perf_counter() - begun_t) / 60, 1),
            "said": cook.spoken,
            "again": cook.repeated,
            "corrected": book.corrections,
            "wrong": [] if practising else wrong_in(load_profile(kitchen.home)),
            "report": report,
        }
    finally:
        hood.close()
        kitchen.close()


def wrong_in(profile: Profile) -> list[str]:
    """Name the answers that the profile doesn't hold as they were meant."""
    canner = profile.canner(1) or Canner(number=1)
    pairs = {name: (getattr(canner, name), wanted) for name, wanted in CANNER.items()}
    pairs |= {"altitude": (profile.altitude_ft, ALTITUDE_FT), "attention": (profile.attention, "pantry please")}
    pairs |= {"jar": (profile.usual_jar, "pint"), "month": (getattr(canner.dial_tested, "month", None), 6)}
    return [f"{name}: {known}, not {wanted}" for name, (known, wanted) in pairs.items() if known != wanted]


def _show(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> int:
    """Play it with each voice."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--voice", action="append", help="flite rms and flite slt unless named; may be given again")
    parser.add_argument("--below", type=float, default=15.0, help="the hood's noise below the voice, in dB (15)")
    parser.add_argument("--practice", action="store_true", help="the practice day instead of the evening")
    options = parser.parse_args()
    failed = False
    for who in options.voice or ("flite rms", "flite slt"):
        with tempfile.TemporaryDirectory() as folder:
            done = play(Path(folder), who, options.below, practising=options.practice, show=_show)
        failed = failed or bool(done["wrong"])
        sys.stdout.write(f"{done}\n")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
