"""Folders in memory where there are some: killing a process doesn't need a disk, and a synced disk is slow."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from .days import IN_MEMORY


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    """A folder for one test. `scripts/crash_test` and the bench work on a real disk."""
    path = Path(tempfile.mkdtemp(prefix="logbook-", dir=IN_MEMORY))
    yield path
    shutil.rmtree(path)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"
