"""Combination of several recognisers' n-best lists into one."""

from __future__ import annotations

from typing import TypeAlias

__all__ = ["Heard", "put_together"]

Heard: TypeAlias = tuple[tuple[str, ...], tuple[float, ...]]
"""One recogniser's n-best list: texts and their posteriors."""


def put_together(*heard: Heard) -> Heard:
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
