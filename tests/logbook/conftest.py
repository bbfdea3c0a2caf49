"""Folders in memory where available: killing a process needs no disk, and a synced disk is slow."""

from __future__ import annotations

import os
import shutil
import subprocess
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


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of four megabytes."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(place)]
    if os.getuid() or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("only root, where mounting is allowed, can make a small disk")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)
