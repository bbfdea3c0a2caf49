"""The sounds of a canning day, modelled with fixed seeds, and the mixing of speech into them.

These are shaped noises, tones and impacts with the spectra and rhythms that such sources have by common experience (no
published source, no recording). They rank conditions; they don't stand for any particular kitchen.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import Cook, voices

__all__ = ["KINDS", "STEADY_KINDS", "active_level", "kitchen_noise", "mix"]

Floats = npt.NDArray[np.float64]

_LEVEL = 3276.8
"""Root mean square of every noise: -20 dBFS."""

_TABLE_TALK = (
    "did you remember to call your sister back about sunday",
    "the neighbours want to come by after lunch with the children",
    "i left the big towels out on the line this morning",
    "there is more coffee in the other pot if you want some",
    "put those peaches over by the window where it is cooler",
    "we should have picked these beans two days ago",
    "hand me that long spoon would you please",
    "it must be ninety degrees out there already",
)
_RADIO_TALK = (
    "good afternoon and welcome back here is the news at two o'clock",
    "traffic is heavy on the bridge this hour so allow yourself some extra time",
    "the county fair opens on friday with prizes for pies quilts and vegetables",
    "tonight clear skies with a low near sixty and light winds from the west",
    "stay with us after the break for the market report and your calls",
)


def kitchen_noise(kind: str, seconds: float, seed: int) -> Samples:
    """Return noise of one kind (see `KINDS`) at 16 kHz and -20 dBFS; the same seed gives the same samples.

    Raises: ValueError for an unknown kind or a length that isn't positive.
    """
    if kind not in _MAKERS:
        raise ValueError(f"There is no noise called {kind}. Use one of {', '.join(KINDS)}.")
    if seconds <= 0.0:
        raise ValueError("Noise needs a length above zero seconds.")
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    return _levelled(_MAKERS[kind](round(seconds * EAR_RATE_HZ), rng))


def mix(speech: Samples, noise: Samples, snr_db: float) -> Samples:
    """Return speech in noise; the noise is as long as the result and repeats if it is shorter than the speech.

    `snr_db` compares the speech's level while somebody speaks (`active_level`) with the noise's mean level. If the sum
    would clip, both are turned down together.
    """
    length = max(len(speech), len(noise))
    repeated = np.resize(noise, length).astype(np.float64)
    noise_level = float(np.sqrt(np.mean(repeated**2)))
    if noise_level > 0.0:
        repeated *= active_level(speech) / noise_level / 10.0 ** (snr_db / 20.0)
    repeated[: len(speech)] += speech
    peak = float(np.max(np.abs(repeated), initial=1.0))
    mixed: Samples = np.rint(repeated * min(1.0, 32000.0 / peak)).astype(np.int16)
    return mixed


def active_level(speech: Samples) -> float:
    """Return the root mean square over the 20 ms frames within 25 dB of the loudest: pauses don't count."""
    frame = EAR_RATE_HZ // 50
    whole = speech[: len(speech) - len(speech) % frame].astype(np.float64)
    if not len(whole):
        return float(np.sqrt(np.mean(speech.astype(np.float64) ** 2))) if len(speech) else 0.0
    power = np.mean(whole.reshape(-1, frame) ** 2, axis=1)
    return float(np.sqrt(np.mean(power[power >= np.max(power) * 10.0**-2.5])))


# ---------------------------------------------------------------- the sources


def _vent(length: int, rng: np.random.Generator) -> Floats:
    """Steam from the vent pipe: 1 to 7 kHz, wavering by a few decibels within seconds."""
    return _band(length, rng, 1000.0, 7000.0, tilt_db=1.0) * _waver(length, rng, 1.5, 0.35)


def _rattle(length: int, rng: np.random.Generator) -> Floats:
    """A weight that rocks about three times a second, over a little steam."""
    struck = _impacts(length, rng, per_s=3.2, jitter=0.15, low_hz=1800.0, high_hz=5200.0, ring_s=0.035, double=True)
    return _levelled_floats(struck) + 0.35 * _levelled_floats(_vent(length, rng))


def _hood(length: int, rng: np.random.Generator) -> Floats:
    """An extractor hood: broad noise that falls with frequency, and the blades' tone with harmonics."""
    broad = _band(length, rng, 60.0, 6000.0, tilt_db=-4.5)
    t = np.arange(length) / EAR_RATE_HZ
    turn = 2.0 * np.pi * 147.0 * t + 0.4 * np.cumsum(_waver(length, rng, 0.5, 0.2) - 1.0) / EAR_RATE_HZ
    tones = sum(np.sin(n * turn) / n**1.2 for n in range(1, 7))
    return _levelled_floats(broad) + 0.4 * _levelled_floats(np.asarray(tones))


def _water(length: int, rng: np.random.Generator) -> Floats:
    """A running tap: 0.4 to 7 kHz with quick, irregular splashing."""
    return _band(length, rng, 400.0, 7000.0, tilt_db=-2.0) * _waver(length, rng, 14.0, 0.45)


def _clatter(length: int, rng: np.random.Generator) -> Floats:
    """Pots, lids and jars set down, one or two a second, of uneven strength."""
    metal = _impacts(length, rng, per_s=1.1, jitter=0.7, low_hz=700.0, high_hz=4500.0, ring_s=0.18, double=False)
    glass = _impacts(length, rng, per_s=0.6, jitter=0.7, low_hz=2500.0, high_hz=6500.0, ring_s=0.06, double=True)
    return _levelled_floats(metal) + 0.6 * _levelled_floats(glass) + 0.02 * rng.standard_normal(length)


def _dishwasher(length: int, rng: np.random.Generator) -> Floats:
    """A pump's hum with water thrown round about once a second."""
    t = np.arange(length) / EAR_RATE_HZ
    hum = sum(np.sin(2.0 * np.pi * 120.0 * n * t) / n for n in (1, 2, 3, 5))
    swish = _band(length, rng, 150.0, 3500.0, tilt_db=-4.0) * (1.0 + 0.7 * np.sin(2.0 * np.pi * 0.9 * t))
    return 0.5 * _levelled_floats(np.asarray(hum)) + _levelled_floats(swish)


def _mixer(length: int, rng: np.random.Generator) -> Floats:
    """A hand mixer: a whine near 420 Hz with many harmonics whose pitch moves with the load."""
    sway = np.cumsum(420.0 * _waver(length, rng, 0.8, 0.06)) / EAR_RATE_HZ
    whine = sum(np.sin(2.0 * np.pi * n * sway) / n**0.7 for n in range(1, 14))
    return _levelled_floats(np.asarray(whine)) + 0.6 * _levelled_floats(_band(length, rng, 300.0, 6500.0, tilt_db=-2.0))


def _babble(length: int, rng: np.random.Generator) -> Floats:
    """Several people talking at once about other things."""
    people = _first_of_each(5)
    return sum((_talk(length, rng, person, _TABLE_TALK) for person in people), np.zeros(length))


def _radio(length: int, rng: np.random.Generator) -> Floats:
    """One announcer through a small loudspeaker (250 Hz to 3.8 kHz)."""
    spoken = _talk(length, rng, _first_of_each(5)[-1], _RADIO_TALK)
    return _filtered(spoken, lambda hz: ((hz > 250.0) & (hz < 3800.0)).astype(np.float64))


def _whole_kitchen(length: int, rng: np.random.Generator) -> Floats:
    """Hood, vent, rattle, clatter and a tap together, the mixture that most conditions of the bench use."""
    parts = ((_hood, 1.0), (_vent, 0.5), (_rattle, 0.5), (_clatter, 0.4), (_water, 0.4))
    return sum((weight * _levelled_floats(maker(length, rng)) for maker, weight in parts), np.zeros(length))


_MAKERS: dict[str, Callable[[int, np.random.Generator], Floats]] = {
    "vent": _vent,
    "rattle": _rattle,
    "hood": _hood,
    "water": _water,
    "clatter": _clatter,
    "dishwasher": _dishwasher,
    "mixer": _mixer,
    "babble": _babble,
    "radio": _radio,
    "kitchen": _whole_kitchen,
}

KINDS = tuple(_MAKERS)
"""Every kind of noise."""

STEADY_KINDS = tuple(kind for kind in KINDS if kind not in ("babble", "radio"))
"""The kinds in which nobody talks."""


# ---------------------------------------------------------------- building blocks


def _filtered(sound: Floats, gain_at: Callable[[Floats], Floats]) -> Floats:
    """Shape the spectrum of the whole sound; padded so that its end doesn't wrap into its beginning."""
    size = 1 << (len(sound) + 1024).bit_length()
    hz = np.fft.rfftfreq(size, 1.0 / EAR_RATE_HZ).astype(np.float64)
    spectrum = np.fft.rfft(sound, size) * gain_at(hz)
    shaped: Floats = np.fft.irfft(spectrum, size)[: len(sound)]
    return shaped


def _band(length: int, rng: np.random.Generator, low_hz: float, high_hz: float, *, tilt_db: float) -> Floats:
    """Return noise between two frequencies with soft edges, `tilt_db` an octave."""

    def gain(hz: Floats) -> Floats:
        safe = np.maximum(hz, 1.0)
        edges = 1.0 / np.sqrt((1.0 + (low_hz / safe) ** 6) * (1.0 + (safe / high_hz) ** 6))
        return np.asarray(edges * 10.0 ** (tilt_db * np.log2(safe / low_hz) / 20.0))

    return _filtered(rng.standard_normal(length), gain)


def _waver(length: int, rng: np.random.Generator, hz: float, depth: float) -> Floats:
    """Return a factor around 1 that moves at random about `hz` times a second; never below 0.05."""
    points = max(int(length / EAR_RATE_HZ * hz * 2.0) + 3, 4)
    at = np.linspace(0.0, points - 1.0, length)
    return np.maximum(1.0 + depth * np.interp(at, np.arange(points), rng.standard_normal(points)), 0.05)


def _impacts(
    length: int,
    rng: np.random.Generator,
    *,
    per_s: float,
    jitter: float,
    low_hz: float,
    high_hz: float,
    ring_s: float,
    double: bool,
) -> Floats:
    """Return struck metal or glass: bursts of a few decaying tones at times that vary by `jitter` of the gap."""
    sound = np.zeros(length + 2 * EAR_RATE_HZ)
    t = np.arange(round(6.0 * ring_s * EAR_RATE_HZ)) / EAR_RATE_HZ
    at_s = rng.uniform(0.0, 1.0 / per_s)
    while at_s * EAR_RATE_HZ < length:
        tones = sum(
            rng.uniform(0.3, 1.0) * np.sin(2.0 * np.pi * rng.uniform(low_hz, high_hz) * t + rng.uniform(0.0, 6.0))
            for _ in range(5)
        )
        struck = np.asarray(tones) * np.exp(-t / ring_s) * rng.uniform(0.4, 1.0)
        for delay_s in (0.0, 0.09) if double else (0.0,):
            start = int((at_s + delay_s) * EAR_RATE_HZ)
            sound[start : start + len(struck)] += struck
        at_s += (1.0 + jitter * rng.uniform(-1.0, 1.0)) / per_s
    return sound[:length]


def _talk(length: int, rng: np.random.Generator, person: Cook, sentences: tuple[str, ...]) -> Floats:
    """Let one person say the sentences in a random order, with short pauses, until the time is filled."""
    said: list[Floats] = []
    total = 0
    while total < length:
        for index in rng.permutation(len(sentences)):
            pause = np.zeros(int(rng.uniform(0.1, 0.6) * EAR_RATE_HZ))
            said.extend([_spoken(person, sentences[index]).astype(np.float64), pause])
            total += len(said[-2]) + len(pause)
    start = int(rng.integers(0, total - length + 1))
    return np.concatenate(said)[start : start + length]


@lru_cache(maxsize=200)
def _spoken(person: Cook, sentence: str) -> Samples:
    return person.say(sentence)


def _first_of_each(number: int) -> tuple[Cook, ...]:
    """Return up to `number` voices of the plain install (flite, espeak-ng), so that the noise is the same anywhere."""
    return tuple(cook for cook in voices() if cook.engine in ("flite", "espeak-ng"))[:number]


def _levelled_floats(sound: Floats) -> Floats:
    return sound / max(float(np.sqrt(np.mean(sound**2))), 1e-9)


def _levelled(sound: Floats) -> Samples:
    """Bring to -20 dBFS; single impacts that would clip are rounded off."""
    scaled = _levelled_floats(sound) * _LEVEL
    limited: Samples = np.rint(32000.0 * np.tanh(scaled / 32000.0)).astype(np.int16)
    return limited
