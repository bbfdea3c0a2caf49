"""Integrity of the file: a quick check at every start, the full one on demand.

Measured: SQLite's quick check reads about 300 MB a second from the system's cache. So a file up to `QUICK_BYTES` is
checked whole at every start; of a larger one only the newest entries and loads are, and the rest is left to the day's
backup, which checks its copy in the background, and to `verify`.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path

from kitchenvoice.errors import LogbookDamaged
from kitchenvoice.logbook.projection.rows_beside import rebuild
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.rows import COLUMNS, event_of, sum_of

__all__ = ["FOLDED_ENTRIES", "QUICK_BYTES", "check_at_start", "is_sound", "proof"]

QUICK_BYTES = 48_000_000
FOLDED_ENTRIES = 1_000_000
"""Entries up to which a full check folds the loads again unasked: about a minute."""

_NEWEST = 500


def check_at_start(database: sqlite3.Connection, path: Path) -> None:
    """Check the file before it is written to. Raises: LogbookDamaged."""
    if path.stat().st_size <= QUICK_BYTES:
        _demand(database, "PRAGMA quick_check(1)")
    else:
        database.execute("SELECT * FROM loads ORDER BY load DESC LIMIT ?", (_NEWEST,)).fetchall()
    if schema.version_of(database, path):
        expected = None
        for row in database.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq DESC LIMIT ?", (_NEWEST,)):
            if expected is not None and row[0] != expected:
                raise LogbookDamaged(f"Entry {expected} of the logbook is missing.")
            event_of(row)
            expected = row[0] - 1


def is_sound(database: sqlite3.Connection) -> bool:
    """True if SQLite finds no fault in the whole file."""
    try:
        return bool(database.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")
    except (sqlite3.DatabaseError, UnicodeError):
        return False


def _demand(database: sqlite3.Connection, pragma: str) -> None:
    found = database.execute(pragma).fetchone()[0]
    if found != "ok":
        raise LogbookDamaged("The logbook file is damaged.")


def proof(database: sqlite3.Connection, *, fold_too: bool = True) -> Iterator[str]:
    """Yield each fault of the log as a sentence: in the file, in an entry, or rows that aren't the entries' fold.

    Without `fold_too` the loads are not folded again: that takes most of the time.
    """
    try:
        for (found,) in database.execute("PRAGMA integrity_check"):
            if found != "ok":
                yield f"The file is damaged: {found}."
        expected = 1
        for row in database.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq"):
            if row[0] != expected:
                yield f"Entries {expected} to {row[0] - 1} are missing."
            expected = row[0] + 1
            if sum_of(row[:9]) != row[9]:
                yield f"Entry {row[0]} was altered on the disk."
        if fold_too:
            yield from _differences(database)
    except (sqlite3.DatabaseError, UnicodeError, LogbookDamaged) as error:
        yield f"The file can't be read to its end: {error}."


def _differences(database: sqlite3.Connection) -> Iterator[str]:
    derived = sqlite3.connect(":memory:", isolation_level=None)
    try:
        schema.create(derived, Path(":memory:"))
        rebuild(database, derived)
        for table, order in (("loads", "load"), ("taken", "seq, load"), ("timers", "name"), ("gone", "seq")):
            query = f"SELECT * FROM {table} ORDER BY {order}"
            pairs = zip_longest(database.execute(query), derived.execute(query))
            wrong = next((pair for pair in pairs if pair[0] != pair[1]), None)
            if wrong is not None:
                which = (wrong[0] or wrong[1])[0]
                yield f"The table {table} differs from the entries at {which}. Run kitchenvoice logbook rebuild."
    finally:
        derived.close()
