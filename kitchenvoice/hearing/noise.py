"""Spectral noise reduction before recognition, for steady noise (steam, hood, fan).

Three spectral gains, all from the decision-directed estimate of the signal to noise ratio of Ephraim and Malah (IEEE
Trans. ASSP 33(2), 1985): their minimum mean-square error of the log spectrum mixed with some unprocessed sound, the
square root of the Wiener gain, and the Wiener gain. None is best for every voice; their errors differ, so their results
are combined. The noise estimate is updated while nobody speaks, so it follows a pot that comes to the boil but not a
lid that drops. Measured gain: see `thresholds.LEFT_AS_IT_IS`.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.thresholds import (
    GAIN_FLOOR,
    HIGH_PASS_HZ,
    LEFT_AS_IT_IS,
    NOISE_HOPS,
    SILENT_STEPS,
    SMOOTHING,
)
from kitchenvoice.hearing.vad import FRAME
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["WAYS", "NoiseReducer"]

WAYS = 3
"""Number of gains, from mild to strong."""
_HOP = FRAME // 2
_LEAST_RATIO = 10.0**-2.5
_MOST_RATIO = 40.0
_Spectrum = npt.NDArray[np.float64]


class NoiseReducer:
    """Clean a stream frame by frame, with a delay of `_HOP` samples (16 ms)."""

    def __init__(self) -> None:
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(FRAME) / FRAME))
        self._pass = np.arange(FRAME // 2 + 1) * EAR_RATE_HZ / FRAME >= HIGH_PASS_HZ
        self._places, self._boosts = _boost_table()
        self.reset()

    @property
    def noise_dbfs(self) -> float:
        """Approximate level of the estimated noise; very low before the first estimate."""
        if not self._learned:
            return -120.0
        mean = float(np.sum(self._noise)) * 2.0 / (FRAME * float(np.sum(self._window**2)))
        return 10.0 * float(np.log10(max(mean, 1e-3) / 32768.0**2))

    def reset(self) -> None:
        """Forget the stream and the noise estimate."""
        self._noise: _Spectrum = np.full(FRAME // 2 + 1, 1e-9)
        self._learned = 0
        self._speech: _Spectrum = np.ones((WAYS, FRAME // 2 + 1))
        self._before: _Spectrum = np.zeros(_HOP)
        self._tail: _Spectrum = np.zeros((WAYS, _HOP))

    def clean(self, frame: Samples, is_noise: bool) -> tuple[Samples, ...]:
        """Return the frame cleaned in each way, half a frame late; learn from it if it `is_noise` and not silent."""
        sound = np.concatenate([self._before, frame.astype(np.float64)])
        self._before = sound[FRAME:]
        learn = is_noise and float(np.mean(sound * sound)) > SILENT_STEPS**2
        halves = [self._hop(sound[start : start + FRAME], learn) for start in (0, _HOP)]
        return tuple(np.clip(np.rint(np.concatenate(halves, axis=1)), -32768, 32767).astype(np.int16))

    def _hop(self, sound: _Spectrum, learn: bool) -> _Spectrum:
        spectrum = np.fft.rfft(sound * self._window) * self._pass
        power = np.abs(spectrum) ** 2
        if learn:
            self._learned = min(self._learned + 1, NOISE_HOPS)
            self._noise += (power - self._noise) / self._learned
        gains = self._gains(power) if self._learned else np.ones((WAYS, 1))
        pieces = np.fft.irfft(spectrum * gains) * self._window
        done = self._tail + pieces[:, :_HOP]
        self._tail = pieces[:, _HOP:]
        return done

    def _gains(self, power: _Spectrum) -> _Spectrum:
        """Return the gain of each band in each way, 0..1."""
        posterior = np.minimum(power / np.maximum(self._noise, 1e-9), _MOST_RATIO)
        prior = SMOOTHING * self._speech + (1.0 - SMOOTHING) * np.maximum(posterior - 1.0, 0.0)
        prior = np.maximum(prior, _LEAST_RATIO)
        gains: _Spectrum = prior / (1.0 + prior)  # Wiener gain
        boost = np.interp(np.log(np.maximum(gains[0] * posterior, 1e-8)), self._places, self._boosts)
        gains[0] *= boost
        gains[1] = np.sqrt(gains[1])
        gains = np.clip(gains, GAIN_FLOOR, 1.0)
        self._speech = gains * gains * posterior
        gains[0] += LEFT_AS_IT_IS * (1.0 - gains[0])
        return gains


def _boost_table() -> tuple[_Spectrum, _Spectrum]:
    """Tabulate exp(E1(v) / 2) over log v; E1 is the exponential integral, here by the trapezoid rule."""
    places = np.linspace(np.log(1e-8), np.log(60.0), 400)
    steps = np.linspace(0.0, 1.0, 2000)
    integrals = []
    for value in np.exp(places):
        reach = max(np.log(60.0 / value), 0.5)
        integrals.append(np.trapezoid(np.exp(-value * np.exp(steps * reach)), steps * reach))
    return places, np.exp(np.array(integrals) / 2.0)
