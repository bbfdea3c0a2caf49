"""The event log on the disk: when `append` has returned, its events survive any crash.

SQLite with a write-ahead log, synced at each commit. Every start is a recovery: no clean shutdown is assumed.
The folder holds `logbook.sqlite3`, its `-wal`, `logbook.lock`, `backups/` and, after damage, `set-aside/`. No other
program can write it meanwhile, and the index is in memory; where one had it open before, it is a file, `-shm`.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import RLock

from kitchenvoice.errors import LogbookDamaged, LogbookError
from kitchenvoice.logbook.projection.loads import RULES, Folding
from kitchenvoice.logbook.projection.rebuild import LONG, Renewal, replace_rows
from kitchenvoice.logbook.projection.rows_beside import (
    fold_present,
    keep,
    latest_moment,
    present_rows,
    rebuild,
    refresh,
)
from kitchenvoice.logbook.projection.shelf import on_shelf, put_up
from kitchenvoice.logbook.store.backups import BackupKeeper, no_logbook, set_aside
from kitchenvoice.logbook.store.checkpoints import BACKSTOP_PAGES, Checkpointer
from kitchenvoice.logbook.store.file_watch import FileWatch
from kitchenvoice.logbook.store.integrity import check_at_start
from kitchenvoice.logbook.store.lock import WriterLock
from kitchenvoice.logbook.store.rescue import copy_whole
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import LOCK, NAME, connect_writer, make_private
from kitchenvoice.logbook.tables.rows import INSERT, event_of, moment_of, row_of
from kitchenvoice.ports import Event, Moment

__all__ = ["SqliteLog"]

_NOTHING_BYTES = 1
"""SQLite takes a file of one byte for an empty one too."""


class SqliteLog:
    """The single writer of a logbook. Implements `EventLog`, and `Pantry` for the dialogue."""

    def __init__(self, folder: Path, now: Moment | None = None) -> None:
        """Open or create the logbook in `folder`; with `now`, a backup is made in the background if one is due.

        Raises: LogbookTaken if another process writes it; LogbookDamaged if the file is damaged (it was then set aside)
        or gone; LogbookError for anything else, each with a sentence on what to do.
        """
        self._folder = folder
        self._guard = RLock()
        self._database: sqlite3.Connection | None = None
        self._backup: BackupKeeper | None = None
        self._renewal: Renewal | None = None
        self._outdated = False
        self._watch = FileWatch(folder)
        self._checkpoints = Checkpointer(folder / NAME, self._watch)
        make_private(folder)
        self._lock = WriterLock(folder / LOCK)
        try:
            self._open(folder / NAME)
        except BaseException:
            self.close()
            raise
        if now is not None:
            self._backup = BackupKeeper(folder, now, self._watch)
            if self._outdated:
                self._renewal = Renewal(folder / NAME, self._renew)

    def _open(self, path: Path) -> None:
        if not path.exists() or path.stat().st_size <= _NOTHING_BYTES:
            no_logbook(self._folder)
        try:
            with explained(self._folder):
                self._database = connect_writer(path)
                self._watch.note()
                self._database.execute(f"PRAGMA wal_autocheckpoint = {BACKSTOP_PAGES}")
                schema.version_of(self._database, path)
                check_at_start(self._database, path)
                schema.create(self._database, path)
                self._last_seq = self._number("SELECT coalesce(max(seq), 0) FROM event")
                self._derive()
                self._folding = fold_present(self._database)
                with suppress(sqlite3.Error):  # the rows are only for display: a full disk mustn't stop a start
                    refresh(self._database, self._folding)
                self._last_load = self._number("SELECT coalesce(max(load), 0) FROM event WHERE load IS NOT NULL")
                self._watch.note()
                self._watch.check()
        except LogbookDamaged as error:
            self._disconnect()
            raise set_aside(self._folder, str(error)) from error

    def _number(self, query: str) -> int:
        return int(self._connection.execute(query).fetchone()[0])

    def _derive(self) -> None:
        """Update the rows; those of a long log that only follow older rules are rebuilt in the background."""
        rules, seq = self._connection.execute("SELECT rules, seq FROM projection").fetchone()
        self._outdated = rules != RULES and seq == self._last_seq and seq >= LONG
        if (rules, seq) != (RULES, self._last_seq) and not self._outdated:
            self.rebuild()

    def _renew(self, derived: sqlite3.Connection, folding: Folding) -> None:
        with self._guard, explained(self._folder), self._transaction() as database:
            replace_rows(database, derived, folding)
            self._folding = folding

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        """All or nothing."""
        database = self._checked
        database.execute("BEGIN IMMEDIATE")
        try:
            yield database
            database.execute("COMMIT")
        except BaseException:
            self._undo()
            raise

    @property
    def _connection(self) -> sqlite3.Connection:
        if self._database is None:
            raise LogbookError("The logbook is closed. Start kitchenvoice again.")
        return self._database

    @property
    def _checked(self) -> sqlite3.Connection:
        """The connection, its files looked at just now: to read through an index that was cut would end the program."""
        self._watch.check()
        return self._connection

    # ------------------------------------------------------------ EventLog

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        """Store events in one transaction; return once they are on the disk. Raises: LogbookError; then none is."""
        with self._guard, explained(self._folder):
            self.check_place()
            if self._watch.was_written():
                self.check_whole()
            rows = [row_of(event, moment) for event in events]
            self._check_order(events)
            if not events:
                return
            folding = self._folding.copy()
            with self._transaction() as database:
                self._check_last()
                for event, row in zip(events, rows, strict=True):
                    database.execute(INSERT, row)
                    keep(database, folding, event)
            self._folding = folding
            self._last_seq = events[-1].seq
            self._last_load = max(self._last_load, *(event.load or 0 for event in events))
            self._watch.note()
            self._checkpoints.appended()

    def check_place(self) -> None:
        """Check for sound files, and the same as at the opening. Raises: LogbookDamaged."""
        with self._guard:
            _ = self._connection  # a closed log is refused as one
            self._watch.check()
            if self._checkpoints.found_damage:
                raise LogbookDamaged("The logbook file is damaged.")

    def check_whole(self) -> None:
        """Check the place, and read the files as the next start will. Raises: LogbookDamaged."""
        self.check_place()
        self._checkpoints.look()
        with self._guard, explained(self._folder):
            self.check_place()
            self._check_last()

    def _check_last(self) -> None:
        if self._number("SELECT coalesce(max(seq), 0) FROM event") != self._last_seq:
            raise LogbookDamaged("Another program wrote into the logbook.")

    def rescue(self) -> Path | None:
        """Copy all entries from the open connection into a new file; `None` if not all of them are readable."""
        with self._guard, explained(self._folder):
            return copy_whole(self._connection, self._last_seq, self._folder)

    def _check_order(self, events: Sequence[Event]) -> None:
        for number, event in enumerate(events, self._last_seq + 1):
            if event.seq != number:
                raise LogbookError(
                    f"Entry {event.seq} was to be recorded where entry {number} belongs. "
                    "Nothing was recorded; start again."
                )

    def _undo(self) -> None:
        with suppress(sqlite3.Error):
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")

    def read(self) -> Iterator[Event]:
        """Yield the events behind the present state, oldest first; `seq` has gaps in place of loads left out.

        That is: every entry of loads that are open or were closed in the two days before the latest entry, and entries
        of the whole kitchen since the oldest of them or since a timer that still runs. Raises: LogbookDamaged.
        """
        return (event for event, _ in self.read_with_moments())

    def read_with_moments(self) -> Iterator[tuple[Event, Moment]]:
        """Yield the same, each with its time of writing. Raises: LogbookDamaged."""
        with self._guard, explained(self._folder):
            rows = present_rows(self._checked)
        for row in rows:
            yield event_of(row), moment_of(row)

    def close(self) -> None:
        """Release the file. Safe to call twice."""
        if self._renewal is not None:  # without the guard, for which it may be waiting
            self._renewal.stop()
            self._renewal = None
        with self._guard:
            if self._backup is not None:
                self._backup.stop()
                self._backup = None
            self._checkpoints.stop()
            self._disconnect()
            self._lock.release()

    def _disconnect(self) -> None:
        if self._database is not None:
            with suppress(LogbookDamaged):
                self._watch.check()
            with suppress(sqlite3.Error):
                self._database.close()
            self._database = None

    # ------------------------------------------------------------ beyond the port

    @property
    def last_seq(self) -> int:
        """Number of the latest entry, 0 in an empty log."""
        return self._last_seq

    @property
    def last_load(self) -> int:
        """Highest load id ever used, 0 if none was."""
        return self._last_load

    @property
    def last_moment(self) -> Moment | None:
        """When a session wrote its latest entry, by both clocks; `None` if none did. Commands' entries don't count."""
        with self._guard, explained(self._folder):
            return latest_moment(self._checked)

    @property
    def last_t(self) -> float:
        """Engine time of the latest entry, 0 in an empty log."""
        with self._guard, explained(self._folder):
            row = self._checked.execute("SELECT t FROM event ORDER BY seq DESC LIMIT 1").fetchone()
        return 0.0 if row is None else float(row[0])

    @property
    def has_open_loads(self) -> bool:
        """True if any load isn't closed."""
        return bool(self._folding.kitchen.open_loads)

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars left, when it was packed in POSIX seconds) per load with jars left, oldest first."""
        with self._guard, explained(self._folder):
            return on_shelf(self._checked, food, jar)

    def put_up(self, food: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars put on the shelf, when they were packed in POSIX seconds) per load, oldest first."""
        with self._guard, explained(self._folder):
            return put_up(self._checked, food)

    def rebuild(self) -> int:
        """Rebuild the loads and the shelf from the events; return the number of loads."""
        with self._guard, explained(self._folder):
            with self._transaction() as database:
                rebuild(database, database)
            self._folding = fold_present(self._connection)
            return self._number("SELECT count(*) FROM loads")

    def __enter__(self) -> SqliteLog:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
