"""Properties of any day: event -> row -> event is the identity, and the rows beside the log are its fold."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.store.integrity import proof
from kitchenvoice.logbook.tables.files import NAME, connect_reader
from kitchenvoice.logbook.tables.rows import event_of, moment_of, row_of
from kitchenvoice.ports import Event, Moment
from kitchenvoice.process import fold

from .days import DAY, IN_MEMORY, Day, moment

TIMES = st.floats(allow_nan=False, allow_infinity=False)
LEAVES = st.none() | st.booleans() | st.integers() | TIMES | st.text()
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3).map(tuple) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)
NUMBERS = st.integers(1, 2**63 - 1)
EVENTS = st.builds(
    Event,
    seq=NUMBERS,
    t=TIMES,
    kind=st.text(),
    load=st.none() | NUMBERS,
    data=st.dictionaries(st.text(), VALUES, max_size=4),
    heard=st.text(),
)
MOMENTS = st.builds(Moment, utc=TIMES, elapsed=TIMES, boot=st.text())


@given(EVENTS, MOMENTS)
def test_an_event_comes_back_from_its_row_as_it_was(event: Event, at: Moment) -> None:
    row = row_of(event, at)
    with closing(sqlite3.connect(":memory:")) as database:
        stored = database.execute("SELECT ?, ?, ?, ?, ?, ?, ?, ?, ?, ?", row).fetchone()
    assert event_of(stored) == event
    assert moment_of(stored) == at
    assert repr(event_of(stored).data) == repr(dict(event.data))


def _open_jar(day: Day, load: int) -> None:
    day.add("opened", food=("carrots", "peas_green")[load % 2], count=1 + load, **({"jar": "pint"} if load > 2 else {}))


LIVING: list[Callable[[Day, int], Any]] = [
    lambda day, load: day.whole(load, ("carrots", "peas_green")[load % 2], failed=load % 3),
    lambda day, load: day.until_rest(load, ("carrots", "peas_green")[load % 2], restarts=load % 2),
    lambda day, load: day.start(load, ("carrots", "peas_green")[load % 2], lids="box 2"),
    lambda day, load: day.add("packed", load, count=2),
    lambda day, load: day.add("lid_box", load, box=day.seq),
    lambda day, load: day.add("used", load, amount=float(day.seq), unit="pound"),
    lambda day, load: day.add("load_close", load),
    lambda day, load: day.add("seal_count", load, sealed=5 + load % 4, failed=4 - load % 4),
    lambda day, load: day.add("jar_outcome", load, outcome="freeze"),
    lambda day, load: day.add("load_select", load),
    lambda day, load: day.add("timer_start", minutes=5.0 + load, name=f"timer {load}"),
    lambda day, load: day.add("timer_due", None, timer=f"timer {load}", mark="end"),
    lambda day, load: day.add("timer_stop"),
    lambda day, load: day.add("answer_call", load),
    lambda day, load: day.add(
        "crock_start", food=("sauerkraut", "dill_pickles_fermented")[load % 2], crock=1 + load // 2, days_ago=load
    ),
    lambda day, load: day.add(
        "crock_check", food=("sauerkraut", "dill_pickles_fermented")[load % 2], crock=1 + load // 2
    ),
    lambda day, load: day.add(
        "crock_care", food=("sauerkraut", "dill_pickles_fermented")[load % 2], crock=1 + load // 2, care="skimmed"
    ),
    lambda day, load: day.add(
        "crock_end", food=("sauerkraut", "dill_pickles_fermented")[load % 2], crock=1 + load // 2
    ),
    lambda day, load: day.add("session_start", off_s=60.0),
    lambda day, load: day.add("was_steady", load, ok=False),
    lambda day, load: setattr(day, "t", day.t + load * DAY),
    _open_jar,
    _open_jar,
]
Life = list[tuple[Callable[[Day, int], Any], int, Any, bool]]
LIVES = st.lists(
    st.tuples(st.sampled_from(LIVING), st.integers(1, 5), st.none() | st.integers(1, 40), st.booleans()),
    max_size=14,
)


@settings(max_examples=40, deadline=None)
@given(LIVES)
def test_the_rows_equal_the_fold_however_a_day_goes(life: Life) -> None:
    everything: list[Event] = []
    with tempfile.TemporaryDirectory(dir=IN_MEMORY) as folder:
        day, log = Day(), SqliteLog(Path(folder))
        for act, load, back, reopen in life:
            act(day, load)
            if back is not None and day.seq > back:
                day.add("scratched", load, seq=day.seq - back)
            everything += (events := day.hand_over())
            log.append(events, moment(day.t))
            if reopen:
                log.close()
                log = SqliteLog(Path(folder))
        with closing(log), closing(connect_reader(Path(folder) / NAME)) as database:
            assert list(proof(database)) == []
            read, whole = fold(log.read()), fold(everything)
            assert read.open_loads == whole.open_loads
            assert (read.timers, read.calls, read.t, log.last_seq) == (whole.timers, whole.calls, whole.t, whole.seq)
            assert read.crocks == whole.crocks
