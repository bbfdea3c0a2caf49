"""Restore from a backup, plus the salvageable entries of the damaged file since."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.errors import LogbookDamaged, LogbookError
from kitchenvoice.files import sync_folder
from kitchenvoice.logbook.projection.loads import RULES, Folding
from kitchenvoice.logbook.projection.rows_beside import fold_present, keep, rebuild
from kitchenvoice.logbook.store.backups import newest_good, set_aside
from kitchenvoice.logbook.store.integrity import check_at_start, is_sound
from kitchenvoice.logbook.store.lock import WriterLock
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import (
    FILES,
    LOCK,
    NAME,
    SET_ASIDE,
    connect_reader,
    connect_writer,
    make_private,
)
from kitchenvoice.logbook.tables.rows import COLUMNS, INSERT, EventRow, event_of

__all__ = ["Restored", "require_harm", "restore"]


_OVERLAP = 50


@dataclass(frozen=True, slots=True)
class Restored:
    """Result of a restore: entries from the backup, newer ones salvaged from the damaged file, and the files used."""

    entries: int
    saved: int
    backup: Path | None
    aside: Path | None
    day: str = ""
    """Date of the backup for people, if it was one of the logbook's own."""


def require_harm(folder: Path) -> None:
    """Check that there is damage: restoring over an intact record would lose its latest entries.

    Raises: LogbookError.
    """
    path = folder / NAME
    if path.is_file() and path.stat().st_size > 0 and _is_healthy(path):
        raise LogbookError(
            "The logbook is in order, so nothing was changed. To go back to a backup all the same, name its file."
        )


def restore(folder: Path, backup: Path | None = None) -> Restored:
    """Replace the logbook by `backup` (the newest good one if `None`); the present file is set aside.

    If the present file is damaged or gone, readable entries after the backup's last one are added up to the first gap.
    With no backup at all, these are everything. Raises: LogbookError, LogbookBusy.
    """
    make_private(folder)
    lock = WriterLock(folder / LOCK)
    try:
        with explained(folder):
            return _restore(folder, backup)
    finally:
        lock.release()


def _restore(folder: Path, backup: Path | None) -> Restored:
    day = ""
    if backup is None:
        found = newest_good(folder)
        backup, day = (found.path, found.day) if found else (None, "")
    else:
        _check(backup)
    path = folder / NAME
    present = path.exists() and path.stat().st_size > 0
    healthy = present and _is_healthy(path)
    if backup is None and (healthy or not _asides(folder, present)):
        raise LogbookError("There is no backup to go back to. Nothing was changed.")
    fresh = folder / f"{NAME}.part"
    for end in ("", "-wal", "-shm"):
        fresh.with_name(fresh.name + end).unlink(missing_ok=True)
    with closing(connect_writer(fresh)) as database:
        if backup is not None:
            with closing(connect_reader(backup)) as source:
                source.backup(database)
            database.execute("PRAGMA journal_mode = WAL")
        schema.create(database, fresh)
        damaged = None if healthy else next(iter(_asides(folder, present)), None)
        entries = _last_seq(database)
        saved = _complete(damaged, database)
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    aside = None
    if any((folder / name).exists() for name in FILES):
        set_aside(folder, "")
        aside = next(iter(_asides(folder, False)), None)
    fresh.replace(path)
    sync_folder(folder)
    return Restored(entries, saved, backup, aside, day)


def _check(backup: Path) -> None:
    if not backup.is_file():
        raise LogbookError(f"There is no file {str(backup)!r}. Name another one; nothing was changed.")
    try:
        with closing(connect_reader(backup)) as database:
            if schema.version_of(database, backup) == 0:
                raise LogbookError(
                    f"{backup.name} isn't a backup of a logbook. Name another file; nothing was changed."
                )
            if is_sound(database):
                return
    except (sqlite3.DatabaseError, UnicodeError):
        pass
    raise LogbookError(f"{backup.name} is damaged too. Name another backup; nothing was changed.")


def _is_healthy(path: Path) -> bool:
    try:
        with closing(connect_reader(path)) as database:
            check_at_start(database, path)
            return is_sound(database)
    except (sqlite3.Error, LogbookError, ValueError):
        return False


def _asides(folder: Path, present: bool) -> list[Path]:
    """Return the damaged logs, newest first: the present one if there is one, then those set aside."""
    aside = folder / SET_ASIDE
    numbers = [int(each.name) for each in aside.iterdir() if each.name.isdigit()] if aside.is_dir() else []
    files = [aside / str(number) / NAME for number in sorted(numbers, reverse=True)]
    return ([folder / NAME] if present else []) + [file for file in files if file.exists()]


def _last_seq(database: sqlite3.Connection) -> int:
    return int(database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0])


def _complete(damaged: Path | None, database: sqlite3.Connection) -> int:
    """Salvage the readable entries since, and update the rows; return the number of entries."""
    last = _last_seq(database)
    rules, seq = database.execute("SELECT rules, seq FROM projection").fetchone()
    current = (rules, seq) == (RULES, last) and last > 0
    folding = fold_present(database) if current else None
    database.execute("BEGIN IMMEDIATE")
    try:
        saved = 0 if damaged is None else _save(damaged, database, last, folding)
        if folding is None:
            rebuild(database, database)
        database.execute("COMMIT")
    except BaseException:
        database.execute("ROLLBACK")
        raise
    return saved


def _save(damaged: Path, database: sqlite3.Connection, last: int, folding: Folding | None) -> int:
    """Copy the entries after the last one, up to the first missing or altered one; return their number."""
    saved = last
    with suppress(sqlite3.Error, UnicodeError, LogbookError, OSError), closing(connect_reader(damaged)) as source:
        if last and not _continues(source, database, last):
            return 0
        while (row := _read_entry(source, saved + 1)) is not None:
            database.execute(INSERT, row)
            saved += 1
            if folding is not None:
                keep(database, folding, event_of(row))
    return saved - last


def _continues(source: sqlite3.Connection, database: sqlite3.Connection, last: int) -> bool:
    """True if both have the same history up to `last`, as far as its end can be read: it could be another log."""
    pairs = [
        (row, _read_entry(database, seq))
        for seq in range(max(1, last - _OVERLAP), last + 1)
        if (row := _read_entry(source, seq)) is not None
    ]
    return bool(pairs) and all(one == other for one, other in pairs)


def _read_entry(source: sqlite3.Connection, seq: int) -> EventRow | None:
    """Return one entry, `None` if it is missing, altered or unreadable."""
    try:
        row: EventRow | None = source.execute(f"SELECT {COLUMNS} FROM event WHERE seq = ?", (seq,)).fetchone()
        if row is not None:
            event_of(row)
    except (LogbookDamaged, ValueError, TypeError, sqlite3.DatabaseError):
        return None
    return row
