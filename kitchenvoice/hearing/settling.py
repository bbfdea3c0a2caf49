"""Meaning of an utterance in a foreign grammar: by both engines, or none.

Our own grammars are read in `kitchenvoice.dialogue`, by rules that know what an error would cost.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from math import exp
from typing import TypeVar

from kitchenvoice.hearing.thresholds import LEAST_HEARD, LEAST_SETTLED, WEIGHT_OF_OPINION
from kitchenvoice.ports import Utterance

__all__ = ["settled"]

M = TypeVar("M", bound=Hashable)


def settled(utterance: Utterance, meaning: Callable[[str], M | None]) -> M | None:
    """Return the meaning to act on; `None` to ask again.

    `meaning` reads one text, `None` for no sentence. Texts of one meaning support each other; where a second engine was
    asked, each text's share is weighed by its score. One meaning has to stand out from the others, and sentences from
    what else was heard.
    """
    best = max((opinion.total for opinion in utterance.opinions.values()), default=0.0)
    heard: dict[M, float] = {}
    weighed: dict[M, float] = {}
    for text, share in zip(utterance.alternatives, utterance.posteriors, strict=False):
        told, meant = utterance.opinions.get(text), meaning(text)
        if meant is not None:
            weight = exp(WEIGHT_OF_OPINION * (told.total - best)) if told else float(not utterance.opinions)
            heard[meant] = heard.get(meant, 0.0) + share
            weighed[meant] = weighed.get(meant, 0.0) + share * weight
    first = max(weighed, key=lambda meant: weighed[meant], default=None)
    if first is None or heard[first] < LEAST_HEARD * sum(utterance.posteriors):
        return None
    return first if weighed[first] >= LEAST_SETTLED * sum(weighed.values()) > 0.0 else None
