"""Loudness and pace of the voice, as the profile keeps them, in steps that a cook hears, within useful bounds.

The steps and bounds are the mouth's own (`speaking/settings.py`; a test compares them).
"""

from __future__ import annotations

import math

__all__ = ["USUAL_VOLUME", "next_rate", "next_volume", "volume_db"]

USUAL_VOLUME = 0.5
"""The volume at which the voice has its own level, 0 dB; 1 is twice that."""
_VOLUME = (0.13, 1.0)
_VOLUME_STEP = 10 ** (3 / 20)
_RATE_WPM = (90, 230)
_RATE_STEP_WPM = 20


def volume_db(volume: float) -> float:
    """Return the decibels from the usual level for a volume of 0.05 to 1."""
    return 20.0 * math.log10(max(volume, 0.01) / USUAL_VOLUME)


def next_volume(volume: float, step: int) -> float:
    """Return the volume that is `step` steps of 3 dB louder, the same at the bound."""
    low, high = _VOLUME
    return round(min(max(volume * _VOLUME_STEP**step, low), high), 2)


def next_rate(rate_wpm: int, step: int) -> int:
    """Return the rate that is `step` steps of 20 words a minute faster, the same at the bound."""
    low, high = _RATE_WPM
    return min(max(rate_wpm + step * _RATE_STEP_WPM, low), high)
