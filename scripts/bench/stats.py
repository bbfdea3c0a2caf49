"""Shares with their Wilson intervals, percentiles."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

__all__ = ["at_most_per_hour", "percentile", "share", "wilson"]


def wilson(hits: int, n: int, z: float = 1.96) -> tuple[float, float]:
    """Return the 95 % Wilson score interval of hits out of n."""
    if n == 0:
        return 0.0, 1.0
    p = hits / n
    middle = (p + z * z / (2 * n)) / (1 + z * z / n)
    half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    return max(0.0, middle - half), min(1.0, middle + half)


def share(hits: int, n: int) -> str:
    """Return `96.7 % (92.4-98.6)`; the interval in brackets is Wilson's at 95 %."""
    if n == 0:
        return "not run"
    low, high = wilson(hits, n)
    return f"{100 * hits / n:.1f} % ({100 * low:.0f}-{100 * high:.0f})"


def at_most_per_hour(events: int, hours: float) -> float:
    """Return the upper 95 % bound of a rate: Poisson, one-sided (3.0 / hours for none seen)."""
    if hours <= 0.0:
        return float("inf")
    bounds = (3.00, 4.74, 6.30, 7.75, 9.15, 10.51, 11.84, 13.15, 14.43, 15.71, 16.96)
    if events < len(bounds):
        return bounds[events] / hours
    return (events + 1.645 * sqrt(events) + 1.35) / hours


def percentile(values: Sequence[float], share_below: float) -> float:
    """Return the value below which `share_below` (0 to 1) of the values lie; nearest rank."""
    ordered = sorted(values)
    return ordered[min(int(share_below * len(ordered)), len(ordered) - 1)] if ordered else float("nan")
