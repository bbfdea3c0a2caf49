"""Tones told apart by rhythm, not by pitch, for worn ears and small speakers.

    attention  ..          two quick pulses (also: I am listening)
    accepted   .           one quick pulse
    refused    ___         one long low pulse, with a flutter
    timer      - - -       three even pulses
    alarm      --- -- --- --   three and two, twice

Synthesised by arithmetic, so that an alarm needs no voice. Fundamentals of 523 to 784 Hz with six harmonics (energy
from 500 Hz to 4 kHz: neither a small speaker nor steam hiss masks all of it), edges of 15 % of the pulse. The 3 + 2
rhythm, pulses of 150 ms, harmonics within 15 dB and rise of 10 to 20 % follow IEC 60601-1-8 as secondary sources give
it; the other rhythms are our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import Sound
from kitchenvoice.speaking.levels import FULL_SCALE

__all__ = ["ALARM_TONES", "TONES", "TONE_RATE_HZ", "make_tone", "tone_names"]

TONE_RATE_HZ = 22_050
HARMONIC_STEP_DB = 2.5
"""Attenuation of each harmonic against the one before; the sixth is 12.5 dB below the first."""
HARMONICS = 6
EDGE = 0.15
LEAD_OUT_S = 0.12
ALARM_TONES = frozenset({"alarm", "timer"})
"""Tones at the alarm volume instead of the speech volume."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """One pulse and the pause after it. `flutter_hz` is how often its strength is switched on and off a second."""

    pitch_hz: float
    length_s: float
    pause_s: float
    flutter_hz: float = 0.0


def _pulses(pitches: tuple[float, ...], length_s: float, pause_s: float) -> tuple[Pulse, ...]:
    return tuple(Pulse(pitch, length_s, pause_s) for pitch in pitches)


_THREE_AND_TWO = (
    *_pulses((622.0, 622.0), 0.15, 0.10),
    *_pulses((622.0,), 0.15, 0.30),
    *_pulses((622.0,), 0.15, 0.10),
    *_pulses((622.0,), 0.15, 0.55),
)

PATTERNS: Mapping[str, tuple[tuple[Pulse, ...], float]] = MappingProxyType(
    {
        "attention": (_pulses((659.0, 659.0), 0.07, 0.07), 0.30),
        "accepted": (_pulses((784.0,), 0.09, 0.0), 0.30),
        "refused": ((Pulse(523.0, 0.55, 0.0, flutter_hz=14.0),), 0.35),
        "timer": (_pulses((523.0, 659.0, 784.0), 0.20, 0.20), 0.85),
        "alarm": ((*_THREE_AND_TWO, *_THREE_AND_TWO), 0.92),
    }
)
"""Pulses of each tone and its peak as a share of full scale."""


def tone_names() -> tuple[str, ...]:
    """Return the tone names that an announcement may have."""
    return tuple(sorted(PATTERNS))


def make_tone(name: str, rate_hz: int = TONE_RATE_HZ) -> Sound:
    """Return one tone. Raises: KeyError for a name that isn't in `tone_names()`."""
    pulses, peak = PATTERNS[name]
    parts = [part for pulse in pulses for part in (_wave(pulse, rate_hz), _silence(pulse.pause_s, rate_hz))]
    wave = np.concatenate([*parts, _silence(LEAD_OUT_S, rate_hz)])
    return Sound(np.round(wave * (peak * FULL_SCALE / np.abs(wave).max())).astype(np.int16), rate_hz)


def _wave(pulse: Pulse, rate_hz: int) -> npt.NDArray[np.float64]:
    t = np.arange(round(pulse.length_s * rate_hz)) / rate_hz
    wave = np.zeros_like(t)
    for n in range(1, HARMONICS + 1):
        # Phases of growing steps keep the peaks of the harmonics apart: more level at the same full scale.
        phase = np.pi * n * (n - 1) / HARMONICS
        wave += 10 ** (-HARMONIC_STEP_DB * (n - 1) / 20) * np.sin(2 * np.pi * n * pulse.pitch_hz * t + phase)
    if pulse.flutter_hz:
        wave *= 0.55 + 0.45 * np.cos(2 * np.pi * pulse.flutter_hz * t)
    edge = max(1, round(EDGE * len(t)))
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(edge) / edge)
    wave[:edge] *= ramp
    wave[-edge:] *= ramp[::-1]
    return wave


def _silence(seconds: float, rate_hz: int) -> npt.NDArray[np.float64]:
    return np.zeros(round(seconds * rate_hz))


TONES: Mapping[str, Sound] = MappingProxyType({name: make_tone(name) for name in PATTERNS})
"""All tones, made at import (a few milliseconds), before anything can fail."""
