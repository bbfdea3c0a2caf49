"""Warnings by single words in sentences that aren't understood.

Where a canner may be under pressure it is warned of, and of heat that is on while it cools.
"""

from __future__ import annotations

from kitchenvoice.dialogue import filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.grammar import normalise
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Stage, may_be_under_pressure, step_of

__all__ = [
    "SPOKEN_IN",
    "caution_of_the_lid",
    "is_closed",
    "warn_of_the_heat",
    "warn_of_the_lid",
    "was_on",
    "without_name",
]

SPOKEN_IN = "en"
"""The language of the knowledge base."""


def was_on(talk: Talk, asked: Frame | None, text: str) -> bool:
    """True if a text tells of heat that went on in what was, by itself or in answer to whether it was off then."""
    answers = asked is not None and asked.about == "in_question" and talk.language.hears("on_again", text)
    return talk.language.hears("narrated", text) or (answers and not talk.language.hears("now_so", text))


def is_closed(talk: Talk) -> bool:
    """True if a canner may be under pressure whose lid isn't waited for."""
    steps = [step_of(load) for load in talk.kitchen.open_loads if may_be_under_pressure(load)]
    return any(step is None or "lid_locked" not in step.done_by for step in steps)


def without_name(talk: Talk, text: str) -> str:
    """Return a text without the wake phrase."""
    return normalise(text).removeprefix(normalise(talk.profile.attention)).strip()


def warn_of_the_lid(talk: Talk) -> bool:
    """Warn of a canner that may be under pressure, whoever listens; tell whether there is one."""
    caution = caution_of_the_lid(talk)
    talk.speak(caution, Urgency.CAUTION)
    return bool(caution)


def caution_of_the_lid(talk: Talk) -> str:
    """Say that the lid stays on, of canners that are all at zero for how long; nothing where no canner is shut."""
    shut = [load for load in talk.kitchen.open_loads if may_be_under_pressure(load)]
    waits = [timer.left_s(talk.t) for load in shut if load.at_zero and (timer := load.timer("settle"))]
    if shut and len(waits) == len(shut):
        left = filling.values_of(talk, {"left_s": max(0.0, *waits)}, shut[0])
        return talk.language.say("objecting", "settle_not_done", left)
    return talk.language.say("objecting", "leave_lid") if shut else ""


def warn_of_the_heat(talk: Talk) -> bool:
    """Say that the heat goes off where a canner cools; tell whether one does."""
    cooling = [load for load in talk.kitchen.open_loads if load.stage is Stage.COOL and not load.lid_off]
    cooling = [load for load in cooling if load.process.is_pressure]
    for load in cooling:
        talk.say("render", "heat_still_on", filling.values_of(talk, {}, load), urgency=Urgency.CAUTION)
    return bool(cooling)
