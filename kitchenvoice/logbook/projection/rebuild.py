"""Background rebuild of a long log's projection after the rules of the fold have changed.

A start can't wait for it: it takes about a minute for a million events. Meanwhile the old rows stay in use, with the
open loads folded by the present rules; guidance never depends on the rows. The new rows are derived from a snapshot
into a separate file. Then, in one transaction, they replace the old ones, and the changes since the snapshot are added.
"""

from __future__ import annotations

import logging
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

_log = logging.getLogger(__name__)

LONG = 20_000
"""Entries from which a rebuild moves to the background: about a second."""

_PAUSE_S = 0.02


class _Stopped(Exception):
    """Raised to abandon the work: the next start begins it again."""


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
        except _Stopped:
            return
        except (LogbookError, sqlite3.Error, OSError) as exc:
            _log.warning("the old derived rows stay in use until the next start: %s", exc)

    def _breathe(self) -> None:
        """Yield the interpreter to the session."""
        if self._stop.wait(_PAUSE_S):
            raise _Stopped

    def wait(self) -> None:
        """Wait until it has finished."""
        self._thread.join()

    def stop(self) -> None:
        """Abandon the work. Safe to call twice."""
        self._stop.set()
        self._thread.join()


def replace_rows(database: sqlite3.Connection, derived: sqlite3.Connection, folding: Folding) -> None:
    """Replace the rows by the derived ones, and add the changes since. The caller begins and commits."""
    for table in DERIVED:
        database.execute(f"DELETE FROM {table}")
        rows = derived.execute(f"SELECT * FROM {table}")
        marks = ", ".join("?" * len(rows.description))
        database.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
    rules, seq = derived.execute("SELECT rules, seq FROM projection").fetchone()
    database.execute("UPDATE projection SET rules = ?, seq = ?", (rules, seq))
    for row in database.execute(f"SELECT {COLUMNS} FROM event WHERE seq > ? ORDER BY seq", (seq,)).fetchall():
        keep(database, folding, event_of(row))
