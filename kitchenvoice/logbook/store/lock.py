"""Writer lock: a lock file that the system releases when its holder dies, however it dies."""

from __future__ import annotations

import fcntl
import os
from pathlib import Path

from kitchenvoice.errors import LogbookTaken
from kitchenvoice.logbook.tables.disk_errors import explained

__all__ = ["WriterLock"]


class WriterLock:
    """The right to write the logbook in a folder. Readers don't need it."""

    def __init__(self, path: Path) -> None:
        """Take the lock. Raises: LogbookTaken, naming the process that holds it."""
        with explained(path.parent):
            self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            holder = _digits(os.pread(self._file, 32, 0))
            os.close(self._file)
            self._file = -1
            raise LogbookTaken(
                f"Another kitchenvoice is writing the logbook: process {holder}. Close that one first."
            ) from None
        try:
            os.ftruncate(self._file, 0)
            os.pwrite(self._file, f"{os.getpid()}\n".encode(), 0)
        except OSError:
            pass  # a full disk: the lock holds all the same, only its holder has no name

    def release(self) -> None:
        """Release the lock. Safe to call twice."""
        if self._file >= 0:
            os.close(self._file)
            self._file = -1


def _digits(text: bytes) -> str:
    return text.strip().decode("ascii", "replace") if text.strip().isdigit() else "unknown"
