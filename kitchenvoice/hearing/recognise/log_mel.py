"""The log-mel spectrogram that Whisper takes as input: 80 bands, 100 frames a second.

As its authors describe it (Radford and others, "Robust Speech Recognition via Large-Scale Weak Supervision", 2022,
section 2.2): windows of 25 ms each 10 ms, 80 bands of the mel scale. The scale is Slaney's ("Auditory Toolbox", 1998):
linear up to 1,000 Hz, 27 steps for each factor of 6.4 from there on; each band's triangle has the same area. Range
and offset of the logarithm are from memory; a test checks the whole by taking dictation with it.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["BANDS", "log_mel"]

BANDS = 80
_WINDOW, _HOP = 400, 160
_WHOLE = 2 * _HOP
"""The engine halves the number of frames."""
_KNEE_HZ, _HZ_A_MEL, _MELS_A_FACTOR, _FACTOR = 1000.0, 200.0 / 3.0, 27.0, 6.4
_RANGE = 8.0
"""Dynamic range below the loudest point, in powers of ten."""

FloatArray: TypeAlias = npt.NDArray[np.float32]


def log_mel(samples: Samples) -> FloatArray:
    """Return the log power, bands by frames, scaled so that speech lies around -1 to 1.

    The sound is zero-padded to a whole number of pairs of frames.
    """
    sound = np.pad(samples.astype(np.float32) / 32768.0, (0, -len(samples) % _WHOLE))
    frames = len(sound) // _HOP
    around = np.pad(sound, _WINDOW // 2, mode="reflect")
    pieces = np.lib.stride_tricks.sliding_window_view(around, _WINDOW)[::_HOP][:frames]
    power = np.abs(np.fft.rfft(pieces * _hann(), axis=1)) ** 2
    in_bands = np.einsum("bf,tf->bt", _bands(), power.astype(np.float32))  # @ would keep a second core busy for 0.1 s
    levels = np.log10(np.maximum(in_bands, 1e-10))
    scaled: FloatArray = ((np.maximum(levels, levels.max() - _RANGE) + 4.0) / 4.0).astype(np.float32)
    return scaled


@lru_cache(maxsize=1)
def _hann() -> FloatArray:
    window: FloatArray = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    return window


@lru_cache(maxsize=1)
def _bands() -> FloatArray:
    """Return each band's weight for each frequency: triangles that begin and end at the neighbours' peaks."""
    frequencies = np.linspace(0.0, EAR_RATE_HZ / 2, _WINDOW // 2 + 1)
    tops = _hz(np.linspace(0.0, _mel(EAR_RATE_HZ / 2), BANDS + 2))
    rising = (frequencies - tops[:-2, None]) / np.diff(tops)[:-1, None]
    falling = (tops[2:, None] - frequencies) / np.diff(tops)[1:, None]
    area = (tops[2:] - tops[:-2])[:, None] / 2.0
    weights: FloatArray = (np.clip(np.minimum(rising, falling), 0.0, None) / area).astype(np.float32)
    return weights


def _mel(hz: float) -> float:
    """Return the mels of a frequency above the knee."""
    return float(_KNEE_HZ / _HZ_A_MEL + _MELS_A_FACTOR * np.log(hz / _KNEE_HZ) / np.log(_FACTOR))


def _hz(mels: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    above = _KNEE_HZ * _FACTOR ** ((mels - _KNEE_HZ / _HZ_A_MEL) / _MELS_A_FACTOR)
    return np.where(mels < _KNEE_HZ / _HZ_A_MEL, mels * _HZ_A_MEL, above)
