"""Writer lock: a lock file that the system releases when its holder dies, however it dies."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kitchenvoice.errors import LogbookBusy, LogbookError, LogbookTaken
from kitchenvoice.files import read_small
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import LOCK

__all__ = ["WriterLock", "advised_while_written"]


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


@contextmanager
def advised_while_written(folder: Path) -> Iterator[None]:
    """Where a session writes, another fault of the file is the session's to mend: advise a reader to let it."""
    try:
        yield
    except LogbookBusy:
        raise
    except LogbookError as error:
        holder = _holder(folder / LOCK)
        if holder is None:
            raise
        fact = str(error).split(". ")[0].rstrip(".")
        raise type(error)(
            f"{fact}. A session is writing it (process {holder}): let that go on and change nothing. It says aloud if "
            "it can't record, and mends what it can. Look again after its end."
        ) from error


def _holder(path: Path) -> str | None:
    """Return the process that holds the lock, `None` if none does."""
    try:
        content = read_small(path, 32)
        handle = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    except (OSError, ValueError):
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return _digits(content)
    finally:
        os.close(handle)
    return None


def _digits(text: bytes) -> str:
    return text.strip().decode("ascii", "replace") if text.strip().isdigit() else "unknown"
