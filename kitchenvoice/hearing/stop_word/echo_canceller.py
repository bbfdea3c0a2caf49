"""Acoustic echo cancellation: a partitioned block adaptive filter in the frequency domain.

The filter learns the room's response to the playback and subtracts the echo from the microphone. Its step size follows
from its own uncertainty (a Kalman filter for each frequency, after Enzner and Vary, Signal Processing 86(6), 2006,
partitioned as by Kuech, Mabande and Enzner, ICASSP 2014), so double talk doesn't spoil what it has learnt. Pure: arrays
in, arrays out.

Limitations: the room's response has to fit in `TAIL_S` and be linear: an overdriven speaker leaves a residue. Two sound
cards with separate clocks drift apart; the filter follows slowly (see tests/bench/speaking.md).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import EAR_RATE_HZ

__all__ = ["HOP", "TAIL_S", "EchoCanceller"]

Floats = npt.NDArray[np.float64]

HOP = 320
"""Samples a step: 20 ms, one block of the microphone."""
PARTS = 20
TAIL_S = PARTS * HOP / EAR_RATE_HZ
"""Length of the room's response that can be cancelled: 0.4 s, delays of the sound system included."""
FORGETTING = 0.999
"""How much of the filter is kept from step to step; below 1, so that it follows people moving in the room, and clock
drift. Measured on half a minute of our own voice in the room, echo -6 dB, attenuation in dB at the end with clocks
0, 20 and 100 ppm apart: 28, 13 and 1 at 0.9999; 25, 20 and 4 at 0.999; 19, 18 and 5 at 0.997. At 0.999, in the 1st and
2nd, 3rd and 4th, 5th to 8th second: 4, 13, 21."""
SMOOTHING = 0.8
UNSURE = 0.5
"""Initial variance of each part of the filter: a speaker about as loud at the microphone as the playback itself."""
QUIET = 1e-10


class EchoCanceller:
    """Cancel the echo of `played` in `heard`, a hop at a time. The filter is kept from sentence to sentence."""

    def __init__(self) -> None:
        bins = HOP + 1
        self._played = np.zeros((PARTS, bins), dtype=np.complex128)
        self._filter = np.zeros((PARTS, bins), dtype=np.complex128)
        self._unsure = np.full((PARTS, bins), UNSURE)
        self._rest = np.full(bins, 1e-3)
        self._before = np.zeros(HOP)

    def clean(self, heard: Floats, played: Floats) -> Floats:
        """Return the rest of one hop of `heard` (full scale is 1) without the echo of `played`."""
        spectrum = np.fft.rfft(np.concatenate([self._before, played]))
        self._before = played.copy()
        self._played = np.concatenate([spectrum[np.newaxis], self._played[:-1]])
        echo = np.fft.irfft((self._played * self._filter).sum(axis=0))[HOP:]
        left: Floats = heard - echo
        self._learn(left)
        return left

    def doubt(self) -> None:
        """Keep the filter but adapt fast again: something in the echo path has changed."""
        self._unsure[:] = UNSURE

    def _learn(self, left: Floats) -> None:
        error = np.fft.rfft(np.concatenate([np.zeros(HOP), left]))
        power = self._played.real**2 + self._played.imag**2
        self._rest = SMOOTHING * self._rest + (1.0 - SMOOTHING) * (error.real**2 + error.imag**2)
        step = self._unsure / ((power * self._unsure).sum(axis=0) + self._rest + QUIET)
        change = np.fft.irfft(step * self._played.conj() * error, axis=1)
        change[:, HOP:] = 0.0  # the gradient constraint: no response to later sound
        self._filter = FORGETTING * (self._filter + np.fft.rfft(change, axis=1))
        drift = (1.0 - FORGETTING**2) * (self._filter.real**2 + self._filter.imag**2)
        self._unsure = FORGETTING**2 * np.maximum(1.0 - 0.5 * step * power, 0.0) * self._unsure + drift
