"""Asking for what is missing: one form for all that is put together from several answers.

A form is a table of what is known and the slot that is asked. `go_on` asks for the first thing missing, or is done;
`fill` turns an answer into what it changes, and whatever else was said with it is filled in as well. Forms are kept
over commands on the way, "cancel" drops them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame, Kind, Values
from kitchenvoice.dialogue.turn import Heard

__all__ = ["FORM", "adding", "ask", "chosen", "food_begun", "whole"]

_NO_NUMBER = frozenset({"food", "pack", "jar", "method", "gauge", "option"})
"""Slots that no number fills."""


def ask(
    talk: Talk,
    form: str,
    slot: str,
    values: Values,
    prompt: str,
    expects: str,
    *,
    load: int | None = None,
    said: Heard | None = None,
    kept: bool = True,
    spoken: bool = True,
    why: str = "",
) -> None:
    """Ask for one slot of a form; `why` names the reason that is told on request."""
    told = {**values, "slot": slot, "why": why}
    frame = Frame(kind="form", about=form, expects=expects, prompt=prompt, load=load, said=said, values=told, kept=kept)
    frames.ask(talk, frame, spoken=spoken)


def food_begun(talk: Talk) -> str | None:
    """Return the food that a question is about that waits for an answer; `None` if none is."""
    asked = (each for each in (talk.question, *talk.parked) if each is not None and each.kind == "form")
    return next((str(each.values["food"]) for each in asked if each.values.get("food") is not None), None)


def chosen(heard: Heard, *slots: str) -> Values | None:
    """Return the values said for these slots, `None` if none was."""
    said = {name: heard.slots[name] for name in slots if heard.slots.get(name) is not None}
    return said if said and heard.intent in ("choice", "number") else None


def adding(*slots: str) -> Callable[[Talk, Frame, Heard], Values | None]:
    """Fill a form by adding what is said of these slots to what is known."""

    def fill(_: Talk, frame: Frame, heard: Heard) -> Values | None:
        said = chosen(heard, *slots)
        return None if said is None else {**frame.values, **said}

    return fill


def whole(value: Any) -> int | None:
    """Return a whole number, `None` for anything else."""
    return int(value) if isinstance(value, int | float) and value == int(value) else None


def _off_a_gauge(talk: Talk, frame: Frame, heard: Heard) -> Heard | None:
    """Return a bare number as a reading where the slot takes none and one dial gauge is watched."""
    said = {name: value for name, value in heard.slots.items() if value is not None}
    dials = [load for load in talk.kitchen.open_loads if load.holding and load.process.is_dial]
    if (
        frame.values["slot"] not in _NO_NUMBER
        or len(dials) != 1
        or len(said) != 1
        or not said.keys() & {"count", "value"}
    ):
        return None
    return replace(heard, intent="pressure_is", slots={"pressure": float(next(iter(said.values())))}, of=dials[0].id)


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    reading = _off_a_gauge(talk, frame, heard)
    if reading is not None:
        talk.obey(reading)
        return True
    form = talk.forms[frame.about]
    values = form.fill(talk, frame, heard)
    if values is None:
        return False
    frames.close(talk, frame)
    form.go_on(talk, frame, values)
    return True


def _again(talk: Talk, frame: Frame) -> None:
    """Ask by what is so now: a setting or the clock may have moved on."""
    form = talk.forms[frame.about]
    if form.again:
        form.go_on(talk, frame, {**frame.values, "again": True})
    else:
        frames.ask(talk, frame)


def _lapse(talk: Talk, frame: Frame) -> None:
    lapsed = talk.forms[frame.about].lapsed
    if lapsed is not None:
        lapsed(talk, frame)


def _cancel(talk: Talk, frame: Frame) -> None:
    dropped = talk.forms[frame.about].dropped
    talk.speak(talk.language.say("confirming", "cancelled") if dropped is None else dropped(talk, frame))


FORM = Kind(
    _take, lambda _, frame: frame.prompt, _lapse, _cancel, lambda talk, frame: talk.forms[frame.about].intents, _again
)
"""A form with one slot asked."""
