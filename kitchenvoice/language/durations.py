"""Rounding of durations for speech, the same in every language."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

__all__ = ["Unit", "nights", "stretch"]

Unit = Literal["second", "minute", "hour", "day"]


def nights(from_t: float, to_t: float) -> int:
    """Return the number of midnights of the kitchen's clock between two POSIX times."""
    begun, now = (datetime.fromtimestamp(t).astimezone().date() for t in (from_t, to_t))
    return (now - begun).days


def stretch(seconds: float) -> tuple[tuple[float, Unit], ...]:
    """Return the spoken parts: to the second, above one minute to half a minute, above thirty to the minute.

    Each is a count with its unit; two days and more are rounded to whole days.
    """
    if seconds < 59.5:
        return ((round(seconds), "second"),)
    if seconds < 1800 and round(seconds / 30) % 2:
        return ((round(seconds / 30) / 2, "minute"),)
    minutes = round(seconds / 60)
    if minutes < 60 or minutes == 90:
        return ((minutes, "minute"),)
    hours, minutes = divmod(minutes, 60)
    if hours >= 48:
        return ((round(hours / 24), "day"),)
    return ((hours, "hour"), (minutes, "minute")) if minutes else ((hours, "hour"),)
