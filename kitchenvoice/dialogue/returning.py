"""What is back at pressure or at a boil: typed words that say so, where a hold was lost or it is asked whether it was.

Whatever is back was away: over the question about a loss that is a yes to it, and after one the hold starts anew.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import frames
from kitchenvoice.dialogue.checks import HELD_AND_LOST
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.replies import Wants, says
from kitchenvoice.dialogue.statements import MOST_PSI
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that
from kitchenvoice.process import Load, Stage
from kitchenvoice.reference.nearness import asks

__all__ = ["OF_A_LOSS", "is_of", "returned", "starts"]

OF_A_LOSS = intents_that("loss") | {"in_question", "gap", "unheard", "low_number"}
"""Doubts about a loss, to which what is back is an answer."""
_MAY_BE = {None, "yes", "no", "fine"} | intents_that("well")
_UNSURE = ("limits", "hoped", "to_come", "puts_right")
"""Kinds of words beside what is back by which it may not be so."""


def returned(talk: Talk, said: Understanding, text: str) -> Understanding | None:
    """Return that it is back, if the last part of a typed text says so and no other leaves that open."""
    if said.intent not in _MAY_BE or asks(without_name(talk, text)) or not talk.language.table("awaited"):
        return None
    text = text.lower().removeprefix(talk.profile.attention)
    parts = re.split(talk.language.table("awaited")["between"], text)
    *others, last = [each for each in parts if talk.language.unheard("filler", each)] or [""]
    if any(talk.language.hears(each, part) for part in others for each in _UNSURE):
        return None
    slots = next((found for load, lost in _away(talk) if (found := _back(talk, load, last, lost=lost))), None)
    return None if slots is None else replace(said, intent="back_at", slots=slots, reject_reason=None, unsure=None)


def is_of(load: Load, heard: Heard) -> bool:
    """True if what is back may be the pressure or boil of this load, or its heat."""
    psi, again = heard.slots.get("pressure"), heard.slots.get("again")
    if psi is not None:
        return load.process.is_dial and psi >= (load.process.target_psi or 0)
    return again not in {well for well, _ in HELD_AND_LOST.values()} or _well(load) == again


def starts(talk: Talk, told: Heard) -> None:
    """Take the report by which a hold starts anew, unless who says it isn't sure: then a yes is asked for."""
    unsure = talk.language.table("replying").get("unsure", "(?!)")
    if not re.search(rf"\b(?:{unsure})\b", told.text.lower()):
        talk.obey(told)
        return
    prompt = talk.language.say("conversation", "sure", said=told.text)
    frames.ask_yes_no(talk, "said", prompt, told, told.of, as_heard=told.text)


def _well(load: Load) -> str:
    return HELD_AND_LOST.get(load.process.watched, ("", ""))[0]


def _away(talk: Talk) -> Iterator[tuple[Load, bool]]:
    """Yield the load of which it is asked whether its hold was lost, then those of which that is known."""
    asked = talk.question
    if asked is not None and asked.kind == "loss" and asked.about in OF_A_LOSS:
        yield from ((load, False) for load in talk.kitchen.open_loads if load.id == asked.load)
    for load in talk.kitchen.open_loads:
        if load.stage is Stage.HOLD and load.hold is not None and load.hold.lost_t is not None:
            yield load, True


def _back(talk: Talk, load: Load, part: str, *, lost: bool) -> Mapping[str, Any] | None:
    """Return what is back, by a part with no other words than its own and small ones."""
    left = talk.language.unheard("again", part)
    if left == part and not lost:
        return None  # what is so now doesn't tell that it was away
    if load.process.is_dial:
        least = round(load.process.target_psi or 0)
        enough, fewer = range(least, MOST_PSI), range(least)
        wants = Wants("steady", True, True, "", *(tuple(map(talk.language.number, each)) for each in (enough, fewer)))
        psi = next((each for each in enough if talk.language.names_one((each,), left)), None)
        return {"pressure": psi} if psi and says(left, wants, talk.language.table("replying")) else None
    awaited, words = talk.language.table("awaited"), set(part.split())
    own, _, beside = awaited[_well(load)].partition("|")
    return (
        {"again": _well(load)}
        if words & {*own.split()} and words <= {*f"{own} {beside} {awaited['small']}".split()}
        else None
    )
