"""A sentence about both loads ("they're both at eleven"), or the other one: the same of each load by its number."""

from __future__ import annotations

import re

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.sayable import anywhere
from kitchenvoice.grammar import normalise
from kitchenvoice.ports import Utterance
from kitchenvoice.process import ON_HEAT

__all__ = ["of_each"]


def of_each(talk: Talk, utterance: Utterance, *, typed: bool) -> tuple[Utterance, ...]:
    """Return what was typed of both loads on the heat, or of the other one, as said of each; else it as it is.

    A text is left alone that answers which load is meant, or is no sentence without that word.
    """
    loads = [load for load in talk.kitchen.open_loads if load.stage in ON_HEAT]
    asked = talk.question is not None and talk.question.kind == "which"
    if not typed or len(loads) != 2 or asked:
        return (utterance,)
    text, others = normalise(utterance.alternatives[0]), [load for load in loads if load.id != talk.kitchen.focus]
    text, known = without_name(talk, text), anywhere(talk, typed=True)
    for pattern, instead in talk.language.table("several").items():
        kind, _, words = instead.partition(" ")
        left = re.sub(pattern, words, text)
        numbers = [talk.language.number(load.number) for load in (loads if kind == "both" else others)]
        said = [f"{talk.language.phrase('names', 'load', number=number)} {left}" for number in numbers]
        if left != text and all(known.parse(each) for each in said):
            return tuple(Utterance((each,)) for each in said)
    return (utterance,)
