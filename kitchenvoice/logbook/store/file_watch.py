"""Watch on the record's open files: moved, replaced, truncated or written to? Costs four system calls.

A process with an open file goes on writing to it after it was deleted, replaced or truncated, and those writes would be
lost. The files of a log only grow while it is open.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from kitchenvoice.errors import LogbookDamaged
from kitchenvoice.logbook.tables.files import FILES, NAME

__all__ = ["FileWatch"]


class FileWatch:
    """Identities and sizes of a log's open files."""

    def __init__(self, folder: Path) -> None:
        self._paths = [folder / name for name in reversed(FILES)]  # the index first
        self._known: dict[Path, os.stat_result] = {}
        self._newest = folder / f"{NAME}-wal"
        self._cut = False

    def note(self) -> None:
        """Record the files' present state; one that was taken away just now stays as it was, for the next check."""
        for path in self._paths:
            there, known = _stat(path), self._known.get(path)
            if there and (not known or (os.path.samestat(there, known) and there.st_size >= known.st_size)):
                self._known[path] = there

    def check(self) -> None:
        """Raises: LogbookDamaged if a file is gone, replaced or shorter."""
        if self._paths[-1] not in self._known:
            raise LogbookDamaged("The logbook file is gone.")
        for path, known in self._known.items():
            there = _stat(path)
            if there is None:
                raise LogbookDamaged("The logbook file is gone.")
            if not os.path.samestat(there, known):
                raise LogbookDamaged("The logbook file was replaced by another one.")
            if self._cut or there.st_size < known.st_size:
                self._cut = True  # told with the next entry, although the index is as long as before again
                if path.name.endswith("-shm"):  # it is mapped into memory: a read beyond its end would kill the process
                    with suppress(FileNotFoundError):  # taken away since it was looked at
                        os.truncate(path, known.st_size)
                raise LogbookDamaged("The logbook file was cut short.")

    def was_written(self) -> bool:
        """True if the newest part was written to after the state that was recorded: by another program."""
        known = self._known.get(self._newest)
        there = _stat(self._newest)
        return known is not None and there is not None and there.st_mtime_ns != known.st_mtime_ns

    def is_as_left(self) -> bool:
        """True if a thread beside the writer may open the files: all are those known, and none is shorter."""
        try:
            self.check()
        except LogbookDamaged:
            return False
        return True


def _stat(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None
