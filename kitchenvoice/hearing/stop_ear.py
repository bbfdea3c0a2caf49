"""The ear that is open while we speak: our own voice is taken out, and of all words only those that stop us are known.

Everything else stays half duplex. Pure: samples in, at most a text out. Our own sentences may hold the words that stop
us ("say stop talking"): such a sentence is spoken to its end, since a filter that learns can't be trusted with that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.echo import HOP, EchoCanceller
from kitchenvoice.ports import EAR_RATE_HZ, Recogniser, Samples

__all__ = ["STOP_PHRASES", "TRAINING_S", "StopEar"]

STOP_PHRASES = ("stop talking", "be quiet")
TRAINING_S = 4.0
"""How much of our own voice the filter has to hear before its rest is listened to: it begins by knowing nothing. By
then it takes 12 dB away (measured); after 2 s it was 7, and "say kitchen voice, help" was heard as a stop word once."""
AGAIN_S = 2.0
"""The same after a change, when most of what was learnt still holds."""
LOOK_S, FAILING = 2.0, 0.63
"""If over so long at least this share (-2 dB) of the power is left, a delay has jumped and is learnt again. A cook who
says a stop phrase talks for half of it."""
RINGING_S = 0.8
"""How long the end of a sentence of ours can still be heard: the sound system's delay and the room's."""
STEP = EAR_RATE_HZ // 10
"""Samples that are decoded at a time; the engine works in steps of about 0.1 s."""
FULL_SCALE = 32_768.0
PLAYING = 30
"""Peak from which on what we play counts as sound; the noise that wakes a device has 12."""


class StopEar:
    """Hear the words that stop us through our own voice. `begin`, then `hear` block by block, then `end`."""

    def __init__(
        self,
        recogniser: Recogniser,
        attention: str,
        phrases: Sequence[str] = STOP_PHRASES,
        knows: Callable[[str], bool] = lambda _: False,
    ) -> None:
        """Listen with `recogniser` for `phrases`, with the attention phrase before them or without.

        `knows` tells whether the recogniser's model has a word. Raises: BadGrammar if it lacks one of the phrases'.
        """
        self._recogniser = recogniser
        self._phrases = tuple(phrases)
        self._wanted = [*phrases, *(f"{attention} {phrase}" for phrase in phrases)]
        self._knows = knows
        recogniser.set_phrases(self._wanted)
        self._canceller = EchoCanceller()
        self._trained = 0
        self._look = np.zeros(3)
        self._waiting: list[Samples] = []
        self._deaf = False
        self._deaf_for = 0
        self._before = ""

    def doubt(self) -> None:
        """Learn the room again, and listen to nothing until then: the delays of the sound system have changed."""
        self._canceller.doubt()
        self._trained = min(self._trained, round((TRAINING_S - AGAIN_S) * EAR_RATE_HZ))

    def begin(self, text: str) -> None:
        """Hear that a sentence of ours begins, and which."""
        self.end()
        words = _plain(text)
        self._deaf = any(f" {phrase} " in f" {words} " for phrase in self._phrases)
        self._recogniser.set_phrases([*self._wanted, *self._decoys(words)])

    def _decoys(self, words: str) -> list[str]:
        """Return what we say ourselves, in runs of known words: a rest of it is then heard as what it is."""
        runs = "".join(f" {word}" if self._knows(word) else "|" for word in words.split()).split("|")
        return [run.strip() for run in runs if run.strip()]

    def end(self) -> None:
        """Hear that the sentence is over; what it leaves in the room counts as part of it."""
        self._recogniser.finish()
        self._waiting.clear()
        self._before = ""
        if self._deaf:
            self._deaf, self._deaf_for = False, round(RINGING_S * EAR_RATE_HZ)

    def hear(self, heard: Samples, played: Samples) -> str | None:
        """Take one hop of the microphone and what was in the air then; return the phrase that was said, if one was."""
        left = self._canceller.clean(heard / FULL_SCALE, played / FULL_SCALE)
        if np.abs(played).max(initial=0) >= PLAYING:
            self._trained += HOP
            self._watch(float(np.mean(left**2)), float(np.mean((heard / FULL_SCALE) ** 2)))
        self._deaf_for = max(0, self._deaf_for - HOP)
        if self._deaf or self._deaf_for or self._trained < TRAINING_S * EAR_RATE_HZ:
            return None
        self._waiting.append(_samples(left))
        if len(self._waiting) * HOP < STEP:
            return None
        self._recogniser.accept(np.concatenate(self._waiting))
        self._waiting.clear()
        return self._decide()

    def _watch(self, left: float, heard: float) -> None:
        """See whether the filter does its work; if not, let it learn fast again."""
        self._look += (left, heard, HOP / EAR_RATE_HZ)
        if self._look[2] >= LOOK_S:
            if self._look[0] > FAILING * self._look[1] and self._trained > TRAINING_S * EAR_RATE_HZ:
                self._canceller.doubt()
            self._look[:] = 0.0

    def _decide(self) -> str | None:
        """Obey what was heard in two steps running: what comes and goes at once was a guess."""
        text = self._recogniser.partial()
        said = next((phrase for phrase in self._phrases if f" {phrase} " in f" {text} "), None)
        before, self._before = self._before, said or ""
        if said is None or before != said:
            return None
        self.end()
        return said


def _plain(text: str) -> str:
    """Return only the words, so that a comma between two of them hides nothing."""
    return " ".join("".join(letter if letter.isalpha() else " " for letter in text.lower()).split())


def _samples(sound: npt.NDArray[np.float64]) -> Samples:
    cut: Samples = np.clip(np.rint(sound * FULL_SCALE), -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)
    return cut
