"""The kitchen's own folder on this machine: profile, logbook, backups, models."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

from kitchenvoice.errors import BadProfile
from kitchenvoice.files import make_folder, write_out

__all__ = ["ENVIRONMENT", "home", "home_path", "write_paper"]

_PAPER = frozenset({".pdf", ".html", ".txt", ".ics", ".csv"})
"""Endings of paper that a cook may keep in the kitchen's folder, and print again."""
ENVIRONMENT = "KITCHENVOICE_HOME"
"""Environment variable with another folder than the platform's for user data."""


def home() -> Path:
    """Return the kitchen's folder, made private to its owner if it doesn't exist.

    Raises: BadProfile if it can't be made or is no folder.
    """
    folder = home_path()
    try:
        make_folder(folder)
    except OSError as exc:
        raise BadProfile(
            f"The kitchen's folder {folder} can't be made: {exc.strerror}. Name another one with {ENVIRONMENT}."
        ) from exc
    return folder


def home_path() -> Path:
    """Return the path of the kitchen's folder: KITCHENVOICE_HOME, else the platform's folder for data."""
    named = os.environ.get(ENVIRONMENT)
    return Path(named).expanduser() if named else _data_folder() / "kitchenvoice"


def write_paper(path: Path, content: bytes) -> None:
    """Write to a path given by the cook, but not over profile, logbook or backups. Raises: OSError."""
    folder, place = (Path(os.path.realpath(each)) for each in (home_path(), path))  # of links in a circle too
    if place.parent in (folder, folder / "backups") and place.exists() and place.suffix not in _PAPER:
        raise PermissionError(errno.EACCES, "it is the kitchen's own file", str(path))
    write_out(path, content)


def _data_folder() -> Path:
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    named = os.environ.get("XDG_DATA_HOME", "")
    return Path(named) if Path(named).is_absolute() else Path.home() / ".local" / "share"
