"""Sound at the microphone: synthetic voices, cached, under the conditions of distance and noise."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from random import Random

import numpy as np

from kitchenvoice.hearing import read_wav
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import Cook
from kitchenvoice.rehearsal.kitchen_noise import active_level, kitchen_noise, mix
from kitchenvoice.rehearsal.room import in_room

__all__ = ["CONDITIONS", "Clip", "Condition", "human_numbers", "human_recordings", "place", "spoken"]

_RECORDINGS = Path("/usr/share/asterisk/sounds")
"""Recordings of a person in the Debian package of telephone prompts (8,000 samples a second)."""


@dataclass(frozen=True, slots=True)
class Condition:
    """Path to the microphone: distance in metres (`None`: at the mouth) and noise ratio (`None`: none)."""

    name: str
    distance_m: float | None = None
    snr_db: float | None = None


CONDITIONS = (
    Condition("clean"),
    Condition("20 dB", snr_db=20.0),
    Condition("10 dB", snr_db=10.0),
    Condition("5 dB", snr_db=5.0),
    Condition("0 dB", snr_db=0.0),
    Condition("0.5 m", 0.5),
    Condition("1 m", 1.0),
    Condition("3 m", 3.0),
    Condition("5 m", 5.0),
    Condition("1 m + 20 dB", 1.0, 20.0),
    Condition("3 m + 20 dB", 3.0, 20.0),
)


@dataclass(frozen=True, slots=True)
class Clip:
    """Sound with the sample of the true end of speech."""

    samples: Samples
    speech_end: int


def spoken(cook: Cook, text: str, rate: float, cache: Path) -> Samples:
    """Return the sentence by this voice; rendered once, then cached."""
    key = hashlib.sha256(f"{cook}|{text}|{rate}".encode()).hexdigest()[:24]
    file = cache / f"{key}.npy"
    if not file.exists():
        said = cook.say(text, rate=rate)
        part = file.with_suffix(f".{Random().randrange(10**9)}.npy")
        np.save(part, said)
        part.rename(file)
    loaded: Samples = np.load(file)
    return loaded


def place(speech: Samples, condition: Condition, seed: int, *, before_s: float = 0.7, after_s: float = 2.0) -> Clip:
    """Put a sentence into the room and the noise; both go on before and after it, so that its end must be detected."""
    dry = speech.astype(np.int32)
    loud = np.nonzero(np.abs(dry) > 0.03 * active_level(speech) + 8.0)[0]
    end = int(loud[-1]) + 1 if len(loud) else len(speech)
    if condition.distance_m is not None:
        speech = in_room(speech, condition.distance_m, seed % 5)
    sound = np.zeros(round(before_s * EAR_RATE_HZ) + max(len(speech), end) + round(after_s * EAR_RATE_HZ), np.int16)
    start = round(before_s * EAR_RATE_HZ)
    sound[start : start + len(speech)] = speech[: len(sound) - start]
    hiss = np.random.default_rng(seed).normal(0.0, 6.0, len(sound))
    sound = np.clip(sound + np.rint(hiss), -32768, 32767).astype(np.int16)
    if condition.snr_db is not None:
        sound = mix(sound, kitchen_noise("kitchen", len(sound) / EAR_RATE_HZ, seed), condition.snr_db)
    return Clip(sound, start + end)


def human_recordings() -> tuple[Path, ...]:
    """Return the recorded prompts of a person, if their package is installed; single digits and letters left out."""
    return tuple(sorted(file for file in _RECORDINGS.glob("*/*.wav") if file.stat().st_size > 16_000))


def human_numbers() -> dict[int, Samples]:
    """Return 0 to 99 spoken by a person: the recorded number words, tens and ones spliced 40 ms apart."""
    folders = sorted(_RECORDINGS.glob("*/digits"))
    if not folders:
        return {}
    words = {
        number: read_wav(folders[0] / f"{number}.wav")
        for number in (*range(20), *range(20, 100, 10))
        if (folders[0] / f"{number}.wav").exists()
    }
    gap = np.zeros(round(0.04 * EAR_RATE_HZ), np.int16)
    numbers = dict(words)
    for number in range(21, 100):
        tens, ones = number // 10 * 10, number % 10
        if ones and tens in words and ones in words:
            numbers[number] = np.concatenate([_trimmed(words[tens]), gap, words[ones]])
    return dict(sorted(numbers.items()))


def _trimmed(samples: Samples) -> Samples:
    loud = np.nonzero(np.abs(samples.astype(np.int32)) > 200)[0]
    return samples[: int(loud[-1]) + 1] if len(loud) else samples
