"""Answers and reports that name a pressure, compared with the targets: a word beside it may say less or more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import doubting, frames
from kitchenvoice.dialogue.belonging import steaming
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Stage

__all__ = [
    "ask_for_yes_or_no",
    "ask_hedged",
    "begins",
    "by_number",
    "falls",
    "of_its_gauge",
    "says_well",
    "stands_above",
]

_YES_OR_NO = frozenset({"yes_no", "load_ok"})


def says_well(question: Frame | None, intent: str) -> bool:
    """True if that answer is the one that lets all go on."""
    denied = question is not None and question.kind == "loss" and question.about not in doubting.YES_HELD
    denied = denied or (question is not None and question.values.get("told") is True)
    return question is not None and intent == ("no" if denied else "yes")


def by_number(talk: Talk, question: Frame | None, heard: Heard) -> Heard:
    """Return a yes whose pressure is below the target as a no: "it stayed above nine"."""
    load = talk.kitchen.load(None if question is None else question.load)
    target, psi = (load.process.target_psi if load is not None else None), heard.slots.get("pressure")
    if question is not None and question.values.get("told"):
        return heard
    below = target is not None and psi is not None and psi < target
    return replace(heard, intent="no", slots={}) if heard.intent == "yes" and below else heard


def of_its_gauge(question: Frame | None, heard: Heard) -> Heard:
    """Return a bare number as the reading of the gauge that was asked about."""
    if question is None or heard.intent != "number" or not question.of_stove:
        return heard
    return replace(heard, intent="pressure_is", slots={"pressure": heard.slots["value"]}, of=question.load)


def falls(talk: Talk, heard: Heard) -> bool:
    """True if it is a pressure below the target of a hold, or heat that is off: taken from whoever says it."""
    if heard.intent == "heat_off":
        return bool(talk.kitchen.claiming)
    psi = heard.slots.get("pressure", heard.slots.get("value"))
    targets = [load.process.target_psi or 0 for load in talk.kitchen.open_loads if load.holding]
    return isinstance(psi, int | float) and any(psi < target for target in targets)


def stands_above(talk: Talk, slots: Mapping[str, Any]) -> bool:
    """Tell whether a pressure is one or more above the target of every dial gauge: then "about" leaves nothing open."""
    psi = slots.get("pressure", slots.get("value"))
    dials = [load for load in talk.kitchen.open_loads if load.process.is_dial]
    up = bool(dials) and all(load.stage in (Stage.COME_UP, Stage.HOLD) for load in dials)
    return up and isinstance(psi, int | float) and all(psi >= (load.process.target_psi or 0) + 1 for load in dials)


def begins(talk: Talk, heard: Heard) -> bool:
    """Tell whether more than the number hangs on how sure it is: not on a pressure that stands above, nor on one that
    isn't zero and that no load waits for."""
    psi = heard.slots.get("pressure", heard.slots.get("value"))
    if not isinstance(psi, int | float):
        return True
    waits = [load for load in talk.kitchen.open_loads if load.stage not in (Stage.COME_UP, Stage.COOL)]
    ups = [load for load in talk.kitchen.open_loads if load.process.is_dial and load.stage is Stage.COME_UP]
    waits += [load for load in ups if psi >= (load.process.target_psi or 0)]
    return not stands_above(talk, heard.slots) and (psi == 0 or bool(waits) or heard.intent != "pressure_is")


def ask_hedged(talk: Talk, question: Frame | None, intent: str) -> bool:
    """Ask again for an unsure yes or no that lets all go on, or is of a loss; tell whether it is asked."""
    if question is None or not (says_well(question, intent) or (question.kind == "loss" and intent in ("yes", "no"))):
        return False
    return ask_for_yes_or_no(talk, question, None)


def ask_for_yes_or_no(talk: Talk, question: Frame, about: object) -> bool:
    """Ask again where what isn't so may be a yes or a no ("the pressure didn't drop"); tell whether it may."""
    if question.expects not in _YES_OR_NO or question.passive:
        return False
    if about == "steam":  # of what wasn't asked about it says something, whatever it says of this
        this = question.load if question.about in ("steam_stopped", "in_question", "gap") else None
        doubting.put_in_question(talk, "", [load for load in steaming(talk) if load.id != this])
    talk.say("checks", "yes_or_no", prompt=frames.words(talk, question))
    frames.wait_on(talk, question)
    return True
