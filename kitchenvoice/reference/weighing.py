"""Likelihood that a statement tells of something that may have spoilt a load, by all of its words.

Each stem and each pair of stems has a weight, in tenths of the logarithm of the odds, learnt from labelled sentences by
scripts/learn_weighing.
"""

from __future__ import annotations

from functools import cache
from math import exp

from .folding import features_of
from .library import table
from .nearness import asks

__all__ = ["WEIGHTS", "features", "likelihood"]

WEIGHTS = "weighing.toml"
_ASKS = "?"


def features(text: str) -> frozenset[str]:
    """Return the stems of a text, its pairs of stems, and whether it asks."""
    return features_of(text) | ({_ASKS} if asks(text) else set())


def likelihood(text: str, *, supposed: bool = False) -> float:
    """Return from 0 to 1 how likely a text tells of a thing that may have spoilt a load; or a question, by what it
    has `supposed`."""
    weights = _weights()
    found = features(text) - ({_ASKS} if supposed else set())
    return 1.0 / (1.0 + exp(-0.1 * sum(weights.get(each, 0) for each in found | {""})))


@cache
def _weights() -> dict[str, int]:
    return {each: int(tenths) for tenths, names in table(WEIGHTS).items() for each in names.split(" | ")}
