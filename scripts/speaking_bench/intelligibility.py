"""Intelligibility of voices and rates in kitchen noise: by our own recogniser, and by the STOI measure.

The recogniser chooses among known sentences: its failures stand in for a listener's. STOI (Taal and others, IEEE
Transactions on Audio, Speech, and Language Processing 19(7), 2011, by pystoi) compares the noisy sound with the clean
one: it measures masking by the noise, not the clarity of a voice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import soxr
from pystoi import stoi

from kitchenvoice.ports import EAR_RATE_HZ, PhraseRecogniser, Samples, Synthesiser
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix
from kitchenvoice.speaking.levels import levelled

__all__ = ["NOISE", "SENTENCES", "SNRS_DB", "Cell", "measured"]

SNRS_DB = (20, 10, 5, 0, -5)
NOISE = "kitchen"
SENTENCES = (
    "load two is done turn off the heat",
    "pressure is below eleven pounds bring it back up",
    "the time starts over when the pressure is back",
    "put seven jars in the canner",
    "wipe the rim of every jar with a damp cloth",
    "seven jars packed is that right",
    "fifteen jars sealed one failed",
    "fifty minutes left on load one",
    "fifteen minutes left on load one",
    "let the steam come out for ten minutes",
    "twenty five minutes left on load one",
    "thirty five minutes left on load one",
    "wait until the gauge is at zero before you open it",
    "set the weight on the vent now",
    "put the jar that did not seal in the refrigerator",
    "the hold is done turn off the heat",
)
"""Some differ by one number, the kind that must not be confused."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One voice at one rate: share understood and mean STOI at each of `SNRS_DB`, and seconds of speech."""

    name: str
    understood: tuple[float, ...]
    stoi: tuple[float, ...]
    seconds: float


def measured(name: str, voice: Synthesiser, recogniser: PhraseRecogniser, sentences: Sequence[str] = SENTENCES) -> Cell:
    """Return the scores of the sentences in noise."""
    recogniser.set_phrases(sentences)
    right, clear, seconds = np.zeros(len(SNRS_DB)), np.zeros(len(SNRS_DB)), 0.0
    for number, sentence in enumerate(sentences):
        clean = _at_ear_rate(voice, sentence)
        seconds += len(clean) / EAR_RATE_HZ
        noise = kitchen_noise(NOISE, len(clean) / EAR_RATE_HZ, number)
        for place, snr_db in enumerate(SNRS_DB):
            noisy = mix(clean, noise, snr_db)
            recogniser.accept(noisy)
            texts, _ = recogniser.finish()
            right[place] += bool(texts) and texts[0] == sentence
            clear[place] += stoi(clean / 32768.0, noisy / 32768.0, EAR_RATE_HZ)
    count = len(sentences)
    return Cell(name, tuple(right / count), tuple(clear / count), seconds)


def _at_ear_rate(voice: Synthesiser, text: str) -> Samples:
    sound = levelled(voice.render(text))
    even = soxr.resample(sound.samples, sound.rate_hz, EAR_RATE_HZ)
    around = np.random.default_rng(0).integers(-1, 2, EAR_RATE_HZ // 4).astype(np.int16)
    return np.concatenate([around, even, around])
