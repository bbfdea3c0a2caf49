"""After the rules of the fold have changed: derive all rows of a long log anew, beside the session.

A start can't wait for it: it takes about a minute for a million events. Meanwhile the rows as the older program left
them serve, the open loads among them seen by the present rules; the fold that guides never depended on them. The new
rows are made in a file of their own from a snapshot. Then, in one transaction, they take the place of the old ones, and
the events since the snapshot are added to them as they were when they came in.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from threading import Event as Flag
from threading import Thread

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook.projection.loads import Folding
from kitchenvoice.logbook.projection.rows_beside import DERIVED, keep, rebuild
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.files import connect_reader
from kitchenvoice.logbook.tables.rows import COLUMNS, event_of

__all__ = ["LONG", "Renewal", "replace_rows"]

LONG = 20_000
"""A log of so many entries isn't derived anew while a start waits: about a second."""

_PAUSE_S = 0.02


class _Stopped(Exception):
    """Raised to leave the work: the next start begins it again."""


class Renewal:
    """Derives the rows in a thread, and hands them to `put` with the fold at their end."""

    def __init__(self, path: Path, put: Callable[[sqlite3.Connection, Folding], None]) -> None:
        """Start, and return at once."""
        self._stop = Flag()
        self._thread = Thread(target=self._run, args=(path, put), name="logbook renewal", daemon=True)
        self._thread.start()

    def _run(self, path: Path, put: Callable[[sqlite3.Connection, Folding], None]) -> None:
        try:
            with closing(sqlite3.connect("", isolation_level=None)) as derived:
                schema.create(derived, path)
                with closing(connect_reader(path)) as source:
                    source.execute("BEGIN")
                    derived.execute("BEGIN")
                    folding = rebuild(source, derived, self._breathe)
                    derived.execute("COMMIT")
                put(derived, folding)
        except (_Stopped, LogbookError, sqlite3.Error, OSError):
            return  # the old rows serve on; the next start tries again

    def _breathe(self) -> None:
        """Leave time for the session, which does all its thinking in the same interpreter."""
        if self._stop.wait(_PAUSE_S):
            raise _Stopped

    def wait(self) -> None:
        """Wait until it has finished."""
        self._thread.join()

    def stop(self) -> None:
        """Leave the work. Safe to call twice."""
        self._stop.set()
        self._thread.join()


def replace_rows(database: sqlite3.Connection, derived: sqlite3.Connection, folding: Folding) -> None:
    """Put the derived rows in the place of the old ones, and add what came in since. The caller begins and commits."""
    for table in DERIVED:
        database.execute(f"DELETE FROM {table}")
        rows = derived.execute(f"SELECT * FROM {table}")
        marks = ", ".join("?" * len(rows.description))
        database.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
    rules, seq = derived.execute("SELECT rules, seq FROM projection").fetchone()
    database.execute("UPDATE projection SET rules = ?, seq = ?", (rules, seq))
    for row in database.execute(f"SELECT {COLUMNS} FROM event WHERE seq > ? ORDER BY seq", (seq,)).fetchall():
        keep(database, folding, event_of(row))
