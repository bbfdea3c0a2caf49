"""The shelf: sealed jars, processed as tested, less those opened or thrown out. First in, first out.

An opened jar is taken from the oldest load of its food (and jar size, if given) that had been counted by then and has
jars left. A jar that isn't on the list is taken from no load.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kitchenvoice.logbook.projection.loads import Taking

__all__ = ["ShelfLoad", "allocate", "on_shelf", "put_up", "share_again", "take_from_shelf"]


@dataclass(slots=True)
class ShelfLoad:
    """A counted load on the shelf."""

    load: int
    opened_seq: int
    counted_seq: int
    food: str
    jar: str
    shelved: int
    taken: int = 0


def allocate(loads: Sequence[ShelfLoad], takings: Iterable[Taking]) -> list[tuple[int, int, int, str]]:
    """Allocate takings to the loads of one food; return (seq, load, count, food) and fill in `taken`."""
    shares = []
    oldest_first = sorted(loads, key=lambda load: load.opened_seq)
    for taking in takings:
        wanted = taking.count
        for load in oldest_first:
            if load.counted_seq > taking.seq or (taking.jar and load.jar != taking.jar):
                continue
            count = min(wanted, max(0, load.shelved - load.taken))
            if count:
                load.taken += count
                wanted -= count
                shares.append((taking.seq, load.load, count, taking.food))
            if not wanted:
                break
    return shares


def take_from_shelf(database: sqlite3.Connection, taking: Taking) -> None:
    """Take jars from the oldest loads of the shelf; the taking must be the latest event."""
    found = database.execute(
        "SELECT load, opened_seq, counted_seq, food, jar, shelved, taken FROM loads "
        "WHERE food = ? AND shelved > taken AND (? = '' OR jar = ?) ORDER BY opened_seq LIMIT ?",
        (taking.food, taking.jar, taking.jar, taking.count),
    )
    _write(database, allocate([ShelfLoad(*row) for row in found], [taking]))


def share_again(database: sqlite3.Connection, food: str, since: int, takings: Iterable[Taking]) -> None:
    """Allocate a food's takings from entry `since` on again; `takings` are those, as they stand now."""
    database.execute(
        "UPDATE loads SET taken = taken - (SELECT sum(count) FROM taken WHERE taken.load = loads.load AND seq >= ?1) "
        "WHERE load IN (SELECT load FROM taken WHERE food = ?2 AND seq >= ?1)",
        (since, food),
    )
    database.execute("DELETE FROM taken WHERE food = ? AND seq >= ?", (food, since))
    found = database.execute(
        "SELECT load, opened_seq, counted_seq, food, jar, shelved, taken FROM loads "
        "WHERE food = ? AND shelved > taken ORDER BY opened_seq",
        (food,),
    )
    _write(database, allocate([ShelfLoad(*row) for row in found], takings))


def _write(database: sqlite3.Connection, shares: Sequence[tuple[int, int, int, str]]) -> None:
    database.executemany("INSERT INTO taken (seq, load, count, food) VALUES (?, ?, ?, ?)", shares)
    counts = [(count, load) for _, load, count, _ in shares]
    database.executemany("UPDATE loads SET taken = taken + ? WHERE load = ?", counts)


def on_shelf(
    database: sqlite3.Connection, food: str | None = None, jar: str | None = None
) -> list[tuple[str, str, int, float]]:
    """Return (food, jar, jars left, when it was packed in POSIX seconds) of each load with jars left, oldest first."""
    return database.execute(
        "SELECT food, jar, shelved - taken, opened_t FROM loads WHERE shelved > taken "
        "AND (?1 IS NULL OR food = ?1) AND (?2 IS NULL OR jar = ?2) ORDER BY opened_seq",
        (food, jar),
    ).fetchall()


def put_up(database: sqlite3.Connection, food: str | None = None) -> list[tuple[str, str, int, float]]:
    """Return (food, jar, jars put on the shelf, when they were packed in POSIX seconds) of each load, oldest first."""
    return database.execute(
        "SELECT food, jar, shelved, opened_t FROM loads "
        "WHERE shelved > 0 AND (?1 IS NULL OR food = ?1) ORDER BY opened_seq",
        (food,),
    ).fetchall()
