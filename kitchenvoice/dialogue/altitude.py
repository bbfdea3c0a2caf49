"""The altitude, the most dangerous setting: asked for, read back digit by digit, and kept only on a yes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_name
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.language import capital
from kitchenvoice.reference import metres_to_feet_up

__all__ = ["ask_altitude", "confirm_altitude", "feet_of", "set_altitude", "tell_altitude"]

_FEET_PER_METER = 1 / 0.3048


def ask_altitude(talk: Talk, then: Callable[[int], None]) -> None:
    """Ask for the altitude in her own unit; `then` gets it in feet after her yes."""

    def answer(heard: Heard) -> bool:
        feet = feet_of(talk, heard)
        if feet is None:
            return False
        confirm_altitude(talk, feet, heard, then, lambda: ask_altitude(talk, then))
        return True

    key = "ask_altitude_m" if talk.profile.units == "metric" else "ask_altitude"
    question = Question("altitude", talk.language.say("start", key), answer, frozenset({"number", "set_altitude"}))
    question.confirms = True
    question.keep, question.why = True, talk.language.say("whys", "altitude")
    question.dropped = talk.language.say("start", "dropped")
    talk.ask(question)


def feet_of(talk: Talk, heard: Heard) -> int | None:
    """Return what she said in feet, `None` if it was no altitude. A bare number is in her own unit."""
    said = heard.slots.get("altitude_ft", heard.slots.get("value"))
    if heard.intent not in ("number", "set_altitude") or not isinstance(said, int | float):
        return None
    bare = heard.slots.get("said_in") is None
    return metres_to_feet_up(said) if bare and talk.profile.units == "metric" else math.ceil(said)


def confirm_altitude(
    talk: Talk, feet: int, heard: Heard, then: Callable[[int], None], again: Callable[[], None]
) -> None:
    """Read the altitude back digit by digit, in meters too if it was said so; keep it only on a yes."""

    def yes() -> None:
        talk.profile = replace(talk.profile, altitude_ft=feet)
        talk.control("altitude", feet=feet)
        then(feet)

    def no() -> None:
        talk.say("start", "altitude_wrong")
        again()

    said = {"altitude": talk.language.altitude(feet), "digits": talk.language.digits(feet)}
    key = "altitude_heard"
    if _in_meters(talk, feet, heard):
        meters = math.floor(feet / _FEET_PER_METER + 1e-6)  # whole meters come back as they were said
        key = "altitude_heard_m"
        said |= {"meters": talk.language.counted(meters, "meter"), "meter_digits": talk.language.digits(meters)}
    why = talk.language.say("whys", "altitude")
    talk.ask_yes_no(talk.language.say("start", key, said), yes, no, keep=True, why=why)


def _in_meters(talk: Talk, feet: int, heard: Heard) -> bool:
    unit = heard.slots.get("said_in")
    return bool(feet) and (unit == "meters" or (unit is None and talk.profile.units == "metric"))


def set_altitude(talk: Talk, heard: Heard) -> None:
    """Take an altitude that was said in one sentence; a load that was being put together goes on with it."""
    before = talk.question

    def then(feet: int) -> None:
        tell_altitude(talk, feet)
        if before is not None and before.again is not None and not before.at_stake:
            before.again()

    feet = feet_of(talk, heard)
    if feet is not None:
        confirm_altitude(talk, feet, heard, then, lambda: ask_altitude(talk, then))


def tell_altitude(talk: Talk, feet: int) -> None:
    """Say what is set now, and which open loads were set for another altitude."""
    other = [load for load in talk.kitchen.open_loads if load.process.altitude_ft != feet and load.processed_t is None]
    names = talk.language.listed([load_name(talk, load) for load in other], "and")
    kept = talk.language.say("start", "loads_of_another_altitude", loads=capital(names)) if other else ""
    talk.say("start", "altitude_set", altitude=talk.language.altitude(feet), kept=f" {kept}" if kept else "")
