"""Delay of the echo of our own voice behind the playback, measured again and again while we speak.

Both ends of a sound card lose samples where the machine is busy: each loss moves the echo by tens of milliseconds, too
little to show in a driver's time stamps, and enough to make the echo filter useless. Pure: arrays in, numbers out.
"""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["EchoDelay", "delay_of"]

Floats = npt.NDArray[np.float64]

FIRST_S, FARTHEST_S = 2.5, 0.5
"""Length of our speech for the first measurement, and how far it looks."""
NEXT_S, NEAR_S = 1.5, 0.2
"""The same once the delay is known. Shorter stretches found no clear peak: 1.0 s in 3 of 41 tries, 1.5 s in all."""
EVERY_S = 0.5
QUIET = 1e-10
CLEAR = 8.0
"""Ratio of the best delay's peak to the others' mean from which it is believed: chance alone gives 4 to 5."""


class EchoDelay:
    """The latest hops of our own speech, and the delay of their echo."""

    def __init__(self) -> None:
        self._pairs: deque[tuple[Samples, Samples]] = deque(maxlen=_hops(FIRST_S))
        self._new = 0
        self._known = False

    def forget(self, known: bool) -> None:
        """Begin anew, after the playback was moved; the delay is still `known`, or may be anything."""
        self._pairs.clear()
        self._known = known

    def note(self, heard: Samples, played: Samples) -> float | None:
        """Take one hop of both; return the delay in seconds (negative: ahead) where it has just been measured."""
        self._pairs.append((heard, played))
        self._new += 1
        hops = _hops(NEXT_S if self._known else FIRST_S)
        if len(self._pairs) < hops or self._new < _hops(EVERY_S):
            return None
        self._new = 0
        heard_s, played_s = (np.concatenate(end) for end in zip(*list(self._pairs)[-hops:], strict=True))
        found = delay_of(heard_s.astype(np.float64), played_s.astype(np.float64), NEAR_S if self._known else FARTHEST_S)
        self._known = found is not None  # else look farther
        return found


def delay_of(heard: Floats, played: Floats, most_s: float) -> float | None:
    """Return the lag of `heard` behind `played` in seconds (negative: ahead), from -`most_s` to `most_s`.

    `None` if there is no clear peak, or less sound than eight times `most_s`. By the phase of the cross-spectrum alone,
    so that pitch and room don't matter, summed over stretches (Knapp and Carter, IEEE Transactions on Acoustics,
    Speech, and Signal Processing 24(4), 1976), and between samples by a parabola through the peak.
    """
    most = round(most_s * EAR_RATE_HZ)
    size = 1 << (4 * most - 1).bit_length()
    length = min(len(heard), len(played))
    summed = np.zeros(size // 2 + 1, dtype=np.complex128)
    for start in range(0, length - size + 1, size // 4):
        here = np.fft.rfft(heard[start : start + size] * np.hanning(size))
        there = np.fft.rfft(played[start : start + size] * np.hanning(size))
        cross = here * there.conj()
        summed += cross / np.maximum(np.abs(cross), QUIET)
    likeness = np.fft.irfft(summed)
    near = np.concatenate([likeness[-most:], likeness[: most + 1]])
    best = int(np.argmax(near))
    if near[best] <= CLEAR * float(np.sqrt(np.mean(near**2))):
        return None
    before, peak, after = (float(likeness[best - most + step]) for step in (-1, 0, 1))
    between = 0.5 * (before - after) / (before - 2 * peak + after)
    return (best - most + between) / EAR_RATE_HZ


def _hops(seconds: float) -> int:
    return round(seconds * EAR_RATE_HZ / HOP)
