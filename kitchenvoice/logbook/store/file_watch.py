"""Are the record's files still the ones that were opened? A look that costs three calls to the system.

A program that has a file open goes on writing into it after somebody has taken it away, put another one in its place or
cut it: nobody would ever find again what was written then. The files of a log only grow while it is open.
"""

from __future__ import annotations

import os
from pathlib import Path

from kitchenvoice.errors import LogbookDamaged
from kitchenvoice.logbook.tables.files import FILES

__all__ = ["FileWatch"]


class FileWatch:
    """Remembers which files a log has open and how long they were."""

    def __init__(self, folder: Path) -> None:
        self._paths = [folder / name for name in reversed(FILES)]  # the index first
        self._known: dict[Path, os.stat_result] = {}

    def note(self) -> None:
        """Remember the files as they are now."""
        self._known = {path: there for path in self._paths if (there := _stat(path)) is not None}

    def check(self) -> None:
        """Raises: LogbookDamaged if one is gone, another one than it was, or shorter."""
        for path, known in self._known.items():
            there = _stat(path)
            if there is None:
                raise LogbookDamaged("The logbook file is gone.")
            if not os.path.samestat(there, known):
                raise LogbookDamaged("The logbook file was replaced by another one.")
            if there.st_size < known.st_size:
                if path.name.endswith("-shm"):  # it is mapped into memory: to read beyond its end would kill us
                    os.truncate(path, known.st_size)
                raise LogbookDamaged("The logbook file was cut short.")


def _stat(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None
