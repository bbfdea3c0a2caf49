"""Two recognisers' alternatives as one list."""

from __future__ import annotations

__all__ = ["put_together"]

_Heard = tuple[tuple[str, ...], tuple[float, ...]]


def put_together(one: _Heard, other: _Heard) -> _Heard:
    """Return all texts with the mean of their two shares (0 where one didn't have it), likeliest first."""
    shares: dict[str, float] = {}
    for texts, parts in (one, other):
        for text, part in zip(texts, parts, strict=True):
            shares[text] = shares.get(text, 0.0) + part / 2.0
    ordered = sorted(shares.items(), key=lambda entry: -entry[1])
    return tuple(text for text, _ in ordered), tuple(share for _, share in ordered)
