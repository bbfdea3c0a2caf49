"""The synthesiser: text in, samples out, by pyttsx3 on espeak-ng, with a cache of rendered sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound
from kitchenvoice.speaking.cache import Memory, prepared
from kitchenvoice.speaking.espeak_engine import EngineThread, Request, shared_engine
from kitchenvoice.speaking.text_normalisation import for_the_ear, language_of

__all__ = ["DEFAULT_RATE_WPM", "DEFAULT_VOICE", "RATES_WPM", "Pyttsx3Synthesiser"]

RATES_WPM = (80, 300)
"""Range that the engine takes without clipping, words a minute (read back: 80 and 450; nobody follows above 300)."""
DEFAULT_RATE_WPM = 150
DEFAULT_VOICE = "gmw/en-us"
"""The best of four rates (130 to 190) and two voices for a recogniser in hiss; 49 words a cell, so a weak reason.
To measure again: scripts/bench_speaking.
"""
EMPTY_RATE_HZ = 22_050


class Pyttsx3Synthesiser:
    """Render sentences (12 to 15 ms for two seconds of speech) and cache the latest.

    All synthesisers of a process share one engine; each has its own voice and rate. Thread-safe.
    """

    def __init__(
        self,
        rate_wpm: int = DEFAULT_RATE_WPM,
        voice: str = DEFAULT_VOICE,
        *,
        patience_s: float = 5.0,
        engine: Callable[[], EngineThread] = shared_engine,
    ) -> None:
        """Start the engine if needed, and check the voice: the engine's identifier or its last part (`en-us`).

        Raises: VoiceMissing if espeak-ng isn't installed, doesn't answer, or lacks this voice.
        """
        self._engine = engine()
        found = [known for known in self._engine.voices if voice in (known, known.rpartition("/")[2])]
        if not found:
            raise VoiceMissing(f"The engine has no voice {voice}. Choose en-us or another that espeak-ng lists.")
        self._voice, self._language = found[0], language_of(found[0])
        self._patience_s = patience_s
        self._memory = Memory()
        self._rate_wpm = DEFAULT_RATE_WPM
        self.set_rate_wpm(rate_wpm)

    @property
    def name(self) -> str:
        """Name of engine and voice."""
        return f"pyttsx3 2.99 with espeak-ng, voice {self._voice}"

    @property
    def voices(self) -> tuple[str, ...]:
        """Identifiers of the voices that can be chosen."""
        return self._engine.voices

    @property
    def rate_wpm(self) -> int:
        """Words a minute."""
        return self._rate_wpm

    def set_rate_wpm(self, rate_wpm: int) -> None:
        """Speak at this rate from the next sentence on; clipped to `RATES_WPM`."""
        self._rate_wpm = min(max(rate_wpm, RATES_WPM[0]), RATES_WPM[1])

    def render(self, text: str) -> Sound:
        """Return the spoken text, cached if it was rendered before. Raises: VoiceMissing."""
        request = Request(for_the_ear(text, self._language), self._rate_wpm, self._voice)
        if not request.text.strip():
            return Sound(np.zeros(0, dtype=np.int16), EMPTY_RATE_HZ)
        return self._memory.get(request, lambda: self._engine.render(request, self._patience_s))

    def prepare(self, texts: Iterable[str]) -> int:
        """Render texts ahead of time; return how many are ready. A voice that fails is reported later."""
        return prepared(self.render, texts)
