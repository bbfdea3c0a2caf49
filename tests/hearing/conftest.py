"""Shared fixtures of the ear's tests: the model, spoken sentences, a virtual sound card."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.hearing import read_wav
from kitchenvoice.ports import Samples

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def model_folder() -> Path:
    """The unpacked speech model: KITCHENVOICE_MODEL, else models/."""
    named = os.environ.get("KITCHENVOICE_MODEL")
    found = [Path(named)] if named else sorted(final.parents[1] for final in ROOT.glob("models/**/am/final.mdl"))
    if not found:
        pytest.fail("no speech model: run scripts/fetch_model, or name its folder in KITCHENVOICE_MODEL")
    return found[0]


@pytest.fixture(scope="session")
def say(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Samples]:
    """Speak a sentence with a synthetic voice; -26 dBFS, silence trimmed."""
    folder = tmp_path_factory.mktemp("spoken")

    @lru_cache
    def spoken(text: str, voice: str = "slt", level_dbfs: float = -26.0) -> Samples:
        path = folder / "said.wav"
        if voice.startswith("en"):
            command = ["espeak-ng", "-v", voice, "-s", "160", "-w", str(path), text]
        else:
            command = ["flite", "-voice", voice, "-t", text, "-o", str(path)]
        subprocess.run(command, check=True, capture_output=True)
        sound = read_wav(path).astype(np.float64)
        loud = np.flatnonzero(np.abs(sound) > 0.02 * np.abs(sound).max())
        sound = sound[loud[0] : loud[-1] + 1]
        sound *= 32768.0 * 10.0 ** (level_dbfs / 20.0) / np.sqrt(np.mean(sound**2))
        return np.clip(sound, -32768, 32767).astype(np.int16)

    return spoken
