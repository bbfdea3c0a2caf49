"""A zero stands until something is said that may contradict it: from then on the gauge has to be read again.

Nobody is called to the lid of a canner, or told to take it off, over words that aren't known to be harmless: not
understood, not fitting here, of heat, lock, lid or gauge, or answered as if there were pressure. Which intents are
harmless is in intents.toml, which questions suppose pressure in the families of the knowledge base.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitchenvoice.dialogue import denying, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load
from kitchenvoice.reference.knowledge import family
from kitchenvoice.reference.nearness import asks

__all__ = ["contradicts_zero_unless_harmless", "loads_at_zero"]

_HARMLESS = intents_that("harmless")
_ANSWERS = intents_that("bare") | {"both", "neither", "not_load", "cancel"}
_OF_STOVE = frozenset({"steam", "heat", "weight", "pressure", "reading", "zero"})
"""Of what a denial isn't harmless."""
_ASKS_BACK = frozenset({"said", "heard"})
"""Questions whether something was said: after a no something else was."""


def loads_at_zero(talk: Talk) -> list[int]:
    """Return the loads whose canner was told to be at zero, and is shut."""
    return [load.id for load in talk.kitchen.open_loads if denying.waits_at_zero(load)]


def contradicts_zero_unless_harmless(
    talk: Talk, at_zero: Sequence[int], said: Understanding, asked: Frame | None, *, called: bool
) -> None:
    """Take back the zeros told before this turn, and ask to look again, unless what was said is known to be harmless.

    `asked` is the question that was open; `called`: it was said to us by name.
    """
    ignored = talk.noted("ignored") is not None
    if said.reject_reason == "silence" or (ignored and not called) or _is_harmless(talk, said, asked, called=called):
        return
    now = [load for load in talk.kitchen.open_loads if load.id in at_zero and denying.waits_at_zero(load)]
    loads = [load for load in now if not _is_of_another(talk, load)]
    if loads:
        told = any(event.kind not in ("load_select", "doubt") for event in talk.hers)
        talk.withhold(Urgency.READBACK if told else Urgency.CAUTION)  # where it stood isn't so any more
        if talk.question is not None and not (asked is not None and talk.question.same(asked)):
            frames.close(talk, talk.question)
    for load in loads:
        denying.deny_zero(talk, load, look_again=True)


def _is_harmless(talk: Talk, said: Understanding, asked: Frame | None, *, called: bool) -> bool:
    answered = talk.noted("answered")
    if answered is not None:
        if not asks(without_name(talk, said.text)):
            return False
        return "obeyed" in answered.data or not (answered.data["doubt"] or family(str(answered.data["family"])).shut)
    is_asked = asked is not None and not asked.passive
    if said.intent in _ANSWERS and asked is not None and is_asked:
        return not (said.intent == "no" and asked.about in _ASKS_BACK)
    if said.intent is None:
        return asked is not None and asked.kind == "form" and not called
    zero = said.slots.get("pressure", said.slots.get("value")) == 0
    if said.intent in _HARMLESS:
        return said.slots.get("about") not in _OF_STOVE
    return zero and said.intent in ("pressure_is", "number")


def _is_of_another(talk: Talk, load: Load) -> bool:
    """Tell whether it was taken for another load, or named another."""
    meant = {event.load for event in talk.hers if event.load is not None}
    return bool(meant) and load.id not in meant
