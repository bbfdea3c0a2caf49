"""Rows of older rules in a long log: no start waits for their rebuild, and new events are in the new rows."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from threading import Event as Flag

import pytest

from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.projection import rebuild
from kitchenvoice.logbook.projection.loads import Folding
from kitchenvoice.logbook.tables.files import NAME

from .days import Day, moment
from .helping import kept


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Flag:
    """Delays the rebuild, after its snapshot, until it is set."""
    gate, derive = Flag(), rebuild.rebuild

    def held_up(source: sqlite3.Connection, target: sqlite3.Connection, breathe: Callable[[], None]) -> Folding:
        folding = derive(source, target, breathe)
        while not gate.wait(0.02):
            breathe()
        return folding

    monkeypatch.setattr("kitchenvoice.logbook.store.sqlite_log.LONG", 10)
    monkeypatch.setattr(rebuild, "rebuild", held_up)
    return gate


def outdated(home: Path) -> Day:
    """A log with an older program's rows, one load of it open."""
    day = kept(home, 2)
    more = Day(day.seq, day.t)
    more.until_rest(3)
    with SqliteLog(home) as log:
        log.append(more.hand_over(), moment(more.t))
    with closing(sqlite3.connect(home / NAME, isolation_level=None)) as database:
        database.execute("UPDATE loads SET sealed = 1000, shelved = 1000, taken = 3 WHERE load < 3")
        database.execute("UPDATE projection SET rules = 0")
    return more


def test_what_comes_in_while_the_rows_are_renewed_is_in_the_new_ones(home: Path, gate: Flag) -> None:
    day = outdated(home)
    with SqliteLog(home, moment(day.t)) as log:
        assert [row[2] for row in log.on_shelf()] == [997, 997]
        day.add("opened", food="carrots", count=2)
        day.ends(3, "rest", 12 * 60)
        counted = day.add("seal_count", 3, sealed=9, failed=0)
        day.add("opened", food="carrots", count=15)
        day.add("scratched", 3, seq=counted.seq)
        day.add("seal_count", 3, sealed=5, failed=4)
        day.whole(4, failed=1)
        for event in day.hand_over():
            log.append([event], moment(event.t))
        gate.set()
        assert log._renewal is not None
        log._renewal.wait()
        left = [row[2] for row in log.on_shelf()]
        day.add("opened", food="carrots", count=1)
        log.append(day.hand_over(), moment(day.t))
        assert sum(left) - 1 == sum(row[2] for row in log.on_shelf())
    with Logbook(home) as book:
        assert book.proof() == []


def test_a_session_that_ends_before_leaves_the_old_rows_to_the_next_start(home: Path, gate: Flag) -> None:
    day = outdated(home)
    with SqliteLog(home, moment(day.t)) as log:
        day.add("opened", food="carrots", count=2)
        log.append(day.hand_over(), moment(day.t))
    gate.set()
    with SqliteLog(home, moment(day.t)) as log:
        assert log._renewal is not None
        log._renewal.wait()
    with Logbook(home) as book:
        assert book.proof() == []
