"""Tests of every event log: the one on the disk and the one in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.ports import Event, EventLog
from kitchenvoice.process import fold
from kitchenvoice.testing.fake_log import MemoryLog

from .days import DAY, Day, moment, one_by_one

AnyLog = MemoryLog | SqliteLog


@pytest.fixture(params=["memory", "sqlite"])
def make(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], AnyLog]]:
    made: list[AnyLog] = []

    def one() -> AnyLog:
        made.append(MemoryLog() if request.param == "memory" else SqliteLog(tmp_path / "home"))
        return made[-1]

    yield one
    for log in made:
        log.close()


def test_a_log_is_an_event_log(make: Callable[[], AnyLog]) -> None:
    assert isinstance(make(), EventLog)


def test_a_new_log_is_empty(make: Callable[[], AnyLog]) -> None:
    log = make()
    assert (list(log.read()), log.last_seq, log.last_load, log.on_shelf()) == ([], 0, 0, [])


def test_what_was_appended_is_read_back_in_order(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.until_rest(1)
    for events, at in one_by_one(day.events):
        log.append(events, at)
    assert list(log.read()) == day.events
    assert (log.last_seq, log.last_load) == (day.seq, 1)


def test_both_clocks_of_the_latest_entry_are_kept(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    assert log.last_moment is None
    log.append([day.start(1)], moment(day.t))
    log.append([day.add("packed", 1, count=1)], moment(day.t + 3))
    assert log.last_moment == moment(day.t + 3)


def test_appending_nothing_stores_nothing(make: Callable[[], AnyLog]) -> None:
    log = make()
    log.append([], moment())
    assert log.last_seq == 0


@pytest.mark.parametrize("seqs", [(2,), (0,), (1, 3), (1, 1), (-1,)])
def test_a_gap_or_a_double_is_refused_and_nothing_of_it_stored(make: Callable[[], AnyLog], seqs: tuple[int]) -> None:
    log = make()
    with pytest.raises(LogbookError, match="recorded"):
        log.append([Event(seq=seq, t=1.0, kind="heat_on") for seq in seqs], moment())
    assert list(log.read()) == []
    log.append([Event(seq=1, t=1.0, kind="heat_on")], moment())
    assert log.last_seq == 1


@pytest.mark.parametrize(
    "event",
    [
        Event(seq=1, t=float("nan"), kind="heat_on"),
        Event(seq=1, t=float("inf"), kind="heat_on"),
        Event(seq=1, t=1.0, kind="pressure_is", data={"pressure": float("nan")}),
        Event(seq=1, t=1.0, kind="heat_on", heard="\ud800"),
        Event(seq=1, t=1.0, kind="heat_on", load=2**63),
        Event(seq=1, t=1.0, kind="heat_on", data={"what": object()}),  # type: ignore[dict-item]
        Event(seq=1, t=1.0, kind="heat_on", data={1: "one"}),  # type: ignore[dict-item]
    ],
    ids=["nan time", "endless time", "nan pressure", "broken text", "huge load", "an object", "a number as name"],
)
def test_what_cannot_be_stored_is_refused_with_a_sentence(make: Callable[[], AnyLog], event: Event) -> None:
    log = make()
    with pytest.raises(LogbookError, match="can't be recorded"):
        log.append([Event(seq=1, t=1.0, kind="heat_on"), replace(event, seq=2)], moment())
    assert (list(log.read()), log.last_seq) == ([], 0)


def test_unknown_kinds_are_stored(make: Callable[[], AnyLog]) -> None:
    log = make()
    event = Event(seq=1, t=1.0, kind="cat_on_counter", load=3, data={"cats": (1, {"name": "none"}), "loud": True})
    log.append([event], moment())
    day = Day(1)
    log.append([day.start(3)], moment())
    assert next(iter(log.read())) == event


def test_data_that_the_engine_cannot_use_is_stored_all_the_same(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.add("load_start", 1, food="carrots")
    day.add("load_start", 2, minutes="many")
    day.start(3)
    day.add("seal_count", 3, sealed="all")
    day.add("packed", 3, count="a few")
    day.add("pressure_is", 3)
    day.add("scratched", 3, seq="the last")
    day.add("scratched", 3, seq=99)
    day.add("opened", None, food=None, count="x")
    log.append(day.events, moment())
    assert log.last_seq == day.seq
    assert [event for event in log.read() if event.load == 3] == [event for event in day.events if event.load == 3]


def test_after_close_nothing_is_taken(make: Callable[[], AnyLog]) -> None:
    log = make()
    log.close()
    log.close()
    with pytest.raises(LogbookError, match="closed"):
        log.append([Event(seq=1, t=1.0, kind="heat_on")], moment())


def test_the_shelf_holds_what_sealed_less_what_was_opened_the_oldest_first(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.whole(1, "carrots", jars=7, failed=1)
    packed = [event.t for event in day.events if event.kind == "load_start"]
    day.t += DAY
    day.whole(2, "carrots", jars=9)
    packed.append(next(event.t for event in day.events if event.kind == "load_start" and event.load == 2))
    day.add("opened", food="carrots", count=7)
    opened = day.seq
    day.add("opened", food="peas_green", count=1)
    log.append(day.hand_over(), moment(day.t))
    assert log.on_shelf() == [("carrots", "pint", 8, packed[1])]
    assert log.put_up() == [("carrots", "pint", 6, packed[0]), ("carrots", "pint", 9, packed[1])]
    assert log.put_up("peas_green") == []
    day.add("scratched", seq=opened)
    log.append(day.hand_over(), moment(day.t))
    assert log.on_shelf("carrots") == [("carrots", "pint", 6, packed[0]), ("carrots", "pint", 9, packed[1])]
    assert log.on_shelf("carrots", "quart") == []
    assert log.on_shelf("peas_green") == []


def test_a_jar_opened_before_a_load_was_counted_is_not_taken_from_it(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.until_rest(1)
    day.add("opened", food="carrots", count=2)
    day.ends(1, "rest", 12 * 60 - 1)
    day.add("seal_count", 1, sealed=9, failed=0)
    log.append(day.events, moment(day.t))
    assert [row[:3] for row in log.on_shelf()] == [("carrots", "pint", 9)]


def test_jars_of_the_size_that_was_said_are_taken(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.whole(1, "carrots", jars=9)
    day.whole(2, "carrots", jars=7, jar="quart")
    day.add("opened", food="carrots", count=2, jar="quart")
    day.add("discarded", food="carrots", count=1)
    log.append(day.events, moment(day.t))
    assert [row[:3] for row in log.on_shelf()] == [("carrots", "pint", 8), ("carrots", "quart", 5)]


def test_a_corrected_count_is_what_the_shelf_holds(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    day.until_rest(1)
    day.ends(1, "rest", 12 * 60)
    wrong = day.add("seal_count", 1, sealed=9, failed=0)
    day.add("opened", food="carrots", count=1)
    day.add("scratched", 1, seq=wrong.seq)
    day.add("seal_count", 1, sealed=8, failed=1)
    log.append(day.events, moment(day.t))
    assert [row[:3] for row in log.on_shelf()] == [("carrots", "pint", 8)]


def test_the_fold_of_what_is_read_is_the_fold_of_everything_that_is_still_open(make: Callable[[], AnyLog]) -> None:
    log, day = make(), Day()
    for load in range(1, 4):
        day.whole(load)
    day.until_rest(4)
    day.add("timer_start", minutes=600, name="bread")
    day.add("crock_start", food="sauerkraut", days_ago=2)
    day.t += 10 * DAY
    day.whole(5)
    day.start(6)
    log.append(day.events, moment(day.t))
    read, whole = fold(log.read()), fold(day.events)
    assert read.open_loads == whole.open_loads
    assert read.crocks == whole.crocks != ()
    assert (read.timers, read.calls, read.t, read.seq) == (whole.timers, whole.calls, whole.t, whole.seq)
