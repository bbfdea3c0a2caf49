"""Take steady noise (steam, hood, fan) out of the sound before it is recognised.

A spectral gain after Ephraim and Malah (IEEE Trans. ASSP 33(2), 1985: minimum mean-square error of the log spectrum,
with the decision-directed estimate of the signal to noise ratio). The noise is learned while nobody speaks, so it
follows a pot that comes to the boil but not a lid that drops. Measured gain: see `thresholds.GAIN_FLOOR`.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.thresholds import GAIN_FLOOR, HIGH_PASS_HZ, NOISE_HOPS, SILENT_STEPS
from kitchenvoice.hearing.voice import FRAME
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["NoiseReducer"]

_HOP = FRAME // 2
_SMOOTHING = 0.98
_LEAST_RATIO = 10.0**-2.5
_MOST_RATIO = 40.0
_Spectrum = npt.NDArray[np.float64]


class NoiseReducer:
    """Clean a stream frame by frame; what comes out is `_HOP` samples (16 ms) late."""

    def __init__(self) -> None:
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(FRAME) / FRAME))
        self._pass = np.arange(FRAME // 2 + 1) * EAR_RATE_HZ / FRAME >= HIGH_PASS_HZ
        self._places, self._boosts = _boost_table()
        self.reset()

    @property
    def noise_dbfs(self) -> float:
        """Level of the noise that was learned, about; very low before anything was."""
        if not self._learned:
            return -120.0
        mean = float(np.sum(self._noise)) * 2.0 / (FRAME * float(np.sum(self._window**2)))
        return 10.0 * float(np.log10(max(mean, 1e-3) / 32768.0**2))

    def reset(self) -> None:
        """Forget the stream and the noise."""
        self._noise: _Spectrum = np.full(FRAME // 2 + 1, 1e-9)
        self._learned = 0
        self._speech: _Spectrum = np.ones(FRAME // 2 + 1)
        self._before: _Spectrum = np.zeros(_HOP)
        self._tail: _Spectrum = np.zeros(_HOP)

    def clean(self, frame: Samples, is_noise: bool) -> Samples:
        """Return the cleaned frame, half a frame late; learn from it if it `is_noise` and not digital silence."""
        sound = np.concatenate([self._before, frame.astype(np.float64)])
        self._before = sound[FRAME:]
        learn = is_noise and float(np.mean(sound * sound)) > SILENT_STEPS**2
        halves = [self._hop(sound[start : start + FRAME], learn) for start in (0, _HOP)]
        cleaned: Samples = np.clip(np.rint(np.concatenate(halves)), -32768, 32767).astype(np.int16)
        return cleaned

    def _hop(self, sound: _Spectrum, learn: bool) -> _Spectrum:
        spectrum = np.fft.rfft(sound * self._window) * self._pass
        power = np.abs(spectrum) ** 2
        if learn:
            self._learned = min(self._learned + 1, NOISE_HOPS)
            self._noise += (power - self._noise) / self._learned
        gain = self._gain(power) if self._learned else 1.0
        piece = np.fft.irfft(spectrum * gain) * self._window
        done = self._tail + piece[:_HOP]
        self._tail = piece[_HOP:]
        return done

    def _gain(self, power: _Spectrum) -> _Spectrum:
        """Return the gain of each band, 0..1."""
        posterior = np.minimum(power / np.maximum(self._noise, 1e-9), _MOST_RATIO)
        prior = _SMOOTHING * self._speech + (1.0 - _SMOOTHING) * np.maximum(posterior - 1.0, 0.0)
        prior = np.maximum(prior, _LEAST_RATIO)
        share = prior / (1.0 + prior)
        boost = np.interp(np.log(np.maximum(share * posterior, 1e-8)), self._places, self._boosts)
        gain = np.clip(share * boost, GAIN_FLOOR, 1.0)
        self._speech = gain * gain * posterior
        bounded: _Spectrum = gain
        return bounded


def _boost_table() -> tuple[_Spectrum, _Spectrum]:
    """Tabulate exp(E1(v) / 2) over log v; E1 is the exponential integral, here by the trapezoid rule."""
    places = np.linspace(np.log(1e-8), np.log(60.0), 400)
    steps = np.linspace(0.0, 1.0, 2000)
    integrals = []
    for value in np.exp(places):
        reach = max(np.log(60.0 / value), 0.5)
        integrals.append(np.trapezoid(np.exp(-value * np.exp(steps * reach)), steps * reach))
    return places, np.exp(np.array(integrals) / 2.0)
