"""Moves what the write-ahead log holds into the file beside the session, so that no report waits for it.

SQLite does that at the end of some commit when a thousand pages have gathered: two more syncs and some megabytes, in
the time of one report. Here a thread does it after so many appends; SQLite's own way stays as a backstop, far behind.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from threading import Event as Flag
from threading import Thread

__all__ = ["APPENDS", "BACKSTOP_PAGES", "Checkpointer"]

BACKSTOP_PAGES = 16_000
APPENDS = 150
"""How many appends are let gather: about half a thousand pages."""


class Checkpointer:
    """Waits for enough appends, then moves the pages. Nothing depends on it: a crash at any time loses nothing."""

    def __init__(self, path: Path, appends: int = APPENDS) -> None:
        self._path = path
        self._appends = appends
        self._since = 0
        self._wake, self._stop = Flag(), Flag()
        self._thread: Thread | None = None

    def appended(self) -> None:
        """Count one append; the thread is started when it is first needed."""
        self._since += 1
        if self._since < self._appends:
            return
        self._since = 0
        if self._thread is None:
            self._thread = Thread(target=self._run, name="logbook checkpoint", daemon=True)
            self._thread.start()
        self._wake.set()

    def _run(self) -> None:
        while True:
            self._wake.wait()
            if self._stop.is_set():
                return
            self._wake.clear()
            with suppress(sqlite3.Error), closing(sqlite3.connect(self._path, isolation_level=None)) as database:
                database.execute("PRAGMA synchronous = FULL")
                database.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()

    def stop(self) -> None:
        """End the thread; one that is at work is waited for. Safe to call twice."""
        self._stop.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
