"""Errors of the disk and the file as one sentence that can be read aloud."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kitchenvoice.errors import LogbookBusy, LogbookDamaged, LogbookError

__all__ = ["explained"]

_FULL = "The disk is full, so nothing can be recorded. Free some space; recording goes on by itself."
_READ_ONLY = (
    "The folder of the logbook can't be written to, so nothing can be recorded. "
    "Make it writable; kitchenvoice check names it."
)
_LOCKED = "Another program has the logbook locked. Close it; recording goes on by itself."
_DAMAGED = "The logbook file is damaged. Run kitchenvoice logbook restore, to go back to a backup."
_CANT_OPEN = "The logbook can't be opened. Make sure that {folder} exists and belongs to you."
_DISK_ERROR = "The disk reports an error, so nothing can be recorded. Check the disk and its cable, or use another one."

_SENTENCES: tuple[tuple[str, str, type[LogbookError]], ...] = (
    ("SQLITE_FULL", _FULL, LogbookError),
    ("SQLITE_IOERR_SHM", _FULL, LogbookError),
    ("SQLITE_READONLY", _READ_ONLY, LogbookError),
    ("SQLITE_PERM", _READ_ONLY, LogbookError),
    ("SQLITE_BUSY", _LOCKED, LogbookBusy),
    ("SQLITE_LOCKED", _LOCKED, LogbookBusy),
    ("SQLITE_CORRUPT", _DAMAGED, LogbookDamaged),
    ("SQLITE_NOTADB", _DAMAGED, LogbookDamaged),
    ("SQLITE_ERROR", _DAMAGED, LogbookDamaged),
    ("SQLITE_CANTOPEN", _CANT_OPEN, LogbookError),
    ("SQLITE_IOERR", _DISK_ERROR, LogbookError),
)
_OF_SYSTEM = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EFBIG: _FULL,
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _READ_ONLY,
    errno.EPERM: _READ_ONLY,
    errno.EIO: _DISK_ERROR,
    errno.ENOENT: _CANT_OPEN,
    errno.ENOTDIR: _CANT_OPEN,
}


@contextmanager
def explained(folder: Path) -> Iterator[None]:
    """Translate errors of SQLite and the system into a LogbookError."""
    try:
        yield
    except LogbookError:
        raise
    except sqlite3.Error as error:
        raise _of_sqlite(error, folder) from error
    except UnicodeError as error:  # SQLite quotes a damaged name as it is
        raise LogbookDamaged(_DAMAGED) from error
    except OSError as error:
        sentence = _OF_SYSTEM.get(error.errno or 0, _CANT_OPEN)
        raise LogbookError(sentence.format(folder=folder)) from error


def _name(error: sqlite3.Error) -> str:
    return str(getattr(error, "sqlite_errorname", ""))


def _of_sqlite(error: sqlite3.Error, folder: Path) -> LogbookError:
    for start, sentence, kind in _SENTENCES:
        if _name(error).startswith(start):
            return kind(sentence.format(folder=folder))
    return LogbookError(f"The logbook refused: {error}. Nothing of this report was recorded.")
