"""The altitude, the most dangerous setting: asked for, read back digit by digit, and kept only on a yes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import doubting, forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_name
from kitchenvoice.dialogue.now import other_numbers
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.refusing import note_settings
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.reference import metres_to_feet_up
from kitchenvoice.reference.inputs import TOP_FT

__all__ = [
    "ALTITUDE",
    "altitude_prompt",
    "altitude_said",
    "altitude_words",
    "fill_altitude",
    "is_another",
    "missing_altitude",
    "set_altitude",
    "tell_altitude",
]

_FEET_PER_METER = 1 / 0.3048
_LEAST_FT = 300
"""Fewer feet are told of other things. Judgement."""


def missing_altitude(talk: Talk, form: str, values: Mapping[str, Any]) -> bool:
    """Ask for the altitude, in the cook's own unit, or read it back; false once it is settled by a yes, and kept."""
    heard, ok = values.get("altitude"), values.get("altitude_ok")
    if heard is not None and ok is None:
        prompt = altitude_prompt(talk, heard)
        forms.ask(talk, form, "altitude_ok", values, prompt, "altitude_ok", why="altitude")
        return True
    if ok is False and heard is not None and heard.get("told"):
        talk.say("confirming", "cancelled")
        return True
    if heard is None or ok is False:
        if ok is False:
            talk.say("altitude", "altitude_wrong")
        key = "ask_altitude_m" if talk.profile.units == "metric" else "ask_altitude"
        known = {**values, "altitude": None, "altitude_ok": None}
        forms.ask(talk, form, "altitude", known, talk.language.say("altitude", key), "altitude", why="altitude")
        return True
    feet = int(heard["feet"])
    talk.profile = replace(talk.profile, altitude_ft=feet)
    talk.control("altitude", feet=feet)
    return False


def fill_altitude(talk: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    """Return the changes that an answer about the altitude makes, `None` if it was none."""
    if frame.values["slot"] == "altitude_ok" and heard.intent in ("yes", "no"):
        return {"altitude_ok": heard.intent == "yes"}
    if heard.intent == "skip" and heard.slots.get("unknown"):
        talk.say("setup", "altitude_where")
        return {}
    said = altitude_said(talk, heard)
    low = said is not None and heard.slots.get("said_in") is None and said["feet"] < _LEAST_FT
    if low and any(load.claims and load.process.is_dial for load in talk.kitchen.open_loads):
        talk.obey(Heard("pressure_is", {"pressure": heard.slots["value"]}, heard.text, talk.t))  # off a gauge
        return {}
    return None if said is None else {"altitude": said, "altitude_ok": None}


def altitude_said(talk: Talk, heard: Heard) -> Mapping[str, Any] | None:
    """Return an altitude in feet, and whether it was said in meters; `None` if it was none. A bare number is in the
    kitchen's own unit."""
    said = heard.slots.get("altitude_ft", heard.slots.get("value"))
    if heard.intent not in ("number", "set_altitude") or not isinstance(said, int | float):
        return None
    in_meters = heard.slots.get("said_in") is None and talk.profile.units == "metric"
    feet = metres_to_feet_up(said) if in_meters else math.ceil(said)
    return {"feet": feet, "meters": _in_meters(talk, feet, heard), "told": heard.slots.get("told") is not None}


def altitude_prompt(talk: Talk, heard: Mapping[str, Any]) -> str:
    """Read an altitude back digit by digit, in meters too if it was said so; one told in passing may be elsewhere."""
    key, in_meters = (
        ("altitude_told", "altitude_told_m") if heard.get("told") else ("altitude_heard", "altitude_heard_m")
    )
    feet = int(heard["feet"])
    said = {"altitude": talk.language.altitude(feet), "digits": talk.language.digits(feet)}
    if not heard["meters"]:
        return talk.language.say("altitude", key, said)
    meters = _whole_meters(feet)
    said |= {"meters": talk.language.counted(meters, "meter"), "meter_digits": talk.language.digits(meters)}
    return talk.language.say("altitude", in_meters, said)


def altitude_words(talk: Talk, feet: int) -> str:
    """Say an altitude in feet, and in meters first where they are the kitchen's."""
    altitude = talk.language.altitude(feet)
    if talk.profile.units == "metric" and feet:
        return f"{talk.language.counted(_whole_meters(feet), 'meter')}, {altitude}"
    return altitude


def _whole_meters(feet: int) -> int:
    """Return the meters that come back as they were said."""
    return math.floor(feet / _FEET_PER_METER + 1e-6)


def _in_meters(talk: Talk, feet: int, heard: Heard) -> bool:
    unit = heard.slots.get("said_in")
    return bool(feet) and (unit == "meters" or (unit is None and talk.profile.units == "metric"))


def is_another(talk: Talk, heard: Heard) -> bool:
    """True if an altitude isn't the one that is set, and may be one of a kitchen."""
    said = altitude_said(talk, heard)
    feet = None if said is None else said["feet"]
    return feet is not None and feet != talk.profile.altitude_ft and (feet == 0 or feet >= _LEAST_FT)


def set_altitude(talk: Talk, heard: Heard) -> None:
    """Take an altitude that was said in one sentence; what was being put together goes on with it."""
    said = altitude_said(talk, heard)
    if said is not None:
        doubting.keep(talk, "of_altitude", talk.kitchen.open_loads, heard.text)  # till it is confirmed
        missing_altitude(talk, "altitude", {"altitude": said})


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    if not missing_altitude(talk, "altitude", values):
        doubting.explained(talk, kind="of_altitude")
        tell_altitude(talk, int(values["altitude"]["feet"]))


def _fill(talk: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    said = fill_altitude(talk, frame, heard)
    return None if said is None else {**frame.values, **said}


def _dropped(talk: Talk, _: Frame) -> str:
    """Drop the load that was put together as well: its altitude is in question."""
    started = [each for each in talk.parked if each.about == "load_start"]
    talk.parked = tuple(each for each in talk.parked if each not in started)
    return talk.language.say(*(("starting", "dropped") if started else ("confirming", "cancelled")))


ALTITUDE = Form(_fill, _go_on, _dropped, frozenset({"number", "set_altitude", "skip", "yes", "no"}))
"""The altitude alone."""


def tell_altitude(talk: Talk, feet: int) -> None:
    """Say what is set now, and which open loads were set for another altitude."""
    other = [load for load in talk.kitchen.open_loads if load.processed_t is None and other_numbers(talk, load)]
    names = talk.language.listed([load_name(talk, load) for load in other], "and")
    kept = talk.language.say("altitude", "loads_of_another_altitude", loads=capital(names)) if other else ""
    altitude = altitude_words(talk, feet)
    high = talk.language.say("altitude", "altitude_too_high") if feet > TOP_FT else ""
    talk.say("altitude", "altitude_set", altitude=altitude, kept="".join(f" {each}" for each in (high, kept) if each))
    note_settings(talk)
