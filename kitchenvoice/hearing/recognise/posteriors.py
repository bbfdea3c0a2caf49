"""Several recognisers' alternatives as one list."""

from __future__ import annotations

from typing import TypeAlias

__all__ = ["Heard", "put_together"]

Heard: TypeAlias = tuple[tuple[str, ...], tuple[float, ...]]
"""What one recogniser heard: texts, and the share of the likelihood that each has."""


def put_together(*heard: Heard) -> Heard:
    """Return all texts with the mean of their shares (0 where one didn't have it), likeliest first.

    One that heard nothing, or tells no shares, has no say.
    """
    told = [each for each in heard if each[1]]
    posteriors: dict[str, float] = {}
    for texts, parts in told:
        for text, part in zip(texts, parts, strict=True):
            posteriors[text] = posteriors.get(text, 0.0) + part / len(told)
    ordered = sorted(posteriors.items(), key=lambda entry: -entry[1])
    return tuple(text for text, _ in ordered), tuple(posterior for _, posterior in ordered)
