"""A mild noise reduction to compare with: log-spectral amplitude estimation after a high-pass at 120 Hz.

The estimator is that of Ephraim and Malah (IEEE Transactions on Acoustics, Speech and Signal Processing 33(2), 1985),
with the decision-directed a-priori ratio and a noise estimate that follows the minimum of the last second and a half.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["denoised"]

_FRAME, _HOP = 512, 256
_SMOOTH, _FLOOR = 0.98, 10.0 ** (-15.0 / 20.0)
_MINIMUM_TO_MEAN = 2.8
"""The lowest smoothed power of 1.5 s of steady noise lies about this factor below its mean."""
_HISTORY = 94
"""Frames of 16 ms in which the noise is looked for: 1.5 s."""


def denoised(samples: Samples) -> Samples:
    """Return the sound with steady noise turned down; the same length, about 16 ms of look-ahead."""
    window = np.sqrt(np.hanning(_FRAME + 1)[:-1])
    padded = np.pad(samples.astype(np.float64), _FRAME, mode="reflect")
    count = (len(padded) - _FRAME) // _HOP + 1
    index = np.arange(_FRAME)[None, :] + _HOP * np.arange(count)[:, None]
    spectra = np.fft.rfft(padded[index] * window, axis=1)
    spectra[:, np.fft.rfftfreq(_FRAME, 1.0 / EAR_RATE_HZ) < 120.0] = 0.0
    cleaned = np.fft.irfft(spectra * _gains(np.abs(spectra) ** 2), axis=1) * window
    out = np.zeros(len(padded))
    for number in range(count):
        out[number * _HOP : number * _HOP + _FRAME] += cleaned[number]
    result: Samples = np.clip(np.rint(out[_FRAME : _FRAME + len(samples)]), -32768, 32767).astype(np.int16)
    return result


def _gains(power: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    gains = np.ones_like(power)
    smooth = np.mean(power[:8], axis=0)
    history: list[npt.NDArray[np.float64]] = []
    previous = np.zeros(power.shape[1])
    for number, present in enumerate(power):
        smooth = 0.8 * smooth + 0.2 * present
        history = [*history[-_HISTORY + 1 :], smooth]
        noise = _MINIMUM_TO_MEAN * np.min(history, axis=0) + 1.0
        after = np.clip(present / noise, 1e-3, 1e3)
        before = np.maximum(_SMOOTH * previous / noise + (1.0 - _SMOOTH) * np.maximum(after - 1.0, 0.0), 1e-3)
        wiener = before / (1.0 + before)
        gains[number] = np.clip(wiener * np.exp(0.5 * _expint(np.maximum(wiener * after, 1e-3))), _FLOOR, 1.0)
        previous = gains[number] ** 2 * present
    return gains


def _expint(x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the exponential integral E1 (Abramowitz and Stegun 5.1.53 and 5.1.56, error below 5e-5)."""
    small = np.minimum(x, 1.0)
    low = -np.log(small) + np.polyval(
        [0.00107857, -0.00976004, 0.05519968, -0.24991055, 0.99999193, -0.57721566], small
    )
    large = np.maximum(x, 1.0)
    top = np.polyval([1.0, 8.5733287401, 18.0590169730, 8.6347608925, 0.2677737343], large)
    bottom = np.polyval([1.0, 9.5733223454, 25.6329561486, 21.0996530827, 3.9584969228], large)
    return np.asarray(np.where(x < 1.0, low, np.exp(-large) / large * top / bottom), dtype=np.float64)
