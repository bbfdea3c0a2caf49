"""Loudness: speech and alarms on one scale, and a gain without clipping.

Full scale is 0 dB. Speech is levelled to `SPEECH_DBFS` (level of its voiced parts); alarm tones go near full scale.
Speech at its loudest setting stays at least 6 dB below an alarm at its default.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import Samples, Sound

__all__ = ["FULL_SCALE", "amplified", "as_factor", "level_dbfs", "levelled"]

FULL_SCALE = 32_767
SPEECH_DBFS = -21.0
KNEE = 0.7
"""Share of full scale above which peaks are soft-clipped."""
FRAME_S = 0.02
SILENT_DBFS = -120.0


def as_factor(gain_db: float) -> float:
    """Convert decibels to an amplitude factor."""
    return float(10 ** (gain_db / 20))


def level_dbfs(sound: Sound) -> float:
    """Return the level without pauses: root mean square of the 20 ms frames within 26 dB of the loudest."""
    frame = max(1, round(sound.rate_hz * FRAME_S))
    whole = len(sound.samples) // frame * frame
    if whole == 0:
        return SILENT_DBFS
    power = np.mean((sound.samples[:whole].astype(np.float64) / FULL_SCALE).reshape(-1, frame) ** 2, axis=1)
    loudest = float(power.max())
    if loudest <= 0.0:
        return SILENT_DBFS
    return float(10 * np.log10(power[power > loudest / 400].mean()))


def levelled(sound: Sound, to_dbfs: float = SPEECH_DBFS) -> Sound:
    """Bring speech to one level, whatever the voice and sentence."""
    present = level_dbfs(sound)
    if present <= SILENT_DBFS:
        return sound
    return Sound(amplified(sound.samples, as_factor(to_dbfs - present)), sound.rate_hz)


def amplified(samples: Samples, gain: float) -> Samples:
    """Return the samples times `gain`, with a soft clipper above the knee."""
    if gain == 1.0:
        return samples
    scaled: npt.NDArray[np.float64] = samples.astype(np.float64) * (gain / FULL_SCALE)
    size = np.abs(scaled)
    over = size > KNEE
    if over.any():
        room = 1.0 - KNEE
        scaled[over] = np.sign(scaled[over]) * (KNEE + room * np.tanh((size[over] - KNEE) / room))
    return np.round(scaled * FULL_SCALE).astype(np.int16)
