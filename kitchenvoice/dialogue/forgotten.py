"""Loads that were left open and come back after a day or more: told once at a start, with what may still be done.

Nobody can vouch for a pressure after so long, so that isn't asked. A load without a full hold has lost its food: a jar
that failed may be processed again, refrigerated or frozen within a published number of hours only. One that was held in
full waits for its count, or is closed without it. The cook decides; a no leaves it open, until the next such start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kitchenvoice.dialogue import frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_by_number
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.process import Load, Stage
from kitchenvoice.reference import rules

__all__ = ["COUNTS", "ask_forgotten", "close_it", "count_it", "leave_it"]

_COUNTED_LATE_S = 48 * 3600.0
"""A load that was held may stand this long uncounted before it counts as forgotten: the rest alone takes up to a day.
Common practice, no source."""
_DAY_S = 86_400.0
COUNTS = frozenset({"seal_count", "all_sealed"})
"""What counts the seals."""


def ask_forgotten(talk: Talk, off_s: float | None) -> None:
    """Ask about each forgotten load in turn. `off_s` is how long nobody reported anything."""
    loads = [load.id for load in talk.kitchen.open_loads if off_s is not None and _forgotten(load, off_s)]
    _ask(talk, loads, off_s or 0.0)


def _forgotten(load: Load, off_s: float) -> bool:
    late_s = 3600.0 * rules().failed_seal_hours.value if load.processed_t is None else _COUNTED_LATE_S
    return off_s >= late_s


def _ask(talk: Talk, loads: Sequence[int], off_s: float) -> None:
    load = next((load for load in talk.kitchen.open_loads if load.id in loads), None)
    if load is None:
        return
    hours = talk.language.number(rules().failed_seal_hours.value)
    told = {"load": _name(talk, load), "off": _ago(talk, off_s), "hours": hours, "attention": talk.profile.attention}
    prompt = talk.language.say("forgotten", f"forgotten_{_state(load)}", told)
    frame = Frame(kind="yes_no", about="forgotten", expects="yes_no", prompt=prompt, load=load.id, kept=load.doubt)
    rest = [each for each in loads if each != load.id]
    frames.ask(talk, replace(frame, values={"rest": rest, "off_s": off_s}))


def _name(talk: Talk, load: Load) -> str:
    return capital(load_by_number(talk, load))


def _next(talk: Talk, frame: Frame) -> None:
    _ask(talk, frame.values["rest"], frame.values["off_s"])


def close_it(talk: Talk, frame: Frame) -> None:
    """Close the load as it is."""
    load = talk.kitchen.load(frame.load)
    if load is not None:
        talk.record("load_close" if load.stage is Stage.KEEP else "load_given_up", load.id)
        if load.sealed is None:
            talk.say("forgotten", "forgotten_closed", load=_name(talk, load))
    _next(talk, frame)


def leave_it(talk: Talk, frame: Frame) -> None:
    """Leave the load open; what nobody watched is lost."""
    load = talk.kitchen.load(frame.load)
    for doubt in () if load is None else load.doubts:
        talk.record("doubt_settled", frame.load, doubt=doubt.id, lost=(frame.load,), by="forgotten")
    if load is not None:
        talk.say("forgotten", "forgotten_left", load=_name(talk, load))
    _next(talk, frame)


def count_it(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take a count instead of the answer."""
    load = talk.kitchen.load(frame.load)
    if heard.intent not in COUNTS or load is None or load.stage not in (Stage.REST, Stage.COUNT):
        return False
    frames.close(talk, frame)
    talk.obey(replace(heard, of=load.id))
    if talk.question is None:
        _next(talk, frame)
    return True


def _state(load: Load) -> str:
    if load.processed_t is None:
        return "raw"
    if load.stage in (Stage.HOLD, Stage.COOL):
        return "unopened"
    if load.sealed is None:
        return "uncounted"
    return "undecided" if load.undecided else "counted"


def _ago(talk: Talk, off_s: float) -> str:
    days = round(off_s / _DAY_S)
    if days > 1:
        return talk.language.phrase("names", "days_ago", days=talk.language.number(days))
    return talk.language.phrase("names", "over_a_day_ago")
