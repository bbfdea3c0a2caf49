"""From path scores to posteriors, and from several recognisers' n-best lists to one."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp
from typing import TypeAlias

__all__ = ["Hypotheses", "put_together", "shares"]

Hypotheses: TypeAlias = tuple[tuple[str, ...], tuple[float, ...]]
"""One recogniser's n-best list: texts and their posteriors."""


def put_together(*heard: Hypotheses) -> Hypotheses:
    """Return all texts with their mean posterior (0 where a recogniser lacks the text), likeliest first.

    A recogniser that heard nothing, or gives no posteriors, doesn't count.
    """
    told = [each for each in heard if each[1]]
    posteriors: dict[str, float] = {}
    for texts, parts in told:
        for text, part in zip(texts, parts, strict=True):
            posteriors[text] = posteriors.get(text, 0.0) + part / len(told)
    ordered = sorted(posteriors.items(), key=lambda entry: -entry[1])
    return tuple(text for text, _ in ordered), tuple(posterior for _, posterior in ordered)


def shares(scores: Sequence[float]) -> tuple[float, ...]:
    """Return the share of each in the likelihood of all; `scores` are natural logarithms."""
    best = max(scores, default=0.0)
    weights = [exp(score - best) for score in scores]
    return tuple(weight / sum(weights) for weight in weights)
