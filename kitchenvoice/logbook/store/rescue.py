"""Rescue of the record into a new file when the old one was deleted or damaged during a session.

An open connection can often still read all of a file that no longer has a name. Otherwise the new file gets the entries
that the session remembers; earlier ones that are lost leave their numbers, as entries of the kind `lost`, because later
entries refer to others by number.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from pathlib import Path

from kitchenvoice.files import sync_folder
from kitchenvoice.logbook.store.backups import set_aside
from kitchenvoice.logbook.store.integrity import proof
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.files import FILES, NAME, connect_writer, make_private
from kitchenvoice.ports import Event, Moment

__all__ = ["LOST", "begin_anew", "copy_whole", "put_in_place", "with_gaps"]

LOST = "lost"
_NOWHERE = 0
"""No load has this number: its entry concerns neither a load nor the whole kitchen."""


def copy_whole(database: sqlite3.Connection, last_seq: int, folder: Path) -> Path | None:
    """Copy the open `database` into a new file in `folder`; `None` if not every entry up to `last_seq` is whole.

    Raises: LogbookError if the folder can't be made.
    """
    make_private(folder)
    fresh = _draft(folder)
    try:
        os.close(os.open(fresh, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_CLOEXEC, 0o600))
        with closing(sqlite3.connect(fresh, isolation_level=None)) as copy:
            database.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
            if next(proof(copy, fold_too=False), None) is None and _last_seq(copy) == last_seq:
                return fresh
    except (sqlite3.Error, OSError, UnicodeError):
        pass
    with suppress(OSError):
        fresh.unlink(missing_ok=True)
    return None


def put_in_place(fresh: Path) -> None:
    """Set the present log aside, and move the new file into its place. Raises: LogbookError, OSError."""
    folder = fresh.parent
    if any((folder / name).exists() for name in FILES):
        set_aside(folder, "")
    fresh.replace(folder / NAME)
    sync_folder(folder)


def begin_anew(folder: Path) -> None:
    """Set the present log aside, and start an empty one. Raises: LogbookError, OSError."""
    fresh = _draft(folder)
    with closing(connect_writer(fresh)) as database:
        schema.create(database, fresh)
        database.execute("PRAGMA journal_mode = DELETE")
    put_in_place(fresh)


def with_gaps(entries: Iterable[tuple[Event, Moment]], after: int) -> Iterator[tuple[Event, Moment]]:
    """Yield the entries after number `after`, and a `lost` entry for each missing number between them."""
    number = after
    for event, at in entries:
        if event.seq <= number:
            continue
        for lost in range(number + 1, event.seq):
            yield Event(seq=lost, t=event.t, kind=LOST, load=_NOWHERE, data={}), at
        yield event, at
        number = event.seq


def _draft(folder: Path) -> Path:
    fresh = folder / f"{NAME}.part"
    for end in ("", "-wal", "-shm", "-journal"):
        fresh.with_name(fresh.name + end).unlink(missing_ok=True)
    return fresh


def _last_seq(database: sqlite3.Connection) -> int:
    return int(database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0])
