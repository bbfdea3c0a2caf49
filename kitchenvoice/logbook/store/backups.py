"""Backups; a damaged file is set aside, never deleted, and replaced by a backup.

Backups are numbered, because the clock of a small computer can be wrong; the date in the name is for people.
"""

from __future__ import annotations

import logging
import os
import re
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from threading import Event as Flag
from threading import Thread

from kitchenvoice.errors import KitchenVoiceError, LogbookDamaged, LogbookError
from kitchenvoice.files import sync_folder
from kitchenvoice.logbook.store.file_watch import FileWatch
from kitchenvoice.logbook.store.integrity import is_sound
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import BACKUPS, FILES, NAME, SET_ASIDE, connect_reader, make_private
from kitchenvoice.ports import Moment

__all__ = ["KEPT", "Backup", "BackupKeeper", "back_up", "backups", "newest_good", "no_logbook", "set_aside"]

_log = logging.getLogger(__name__)

KEPT = 14
OFTEN_BYTES = 48_000_000
"""A log up to this size is backed up at each start, a larger one once a day."""
DAY_S = 86_400.0
_NAME = re.compile(r"logbook-(\d{5})-(\d{4}-\d{2}-\d{2})-(\d{6})\.sqlite3")
_PAGES = 2_000


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup: its number (ascending), wall-clock time (UTC) and file."""

    number: int
    made: datetime
    path: Path

    @property
    def day(self) -> str:
        """Its date for people."""
        return f"{self.made.day} {self.made:%B %Y}"


def backups(folder: Path) -> list[Backup]:
    """Return the backups in a logbook's folder, newest first."""
    found = []
    with suppress(FileNotFoundError, NotADirectoryError):
        for path in (folder / BACKUPS).iterdir():
            match = _NAME.fullmatch(path.name)
            with suppress(ValueError):
                if match:
                    made = datetime.strptime(f"{match[2]} {match[3]}", "%Y-%m-%d %H%M%S").replace(tzinfo=UTC)
                    found.append(Backup(int(match[1]), made, path))
    return sorted(found, key=lambda each: each.number, reverse=True)


def newest_good(folder: Path) -> Backup | None:
    """Return the newest backup that passes the integrity check."""
    return next((each for each in backups(folder) if _last_seq(each.path) is not None), None)


def _last_seq(path: Path) -> int | None:
    try:
        with closing(connect_reader(path)) as database:
            schema.version_of(database, path)
            if is_sound(database):
                return int(database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0])
    except (sqlite3.Error, UnicodeError, OSError):
        pass
    return None


def back_up(folder: Path, now: Moment, stop: Flag | None = None) -> Backup:
    """Copy the present log into a numbered file, check the copy, and delete the oldest beyond `KEPT`.

    The log may be written to meanwhile. Raises: LogbookError, and LogbookDamaged if the copy isn't sound.
    """
    stop = stop or Flag()
    made = datetime.fromtimestamp(now.utc, tz=UTC)
    make_private(folder / BACKUPS)
    earlier = backups(folder)
    number = earlier[0].number + 1 if earlier else 1
    path = folder / BACKUPS / f"logbook-{number:05d}-{made:%Y-%m-%d-%H%M%S}.sqlite3"
    unfinished = path.with_suffix(".part")
    with explained(folder):
        for left in (folder / BACKUPS).glob("*.part"):
            left.unlink()
        try:
            _copy(folder / NAME, unfinished, stop)
            unfinished.replace(path)
        finally:
            unfinished.unlink(missing_ok=True)
        sync_folder(path.parent)
        for old in earlier[KEPT - 1 :]:
            old.path.unlink(missing_ok=True)
    return Backup(number, made.replace(microsecond=0), path)


def _copy(source: Path, target: Path, stop: Flag) -> None:
    """Copy one snapshot page by page; the open read transaction isolates it from writers."""

    def go_on(*_: int) -> None:
        if stop.is_set():
            raise LogbookError("The backup was stopped; the next start makes one.")

    os.close(os.open(target, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600))
    with closing(connect_reader(source)) as database, closing(sqlite3.connect(target, isolation_level=None)) as copy:
        database.execute("BEGIN")
        database.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        database.backup(copy, pages=_PAGES, progress=go_on, sleep=0)
        copy.execute("PRAGMA journal_mode = DELETE")
        if not is_sound(copy):
            raise LogbookDamaged("The backup isn't sound: the logbook may be damaged. Run kitchenvoice logbook verify.")
    handle = os.open(target, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def is_due(folder: Path, now: Moment) -> bool:
    """True if the newest backup is over a day old or, for a log up to `OFTEN_BYTES`, lacks an entry.

    One from the future doesn't count: a clock was wrong.
    """
    newest = next(iter(backups(folder)), None)
    if newest is None or not 0 <= now.utc - newest.made.timestamp() < DAY_S:
        return True
    return (folder / NAME).stat().st_size <= OFTEN_BYTES and _end(newest.path) < _end(folder / NAME)


def _end(path: Path) -> int:
    with suppress(sqlite3.Error, UnicodeError, LogbookError), closing(connect_reader(path)) as database:
        return int(database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0])
    return 0


def _keep_one_a_day(folder: Path, made: Backup) -> None:
    """Delete the earlier backups of the same day that the new one contains."""
    for each in backups(folder):
        if each.number < made.number and each.made.date() == made.made.date() and _end(each.path) <= _end(made.path):
            each.path.unlink(missing_ok=True)


class BackupKeeper:
    """Makes a backup in a thread, if one is due; one a day is kept."""

    def __init__(self, folder: Path, now: Moment, watch: FileWatch) -> None:
        """Start, and return at once; of files that aren't as `watch` knows them no backup is made."""
        self.trouble: str | None = None
        self._stop = Flag()
        self._thread = Thread(target=self._run, args=(folder, now, watch), name="logbook backup", daemon=True)
        self._thread.start()

    def _run(self, folder: Path, now: Moment, watch: FileWatch) -> None:
        try:
            if watch.is_as_left() and is_due(folder, now):
                _keep_one_a_day(folder, back_up(folder, now, self._stop))
        except (KitchenVoiceError, OverflowError, ValueError, OSError, sqlite3.Error) as error:
            self.trouble = str(error)
            told_by_the_record = isinstance(error, LogbookError) and not isinstance(error, LogbookDamaged)
            quiet = told_by_the_record or self._stop.is_set() or not watch.is_as_left()  # the next append tells of it
            _log.log(logging.INFO if quiet else logging.WARNING, "no backup this time: %s", error)

    def wait(self) -> None:
        """Wait until it has finished."""
        self._thread.join()

    def stop(self) -> None:
        """Stop between two pages; an unfinished copy is deleted."""
        self._stop.set()
        self._thread.join()


def set_aside(folder: Path, what: str) -> LogbookDamaged:
    """Move a damaged log into a new folder; return the error, with the offer of the newest good backup."""
    aside = folder / SET_ASIDE
    make_private(aside)
    with explained(folder):
        number = 1 + max((int(each.name) for each in aside.iterdir() if each.name.isdigit()), default=0)
        place = aside / str(number)
        place.mkdir(mode=0o700)
        _move(folder, place)
    fact = what.split(". ")[0].rstrip(".")
    return LogbookDamaged(f"{fact}. It was set aside in {SET_ASIDE}/{number}. {_offer(folder)}")


def _move(folder: Path, place: Path) -> None:
    """Move file and write-ahead log together: at no crash does either place hold one without the other."""
    names = [name for name in FILES if (folder / name).exists()]
    try:
        for name in names:
            (place / name).hardlink_to(folder / name)
        sync_folder(place)
        for name in names:
            (folder / name).unlink()
    except OSError:  # a file system without links
        for name in names:
            if (folder / name).exists():
                (folder / name).replace(place / name)
        sync_folder(place)
    sync_folder(folder)


def no_logbook(folder: Path) -> None:
    """Accept a new folder; where there was a logbook before, refuse to start an empty one silently.

    Raises: LogbookDamaged with an offer.
    """
    before = backups(folder) or any((folder / SET_ASIDE).glob("*/*"))
    if before:
        raise LogbookDamaged(f"The logbook file is gone. {_offer(folder)}")


def _offer(folder: Path) -> str:
    good = newest_good(folder)
    if good is None:
        return "There is no backup. Run kitchenvoice logbook restore, to save what can be read of it."
    return f"Run kitchenvoice logbook restore, to go back to the backup of {good.day} and save what can be read since."
