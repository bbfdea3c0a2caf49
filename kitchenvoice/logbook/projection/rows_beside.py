"""Incremental update of the projection: the events behind the present, and the rows changed by a new one.

Everything here runs inside the caller's transaction.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable
from typing import Any

from kitchenvoice.logbook.projection.loads import BY_COMMAND, RULES, Folding, Taking, scratched_seq, taking_of
from kitchenvoice.logbook.projection.notes import NOTED, note_closed
from kitchenvoice.logbook.projection.shelf import share_again, take_from_shelf
from kitchenvoice.logbook.tables.rows import COLUMNS, event_of, moment_of
from kitchenvoice.logbook.tables.schema import LOAD_COLUMNS, WHOLE_KITCHEN
from kitchenvoice.ports import Event, Moment
from kitchenvoice.process import REOPENS, Stage

__all__ = ["DERIVED", "RECENT_S", "fold_present", "keep", "latest_moment", "present_rows", "rebuild", "refresh"]

RECENT_S = 48 * 3600.0
"""Age, before the latest event, up to which closed loads are still reported and can be reopened by a scratch."""

DERIVED = ("loads", "taken", "timers", "gone")
"""The tables derived from the events."""

_BREATH = 200
_EVER = 2**63 - 1

_UPSERT = (
    f"INSERT INTO loads ({', '.join(LOAD_COLUMNS)}) VALUES ({', '.join('?' * len(LOAD_COLUMNS))}) "
    f"ON CONFLICT (load) DO UPDATE SET {', '.join(f'{name} = excluded.{name}' for name in LOAD_COLUMNS[1:])}"
)


def present_rows(
    database: sqlite3.Connection, also: Iterable[int] = (), *, recent: bool = True, until: int | None = None
) -> list[tuple[Any, ...]]:
    """Return the rows on which the present state depends, oldest first.

    `also` names further loads; without `recent`, closed loads are left out however new they are; with `until`, so are
    later entries.
    The latest entry is always included, so that time doesn't run backwards from one session to the next.
    """
    latest = database.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq DESC LIMIT 1").fetchone()
    if latest is None:
        return []
    cutoff = latest[1] - RECENT_S
    loads = dict(database.execute("SELECT load, opened_seq FROM loads WHERE closed_seq IS NULL").fetchall())
    if recent:
        loads.update(database.execute("SELECT load, opened_seq FROM loads WHERE closed_t >= ?", (cutoff,)).fetchall())
    for load in also:
        loads[load] = _one(database, "SELECT min(seq) FROM event WHERE load = ?", load)
    anchors = [*loads.values(), *(seq for (seq,) in database.execute("SELECT seq FROM timers"))]
    # the plus makes SQLite use the index by time: the other one would be scanned from the first year on
    anchors.append(_one(database, f"SELECT min(+seq) FROM event WHERE {WHOLE_KITCHEN} AND t >= ?", cutoff))
    rows = {latest[0]: latest}
    for load in loads:
        rows.update({row[0]: row for row in database.execute(f"SELECT {COLUMNS} FROM event WHERE load = ?", (load,))})
    since = min((seq for seq in anchors if seq is not None), default=None)
    if since is not None:
        kitchen = f"SELECT {COLUMNS} FROM event WHERE {WHOLE_KITCHEN} AND seq >= ?"
        rows.update({row[0]: row for row in database.execute(kitchen, (since,))})
    return [rows[seq] for seq in sorted(rows) if until is None or seq <= until]


def latest_moment(database: sqlite3.Connection) -> Moment | None:
    """Return the time of a session's latest entry, by both clocks; `None` if there is none.

    Entries made by a command are skipped: they are no sign that somebody listened.
    """
    for row in database.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq DESC"):
        if event_of(row).data.get("by") != BY_COMMAND:
            return moment_of(row)
    return None


def fold_present(
    database: sqlite3.Connection, also: Iterable[int] = (), *, recent: bool = False, until: int | None = None
) -> Folding:
    """Fold the open loads (and `also`, and with `recent` those just closed), without entries taken back."""
    rows = present_rows(database, also, recent=recent, until=until)
    folding = Folding()
    if rows:
        gone = {seq for (seq,) in database.execute("SELECT seq FROM gone WHERE seq >= ?", (rows[0][0],))}
        for row in rows:
            if row[0] not in gone:
                folding.take(event_of(row))
    return folding


def refresh(database: sqlite3.Connection, folding: Folding) -> None:
    """Rewrite the rows of open loads where the engine's fold differs from an older program's."""
    query = f"SELECT {', '.join(LOAD_COLUMNS)} FROM loads WHERE load = ?"
    loads = folding.kitchen.loads
    stale = [load.id for load in loads if database.execute(query, (load.id,)).fetchone() != folding.row(load)]
    if not stale:
        return
    database.execute("BEGIN IMMEDIATE")
    try:
        for load_id in stale:
            _write_load(database, folding, load_id, _EVER)
        database.execute("COMMIT")
    except sqlite3.Error:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise


def keep(database: sqlite3.Connection, folding: Folding, event: Event) -> None:
    """Update the rows and the fold for a stored event; stored later ones are ignored."""
    database.execute("UPDATE projection SET seq = ?", (event.seq,))
    timers = folding.timers
    target = scratched_seq(event)
    if target is not None:
        if database.execute("INSERT OR IGNORE INTO gone VALUES (?)", (target,)).rowcount:
            _take_back(database, folding, target, event.seq)
    else:
        if event.kind in REOPENS and event.load is not None and folding.kitchen.load(event.load) is None:
            folding.become(fold_present(database, {event.load}, until=event.seq - 1))
        before = {load.id: load for load in folding.kitchen.loads}
        folding.take(event)
        for load in folding.kitchen.loads:
            if before.get(load.id) is not load or (event.kind in NOTED and event.load == load.id):
                _write_load(database, folding, load.id, event.seq)
        _note_closed(database, folding, event)
        taking = taking_of(event)
        if taking is not None:
            take_from_shelf(database, taking)
    if folding.timers != timers:
        _write_timers(database, folding)
    folding.drop(load.id for load in folding.kitchen.loads if load.stage is Stage.CLOSED)


def _note_closed(database: sqlite3.Connection, folding: Folding, event: Event) -> None:
    if event.kind in NOTED and event.load is not None and folding.kitchen.load(event.load) is None:
        note_closed(database, event)


def _write_load(database: sqlite3.Connection, folding: Folding, load_id: int, until: int) -> None:
    """Write the row of one load from the fold, or delete it if the fold no longer has it."""
    query = "SELECT food, jar, shelved, counted_seq FROM loads WHERE load = ?"
    old = database.execute(query, (load_id,)).fetchone()
    load = folding.kitchen.load(load_id)
    new = None
    if load is not None:
        new = (load.food, load.jar, load.shelved, folding.counted.get(load_id))
        database.execute(_UPSERT, folding.row(load))
    else:
        database.execute("DELETE FROM loads WHERE load = ?", (load_id,))
    if old is not None and old[3] is not None and old != new:
        _share_again(database, old[0], min(old[3], (new and new[3]) or old[3]), until)


def _take_back(database: sqlite3.Connection, folding: Folding, target: int, until: int) -> None:
    """Fold again without the entry that was taken back."""
    event = event_of(database.execute(f"SELECT {COLUMNS} FROM event WHERE seq = ?", (target,)).fetchone())
    loads = {load.id for load in folding.kitchen.loads} | ({event.load} if event.load is not None else set())
    beside = (
        "SELECT load FROM loads WHERE closed_seq > (SELECT opened_seq FROM loads WHERE load = ?1) "
        "AND opened_seq < (SELECT coalesce(closed_seq, 9e18) FROM loads WHERE load = ?1)"
    )
    loads |= {load for (load,) in database.execute(beside, (event.load,))}
    folding.become(fold_present(database, loads, recent=True, until=until))
    for load in sorted(loads | {load.id for load in folding.kitchen.loads}):
        _write_load(database, folding, load, until)
    taking = taking_of(event)
    if taking is not None:
        _share_again(database, taking.food, target, until)


def _share_again(database: sqlite3.Connection, food: str, since: int, until: int) -> None:
    query = (
        f"SELECT {COLUMNS} FROM event WHERE {WHOLE_KITCHEN} AND seq BETWEEN ? AND ? "
        "AND kind IN ('opened', 'discarded') AND seq NOT IN (SELECT seq FROM gone) ORDER BY seq"
    )
    takings = [taking_of(event_of(row)) for row in database.execute(query, (since, until))]
    share_again(database, food, since, [each for each in takings if each is not None and each.food == food])


def _write_timers(database: sqlite3.Connection, folding: Folding) -> None:
    database.execute("DELETE FROM timers")
    database.executemany("INSERT INTO timers VALUES (?, ?)", folding.timers.items())


def _one(database: sqlite3.Connection, query: str, value: float) -> int | None:
    found = database.execute(query, (value,)).fetchone()[0]
    return None if found is None else int(found)


def rebuild(
    source: sqlite3.Connection, target: sqlite3.Connection, breathe: Callable[[], None] = lambda: None
) -> Folding:
    """Derive every row of `target` from the events of `source`; return the final fold.

    Takes time in proportion to the log: about a minute for a million events. `breathe` is called throughout.
    """
    for table in DERIVED:
        target.execute(f"DELETE FROM {table}")
    scratches = source.execute(f"SELECT {COLUMNS} FROM event WHERE {WHOLE_KITCHEN} AND kind = 'scratched'")
    gone = {seq for seq in (scratched_seq(event_of(row)) for row in scratches) if seq is not None}
    target.executemany("INSERT INTO gone VALUES (?)", [(seq,) for seq in gone])
    folding, last, takings = Folding(), 0, dict[str, list[Taking]]()
    marks = ", ".join("?" * len(REOPENS))
    again = (
        "SELECT DISTINCT told.load FROM event told JOIN event closed "
        "ON closed.load = told.load AND closed.seq < told.seq "
        f"WHERE closed.kind = 'load_close' AND told.kind IN ({marks})"
    )
    reopened = {load for (load,) in source.execute(again, sorted(REOPENS))}
    for row in source.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq"):
        last = row[0]
        event = event_of(row)
        if last % _BREATH == 0:
            breathe()
        if last in gone:
            continue
        folding.take(event)
        _note_closed(target, folding, event)
        taking = taking_of(event)
        if taking is not None:
            takings.setdefault(taking.food, []).append(taking)
        loads = (load for load in folding.kitchen.loads if load.id not in reopened)
        closed = [load for load in loads if load.stage is Stage.CLOSED]
        target.executemany(_UPSERT, [folding.row(load) for load in closed])
        folding.drop(load.id for load in closed)
    target.executemany(_UPSERT, [folding.row(load) for load in folding.kitchen.loads])
    for food, taken in takings.items():
        breathe()
        share_again(target, food, 0, taken)
    _write_timers(target, folding)
    target.execute("UPDATE projection SET rules = ?, seq = ?", (RULES, last))
    return folding
