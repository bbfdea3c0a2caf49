"""What the live tests share."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.app.compose import CACHE
from kitchenvoice.ports import Samples
from kitchenvoice.rehearsal.cook import voice

from .kitchen import Kitchen


@pytest.fixture(scope="session")
def cook() -> Callable[[str], Samples]:
    """Speak a sentence with the synthetic cook's voice, without the silence around it."""

    @lru_cache
    def say(text: str) -> Samples:
        sound = voice("flite slt").say(text)
        loud = np.flatnonzero(np.abs(sound) > 0.02 * np.abs(sound).max())
        return sound[loud[0] : loud[-1] + 1]

    return say


@pytest.fixture(scope="session")
def graphs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Compiled word graphs, which the first kitchen leaves to the others."""
    return tmp_path_factory.mktemp("graphs") / CACHE


@pytest.fixture
def kitchen(tmp_path: Path, graphs: Path) -> Iterator[Kitchen]:
    """A virtual sound card with a recorder at its loudspeaker."""
    made = Kitchen(tmp_path)
    if graphs.exists():
        shutil.copytree(graphs, made.home / CACHE)
    yield made
    made.close()
    if not graphs.exists() and (made.home / CACHE).exists():
        shutil.copytree(made.home / CACHE, graphs)
