"""A room by image sources: speech in a kitchen, as heard by a distant microphone.

Limitations: an empty shoebox of 4.5 by 6.5 by 2.6 m, the same absorption on every wall and at every frequency,
sources and microphones without direction. The method is that of Allen and Berkley (Journal of the Acoustical Society of
America 65(4), 1979), with delays by windowed sinc.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["RT60_S", "SIZE_M", "decay_s", "impulse_response", "in_room"]

Floats = npt.NDArray[np.float64]

SIZE_M = (4.5, 6.5, 2.6)
"""Length, width and height of the kitchen in metres."""

RT60_S = 0.45
"""Reverberation time aimed at, seconds: a furnished kitchen with hard floors (common practice, no source)."""

SOUND_M_PER_S = 343.0
_TAPS = 16
_LENGTH_S = 0.6


def in_room(samples: Samples, distance_m: float, seed: int) -> Samples:
    """Return the speech as heard `distance_m` away, at the level it had (a level control is assumed), tail included.

    Args:
        samples: dry speech at 16 kHz.
        distance_m: 0.2 to 5.
        seed: picks where in the room speaker and microphone are.
    """
    response = impulse_response(distance_m, seed)
    dry = samples.astype(np.float64)
    size = 1 << (len(dry) + len(response)).bit_length()
    wet = np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(response, size), size)[: len(dry) + len(response)]
    level_in = float(np.sqrt(np.sum(dry**2)))
    level_out = float(np.sqrt(np.sum(wet**2)))
    gain = level_in / level_out if level_out > 0.0 else 1.0
    peak = float(np.max(np.abs(wet), initial=1.0)) * gain
    heard: Samples = np.rint(wet * gain * min(1.0, 32000.0 / max(peak, 1.0))).astype(np.int16)
    return heard


@lru_cache(maxsize=64)
def impulse_response(distance_m: float, seed: int) -> Floats:
    """Return the room's response between two places `distance_m` apart, direct sound at the first samples.

    Raises: ValueError if the distance doesn't fit into the room.
    """
    if not 0.2 <= distance_m <= 5.0:
        raise ValueError(f"{distance_m} metres don't fit into this kitchen. Use 0.2 to 5.")
    source, microphone = _places(distance_m, np.random.default_rng([seed, round(distance_m * 100)]))
    delays, gains = _images(source, microphone, np.sqrt(1.0 - _absorption()))
    first = float(np.min(delays))
    keep = delays - first < _LENGTH_S
    return _place_taps(delays[keep] - first, gains[keep])


def decay_s(response: Floats) -> float:
    """Return the reverberation time: the backward integral's fall from -5 to -25 dB, times three."""
    energy = np.cumsum(response[::-1] ** 2)[::-1]
    level = 10.0 * np.log10(np.maximum(energy / energy[0], 1e-12))
    from_5, from_25 = int(np.argmax(level <= -5.0)), int(np.argmax(level <= -25.0))
    return 3.0 * (from_25 - from_5) / EAR_RATE_HZ


def _absorption() -> float:
    """Return the walls' absorption for the wanted decay.

    Eyring's formula gives the start; the factor corrects it for what image sources do in a room whose height is small
    against its width (measured with `decay_s`, see the tests).
    """
    x, y, z = SIZE_M
    surface = 2.0 * (x * y + y * z + x * z)
    eyring = 1.0 - np.exp(-0.161 * x * y * z / (surface * RT60_S))
    return float(eyring * _CORRECTION)


_CORRECTION = 1.55


def _places(distance_m: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Pick a mouth (1.5 m high) and a microphone (1.0 m high where the distance allows it), 0.3 m from the walls."""
    drop = min(0.5, 0.5 * distance_m)
    reach = float(np.sqrt(distance_m**2 - drop**2))
    low, high = np.array([0.3, 0.3]), np.array(SIZE_M[:2]) - 0.3
    while True:
        mouth = rng.uniform(low, high)
        angle = rng.uniform(0.0, 2.0 * np.pi)
        ear = mouth + reach * np.array([np.cos(angle), np.sin(angle)])
        if np.all(ear >= low) and np.all(ear <= high):
            return np.array([*mouth, 1.5]), np.array([*ear, 1.5 - drop])


def _images(source: Floats, microphone: Floats, reflection: float) -> tuple[Floats, Floats]:
    """Return delay (s) and gain of every image that arrives within the response's length."""
    reach_m = (_LENGTH_S + 0.03) * SOUND_M_PER_S
    axes: list[tuple[Floats, Floats]] = []
    for side, here, there in zip(SIZE_M, source, microphone, strict=True):
        n = np.arange(-int(reach_m / (2.0 * side)) - 1, int(reach_m / (2.0 * side)) + 2)
        offset = np.concatenate([2.0 * n * side + here - there, 2.0 * n * side - here - there])
        bounces = np.concatenate([2 * np.abs(n), np.abs(n) + np.abs(n - 1)])
        axes.append((offset**2, bounces.astype(np.float64)))
    squared = axes[0][0][:, None, None] + axes[1][0][None, :, None] + axes[2][0][None, None, :]
    count = axes[0][1][:, None, None] + axes[1][1][None, :, None] + axes[2][1][None, None, :]
    near = squared < reach_m**2
    distance = np.sqrt(squared[near])
    return distance / SOUND_M_PER_S, reflection ** count[near] / (4.0 * np.pi * np.maximum(distance, 0.05))


def _place_taps(delays_s: Floats, gains: Floats) -> Floats:
    """Sum the images, each as a short windowed sinc at its exact delay."""
    position = delays_s * EAR_RATE_HZ + _TAPS
    whole = np.floor(position).astype(np.int64)
    response = np.zeros(int(_LENGTH_S * EAR_RATE_HZ) + 2 * _TAPS + 2)
    for tap in range(-_TAPS + 1, _TAPS + 1):
        off = tap - (position - whole)
        window = 0.5 + 0.5 * np.cos(np.pi * off / (_TAPS + 1))
        response += np.bincount(whole + tap, gains * np.sinc(off) * window, len(response))
    return response / max(float(np.max(np.abs(response))), 1e-12)
