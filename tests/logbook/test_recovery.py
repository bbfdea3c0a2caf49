"""Damage and backups: a damaged file is set aside, replaced by a backup, and later entries are salvaged."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kitchenvoice.errors import LogbookBusy, LogbookDamaged, LogbookError
from kitchenvoice.logbook import Logbook, SqliteLog, back_up, backups, restore
from kitchenvoice.logbook.store.backups import KEPT
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.ports import Moment

from .days import DAY, SEASON, Day, moment
from .helping import crash, kept, stored

# ---------------------------------------------------------------- damage


def _overwrite(path: Path, at: int, length: int) -> None:
    with path.open("r+b") as file:
        file.seek(at)
        file.write(b"\xa5" * length)


DAMAGES: list[tuple[str, Callable[[Path], None]]] = [
    ("head", lambda path: _overwrite(path, 0, 60)),
    ("schema", lambda path: _overwrite(path, 100, 800)),
    ("middle", lambda path: _overwrite(path, path.stat().st_size // 8192 * 4096, 4096)),
    ("cut", lambda path: os.truncate(path, path.stat().st_size - 3 * 4096)),
    ("text", lambda path: path.write_bytes(b"This is no database at all. " * 300)),
]


@pytest.mark.parametrize("harm", [harm for _, harm in DAMAGES], ids=[name for name, _ in DAMAGES])
def test_a_damaged_log_is_set_aside_and_the_backup_offered_and_restored(
    home: Path, harm: Callable[[Path], None]
) -> None:
    day = kept(home, 3)
    back_up(home, moment())
    harm(home / NAME)
    damaged = (home / NAME).read_bytes()
    with pytest.raises(LogbookDamaged, match=r"set aside in set-aside/1\. Run kitchenvoice logbook restore.* 2026"):
        SqliteLog(home)
    assert (home / "set-aside" / "1" / NAME).read_bytes() == damaged
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookDamaged, match=r"gone\. Run kitchenvoice logbook restore"):
            opening(home)
    done = restore(home)
    assert (done.entries, done.saved) == (day.seq, 0)
    assert stored(home) == list(range(1, day.seq + 1))
    assert (home / "set-aside" / "1" / NAME).read_bytes() == damaged


def test_what_is_readable_since_the_backup_is_saved(home: Path) -> None:
    day = kept(home, 2)
    back_up(home, moment())
    more = Day(day.seq, day.t)
    for load in range(3, 40):
        more.whole(load)
    with SqliteLog(home) as log:
        log.append(more.events, moment(more.t))
    with closing(sqlite3.connect(home / NAME)) as database:
        page = database.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'event_of_load'").fetchone()[0]
    _overwrite(home / NAME, (page - 1) * 4096, 4096)
    with pytest.raises(LogbookDamaged, match="save what can be read since"):
        SqliteLog(home)
    done = restore(home)
    assert (done.entries, done.saved) == (day.seq, more.seq - day.seq)
    with Logbook(home) as book:
        assert book.proof() == []
    with SqliteLog(home) as log:
        assert log.last_seq == more.seq


def test_without_any_backup_what_can_be_read_is_saved(home: Path) -> None:
    day = kept(home, 20)
    with closing(sqlite3.connect(home / NAME)) as database:
        page = database.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'loads'").fetchone()[0]
    _overwrite(home / NAME, (page - 1) * 4096, 4096)
    with pytest.raises(LogbookDamaged, match="There is no backup"):
        SqliteLog(home)
    assert restore(home).saved == day.seq
    assert stored(home) == list(range(1, day.seq + 1))


def test_a_bit_that_flipped_inside_an_entry_is_noticed(home: Path) -> None:
    kept(home)
    content = (home / NAME).read_bytes()
    at = content.index(b'"minutes":25')
    (home / NAME).write_bytes(content[: at + 10] + b"7" + content[at + 11 :])
    with pytest.raises(LogbookDamaged, match="altered"):
        SqliteLog(home)


def test_an_emptied_file_is_not_taken_for_a_new_log(home: Path) -> None:
    kept(home)
    back_up(home, moment())
    os.truncate(home / NAME, 0)
    with pytest.raises(LogbookDamaged, match="gone"):
        SqliteLog(home)


# ---------------------------------------------------------------- backups


def test_a_backup_is_made_at_the_first_start_of_a_day_and_fourteen_are_kept(home: Path) -> None:
    kept(home)
    for day in range(20):
        for hour in (7, 19):
            with SqliteLog(home, Moment(SEASON + day * DAY + hour * 3600, 0.0)) as log:
                assert log._backup
                log._backup.wait()
                assert log._backup.trouble is None
    found = backups(home)
    assert [each.number for each in found] == list(range(20, 20 - KEPT, -1))
    assert len({each.made.date() for each in found}) == KEPT
    assert list((home / "backups").glob("*.part")) == []


def test_a_clock_that_was_wrong_stops_no_backup(home: Path) -> None:
    kept(home)
    for utc in (SEASON, SEASON + 40 * 365 * DAY, 0.0, SEASON + DAY):
        with SqliteLog(home, Moment(utc, 0.0)) as log:
            assert log._backup
            log._backup.wait()
    assert [each.made.year for each in backups(home)] == [2026, 1970, 2066, 2026]


def test_going_back_to_an_older_backup_by_name_sets_the_present_aside(home: Path) -> None:
    day = kept(home, 1)
    old = back_up(home, moment())
    more = Day(day.seq, day.t)
    more.whole(2)
    with SqliteLog(home) as log:
        log.append(more.events, moment(more.t))
    done = restore(home, old.path)
    assert (done.entries, done.saved) == (day.seq, 0)
    assert stored(home) == list(range(1, day.seq + 1))
    assert done.aside is not None
    assert done.aside.exists()


def test_a_restore_while_a_session_writes_is_refused(home: Path) -> None:
    kept(home)
    back_up(home, moment())
    with SqliteLog(home), pytest.raises(LogbookBusy):
        restore(home)


@pytest.mark.parametrize("content", [None, b"", b"no database", b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_backup_that_is_none_is_refused_and_nothing_changed(
    home: Path, tmp_path: Path, content: bytes | None
) -> None:
    day = kept(home)
    file = tmp_path / "hostile.sqlite3"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(LogbookError, match="nothing was changed"):
        restore(home, file)
    assert stored(home) == list(range(1, day.seq + 1))


def test_a_write_ahead_log_without_its_file_is_not_played_into_a_backup(home: Path) -> None:
    day = kept(home, 1)
    back_up(home, moment())
    crash(home, day)
    (home / NAME).unlink()
    shutil.copyfile(home / f"{NAME}-wal", home / f"{NAME}.part-wal")
    done = restore(home)
    assert (done.entries, done.saved) == (day.seq, 0)
    assert (home / "set-aside" / "1" / f"{NAME}-wal").stat().st_size > 0
    with Logbook(home) as book:
        assert book.proof() == []
    with SqliteLog(home) as log:
        assert log.last_seq == day.seq


def test_another_story_is_not_mixed_into_a_backup(home: Path, tmp_path: Path) -> None:
    day = kept(home, 1)
    other = tmp_path / "other"
    kept(other, 1)
    with SqliteLog(other) as log:
        tale = Day(day.seq, day.t + 5)
        tale.whole(7, "okra")
        log.append(tale.events, moment())
    with SqliteLog(home) as log:
        more = Day(day.seq, day.t)
        more.add("heat_on")
        log.append(more.events, moment())
    made = back_up(home, moment())
    (home / NAME).unlink()
    (home / "set-aside" / "1").mkdir(parents=True)
    shutil.copyfile(other / NAME, home / "set-aside" / "1" / NAME)
    assert restore(home, made.path).saved == 0
