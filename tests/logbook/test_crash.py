"""The short form of scripts/crash_test, and proof that it would detect a loss."""

from __future__ import annotations

import os
import random
from pathlib import Path

from kitchenvoice.logbook import SqliteLog

from . import crashing
from .days import moment
from .stories import Story, demo, season


def test_nothing_acknowledged_is_lost_when_the_writer_is_killed_at_every_append(tmp_path: Path) -> None:
    found = crashing.kill_at_each(tmp_path, season(1), "a season")
    assert found.ok, found
    assert found.entries == len(season(1).events)
    assert found.slowest_open_s < 3.0


def test_nothing_acknowledged_is_lost_when_the_writer_is_killed_in_the_demonstration(
    tmp_path: Path,
) -> None:
    story = demo()
    morning = Story(story.events[: story.ends[11]], story.ends[:12])
    found = crashing.kill_at_each(tmp_path, morning, "the first hour of the demonstration")
    assert found.ok, found
    assert found.crashes == 36
    assert {"load_start", "timer_due"} < {event.kind for event in story.events}


def test_nothing_acknowledged_is_lost_when_the_writer_is_killed_at_random(tmp_path: Path) -> None:
    found = crashing.kill_at_random(tmp_path, 25, random.Random(7))
    assert found.ok, found
    assert found.entries > 25


def test_a_cut_or_damaged_wal_loses_only_what_was_behind_the_damage(tmp_path: Path) -> None:
    for found in crashing.damage_wal(tmp_path, 4001, 6, random.Random(7)):
        assert found.ok, found


def _acknowledge_early(folder: Path, pipe: int) -> None:
    events = season(1).events
    with SqliteLog(folder) as log:
        os.write(pipe, crashing.RECORD.pack(2, -1))
        log._connection.set_trace_callback(lambda text: text == "COMMIT" and os.kill(os.getpid(), 9))
        log.append(events[:2], moment())


def test_the_harness_notices_a_writer_that_acknowledges_before_it_has_written(tmp_path: Path) -> None:
    child, reading = crashing.spawn(lambda pipe: _acknowledge_early(tmp_path, pipe))
    os.waitpid(child, 0)
    acknowledged = max(seq for seq, _ in crashing.records(reading))
    os.close(reading)
    found = crashing.Found("early")
    crashing.inspect(tmp_path, season(1).events, acknowledged, acknowledged, found)
    assert found.lost == 2
    assert not found.ok


def test_the_harness_notices_an_altered_entry(tmp_path: Path) -> None:
    events = season(1).events
    with SqliteLog(tmp_path) as log:
        log.append(events[:5], moment())
    found = crashing.Found("altered")
    crashing.inspect(tmp_path, [*events[:2], events[3], events[3], events[4]], 5, 5, found)
    assert found.doubled_or_altered
