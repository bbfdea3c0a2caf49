"""Background checkpoints of the write-ahead log, and an integrity check in quiet moments.

By default SQLite runs a checkpoint at the end of some commit after a thousand pages: two more syncs and some megabytes,
in the time of one report. Here a thread does it after so many appends; SQLite's automatic one stays as a far backstop.
A minute after the last append the same thread reads the whole file once, so that damage is known before the next one.
"""

from __future__ import annotations

import logging
import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from threading import Event as Flag
from threading import Thread

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook.store.file_watch import FileWatch
from kitchenvoice.logbook.store.integrity import QUICK_BYTES, is_sound
from kitchenvoice.logbook.tables.files import connect_reader, require_ordinary

__all__ = ["APPENDS", "BACKSTOP_PAGES", "QUIET_S", "Checkpointer"]

_log = logging.getLogger(__name__)

BACKSTOP_PAGES = 16_000
APPENDS = 150
"""Appends between two checkpoints: about five hundred pages."""
QUIET_S = 60.0


class Checkpointer:
    """Waits for enough appends, then runs a checkpoint. Nothing depends on it: a crash at any time loses nothing."""

    def __init__(self, path: Path, watch: FileWatch, appends: int = APPENDS, quiet_s: float = QUIET_S) -> None:
        self._path = path
        self._watch = watch
        self._appends = appends
        self._quiet_s = quiet_s
        self._since = 0
        self._new = False
        self.found_damage = False
        self._wake, self._stop = Flag(), Flag()
        self._thread: Thread | None = None

    def appended(self) -> None:
        """Count one append; the thread is started with the first one."""
        self._since += 1
        self._new = True
        if self._thread is None:
            self._thread = Thread(target=self._run, name="logbook checkpoint", daemon=True)
            self._thread.start()
        self._wake.set()

    def _run(self) -> None:
        while True:
            woken = self._wake.wait(self._quiet_s if self._new else None)
            if self._stop.is_set():
                return
            self._wake.clear()
            if not self._watch.is_as_left():
                continue  # the next append tells
            if not woken:
                self._new = False
                self.look()
            elif self._since >= self._appends:
                self._since = 0
                self._move_pages()

    def _move_pages(self) -> None:
        try:
            require_ordinary(self._path)
            with closing(sqlite3.connect(self._path, isolation_level=None)) as database:
                database.execute("PRAGMA synchronous = FULL")
                database.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
        except (sqlite3.Error, LogbookError) as exc:
            _log.info("no checkpoint this time: %s", exc)

    def look(self) -> None:
        """Read the whole file, if it isn't a long one; `found_damage` tells."""
        with suppress(sqlite3.OperationalError, OSError):  # gone or locked: the next append reports that itself
            if self._path.stat().st_size > QUICK_BYTES:
                return
            try:
                with closing(connect_reader(self._path)) as database:
                    self.found_damage = not is_sound(database)
            except sqlite3.OperationalError:
                raise
            except sqlite3.DatabaseError:
                self.found_damage = True

    def stop(self) -> None:
        """End the thread, after a checkpoint in progress. Safe to call twice."""
        self._stop.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
