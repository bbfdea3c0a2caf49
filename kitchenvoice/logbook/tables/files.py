"""Location of the logbook, private to its owner, and its connections."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from contextlib import suppress
from pathlib import Path

from kitchenvoice.errors import LogbookError
from kitchenvoice.files import make_folder, sync_folder
from kitchenvoice.logbook.tables.disk_errors import explained

__all__ = [
    "BACKUPS",
    "FILES",
    "LOCK",
    "NAME",
    "SET_ASIDE",
    "connect_reader",
    "connect_writer",
    "make_private",
    "require_ordinary",
]

NAME = "logbook.sqlite3"
FILES = (NAME, f"{NAME}-wal", f"{NAME}-shm")
LOCK = "logbook.lock"
BACKUPS = "backups"
SET_ASIDE = "set-aside"

_BUSY_S = 0.2
"""Time-out of a reader: a session holds its record for itself, and then a copy is read."""
_COPIES = 20
_WRITER_BUSY_S = 0.4
"""Time-out of a session for a foreign lock: the cook waits for the answer."""
_NO_INDEX = ("SQLITE_CANTOPEN", "SQLITE_READONLY", "SQLITE_IOERR_SHM", "SQLITE_BUSY")
"""Errors of a reader without a shared index: no write permission, no space, or a program holds an exclusive lock."""


def make_private(folder: Path) -> None:
    """Make the folder if it is missing, private to its owner; an existing one keeps its permissions."""
    with explained(folder):
        make_folder(folder)


def require_ordinary(path: Path) -> None:
    """Check a database, and what SQLite opens beside it, waiting for ever if that is a pipe. Raises: LogbookError."""
    for each in (path.with_name(path.name + end) for end in ("", "-wal", "-shm", "-journal")):
        if each.exists() and not each.is_file():
            raise LogbookError(f"{each.name} isn't an ordinary file. Move it out of the folder, then try again.")


def connect_writer(path: Path) -> sqlite3.Connection:
    """Open the file for writing: synced at each commit, private to its owner. The caller holds the writer lock."""
    require_ordinary(path)
    fresh = not path.exists()
    alone = os.O_EXCL | os.O_NOFOLLOW if fresh else 0
    os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | alone, 0o600))
    if path.stat().st_mode & 0o077:
        path.chmod(0o600)
    if fresh:
        sync_folder(path.parent)
    try:
        return _connected(path, "unix-excl")
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith("SQLITE_BUSY"):
            raise
        return _connected(path, "unix")  # somebody reads it already


def _connected(path: Path, way: str) -> sqlite3.Connection:
    """Open for writing. With `unix-excl` no other program can, and the index is in memory instead of a file."""
    database = sqlite3.connect(
        f"{path.resolve().as_uri()}?vfs={way}",
        uri=True,
        timeout=_WRITER_BUSY_S,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        database.execute("PRAGMA trusted_schema = OFF")
        mode = database.execute("PRAGMA journal_mode = WAL").fetchone()[0]
        if mode != "wal":
            raise sqlite3.OperationalError(f"this disk has no write-ahead log ({mode}); use a local disk")
        database.execute("PRAGMA synchronous = FULL")
        database.execute("PRAGMA fullfsync = ON")
        database.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except BaseException:
        database.close()
        raise
    return database


def connect_reader(path: Path, patience_s: float = _BUSY_S) -> sqlite3.Connection:
    """Open for reading only, even during writes, on a read-only disk or under another program's lock."""
    path.stat()  # a missing file is no new one
    require_ordinary(path)
    database = _read_only(path, patience_s)
    try:
        database.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except sqlite3.OperationalError as error:
        database.close()
        if not error.sqlite_errorname.startswith(_NO_INDEX):
            raise
        return _read_beside(path)
    return database


def _read_only(path: Path, patience_s: float, more: str = "") -> sqlite3.Connection:
    return sqlite3.connect(
        f"{path.resolve().as_uri()}?mode=ro{more}",
        uri=True,
        timeout=patience_s,
        isolation_level=None,
        check_same_thread=False,
    )


def _read_beside(path: Path) -> sqlite3.Connection:
    """Read a log without its shared index: directly if all is in the file, else a copy with its write-ahead log."""
    ahead = path.with_name(f"{path.name}-wal")
    if not ahead.exists() or not ahead.stat().st_size:
        return _read_only(path, _BUSY_S, "&immutable=1")
    with tempfile.TemporaryDirectory(prefix="kitchenvoice-") as folder:
        for _ in range(_COPIES):  # until nothing was written meanwhile
            before = _written(path, ahead)
            for each in (path, ahead):
                with suppress(FileNotFoundError):
                    shutil.copyfile(each, Path(folder) / each.name)
            if _written(path, ahead) == before:
                break
        database = sqlite3.connect(Path(folder) / path.name, isolation_level=None, check_same_thread=False)
        database.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        return database


def _written(*paths: Path) -> list[tuple[int, int]]:
    return [(there.st_size, there.st_mtime_ns) for each in paths if each.exists() and (there := each.stat())]
