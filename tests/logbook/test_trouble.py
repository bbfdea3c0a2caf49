"""Disk full, read-only, locked, damaged, newer: one sentence each, and whatever can be salvaged is."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from kitchenvoice.errors import LogbookBusy, LogbookError, LogbookForeign
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.store.checkpoints import Checkpointer
from kitchenvoice.logbook.store.file_watch import FileWatch
from kitchenvoice.logbook.tables.files import LOCK, NAME

from .days import Day, moment, one_by_one
from .helping import crash, in_child, kept, stored

NOBODY = 65534


# ---------------------------------------------------------------- full


def test_on_a_full_disk_nothing_of_the_report_is_stored_and_it_goes_on_when_there_is_room(home: Path) -> None:
    day = Day()
    with SqliteLog(home) as log:
        pages = log._connection.execute("PRAGMA page_count").fetchone()[0]
        log._connection.execute(f"PRAGMA max_page_count = {pages + 1}")
        day.start(1)
        with pytest.raises(LogbookError, match=r"disk is full.*Free some space"):
            for _ in range(200):
                log.append(day.hand_over(), moment(day.t))
                day.add("note", 1, text="x" * 2000)
        before = log.last_seq
        assert before > 1
        assert [event.seq for event in log.read()] == list(range(1, before + 1))
        log._connection.execute("PRAGMA max_page_count = 1000000")
        again = Day(before, day.t)
        again.add("packed", 1, count=3)
        log.append(again.events, moment(again.t))
    assert stored(home) == list(range(1, before + 2))
    with Logbook(home) as book:
        assert book.proof() == []


def test_when_the_system_refuses_a_longer_file_the_report_is_refused_with_a_sentence(home: Path) -> None:
    kept(home)
    lines = Day(len(stored(home)))

    def work() -> str:
        with SqliteLog(home) as log:
            size = (home / NAME).stat().st_size
            _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
            resource.setrlimit(resource.RLIMIT_FSIZE, (size + 50_000, hard))
            try:
                for _ in range(200):
                    lines.add("note", None, text="x" * 4000)
                    log.append(lines.hand_over(), moment(lines.t))
            except LogbookError as error:
                first = f"{log.last_seq} {error}"
                resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
                after = Day(log.last_seq, lines.t)
                after.add("packed", 1, count=1)
                log.append(after.events, moment(after.t))
                return f"{first} then {log.last_seq}"
        return "never refused"

    text = in_child(work)
    last = int(text.split(" ", 1)[0])
    assert "nothing can be recorded" in text
    assert f"then {last + 1}" in text
    assert stored(home) == list(range(1, last + 2))


def test_on_a_full_disk_a_start_still_knows_what_was_recorded(home: Path) -> None:
    """Without space for SQLite's shared index the log used to fail to open, and the day's loads were unknown."""
    day = kept(home, 1)
    crash(home, day)

    def work() -> str:
        _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (8192, hard))
        with SqliteLog(home) as log:
            known = f"{log.last_seq} {log.last_load}"
            more = Day(log.last_seq, day.t)
            more.add("packed", 2, count=1)
            try:
                log.append(more.events, moment(more.t))
            except LogbookError:
                resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
                log.append(more.events, moment(more.t))
                return f"{known}, then {log.last_seq}"
        return "never refused"

    assert in_child(work) == f"{day.seq + 1} 2, then {day.seq + 2}"
    assert stored(home) == list(range(1, day.seq + 3))


# ---------------------------------------------------------------- rights


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users may enter, for a child that drops its privileges."""
    path = Path(tempfile.mkdtemp(prefix="logbook-"))
    path.chmod(0o755)
    yield path
    shutil.rmtree(path)


def as_other(work: Callable[[], str]) -> str:
    """Do `work` without write permission: as another user where the tests run as root, else as is."""

    def lowered() -> str:
        if os.getuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        return work()

    return in_child(lowered)


def _read_only(folder: Path) -> Path:
    """Fill a log, leave its newest part in the WAL as a crash does, and remove write permission."""
    home = folder / "home"
    day = kept(home, 1)

    crash(home, day)
    assert (home / f"{NAME}-wal").stat().st_size > 0
    for path in home.iterdir():
        path.chmod(0o444)
    home.chmod(0o555)
    return home


def test_a_read_only_folder_is_refused_with_a_sentence(open_folder: Path) -> None:
    home = _read_only(open_folder)
    assert as_other(lambda: SqliteLog(home) and "opened").startswith(
        "LogbookError: The folder of the logbook can't be wri"
    )
    assert as_other(lambda: SqliteLog(home / "inner") and "opened").startswith(
        "LogbookError: The folder of the logbook"
    )


def test_a_read_only_folder_can_be_read_to_its_newest_entry(open_folder: Path) -> None:
    home = _read_only(open_folder)

    def work() -> str:
        with Logbook(home) as book:
            return f"{[load.load for load in book.loads()]} {book.proof()}"

    assert as_other(work) == "[1, 2] []"


def test_all_files_are_private(home: Path) -> None:
    before = os.umask(0)
    try:
        log = SqliteLog(home, moment())
    finally:
        os.umask(before)
    with log:
        log.append([Day().start(1)], moment())
        assert log._backup
        log._backup.wait()
        paths = [home, *home.rglob("*")]
        assert {path.name for path in paths} >= {NAME, f"{NAME}-wal", LOCK, "backups"}
        for path in paths:
            assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path


def test_a_folder_that_others_use_too_keeps_its_rights_and_what_is_made_in_it_is_private(home: Path) -> None:
    home.mkdir()
    home.chmod(0o1777)
    with SqliteLog(home) as log:
        log.append([Day().start(1)], moment())
        assert stat.S_IMODE(home.stat().st_mode) == 0o1777
        assert all(stat.S_IMODE(path.stat().st_mode) & 0o077 == 0 for path in home.iterdir())


def test_a_pipe_or_a_link_to_a_device_in_the_place_of_the_record_is_refused_and_left_as_it_is(home: Path) -> None:
    home.mkdir()
    os.mkfifo(home / NAME, 0o644)
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookError, match="isn't an ordinary file"):
            opening(home)
    assert stat.S_IMODE((home / NAME).stat().st_mode) == 0o644
    (home / NAME).unlink()
    (home / NAME).symlink_to("/dev/null")
    rights = Path("/dev/null").stat().st_mode
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookError, match="isn't an ordinary file"):
            opening(home)
    assert Path("/dev/null").stat().st_mode == rights


@pytest.mark.parametrize("end", ["-wal", "-shm", "-journal"])
def test_a_pipe_beside_the_record_holds_nobody_up(home: Path, end: str) -> None:
    with SqliteLog(home):
        pass
    os.mkfifo(home / f"{NAME}{end}")
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookError, match=f"{NAME}{end} isn't an ordinary file"):
            opening(home)
    Checkpointer(home / NAME, FileWatch(home))._move_pages()


# ---------------------------------------------------------------- one writer


def test_a_second_writer_is_told_who_has_the_log(home: Path) -> None:
    with SqliteLog(home):
        with pytest.raises(LogbookBusy, match=f"process {os.getpid()}"):
            SqliteLog(home)
        assert f"process {os.getpid()}" in in_child(lambda: SqliteLog(home) and "opened")
    with SqliteLog(home) as log:
        assert log.last_seq == 0


def test_a_killed_writer_leaves_no_lock(home: Path) -> None:
    def die() -> str:
        SqliteLog(home)
        os._exit(9)

    in_child(die)
    with SqliteLog(home) as log:
        assert log.last_seq == 0


def test_readers_read_while_the_writer_writes(home: Path) -> None:
    day = Day()
    day.whole(1)
    with SqliteLog(home) as log:
        for number, (events, at) in enumerate(one_by_one(day.events), 1):
            log.append(events, at)
            if number % 5 == 1:
                assert in_child(lambda: str(stored(home))) == str(list(range(1, number + 1)))


def test_a_foreign_program_that_holds_the_file_locked_gives_a_sentence(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept(home)
    with closing(sqlite3.connect(home / NAME)) as other, SqliteLog(home) as log:
        log._connection.execute("PRAGMA busy_timeout = 20")
        other.execute("BEGIN IMMEDIATE")
        late = Day(log.last_seq)
        late.add("heat_on")
        with pytest.raises(LogbookBusy, match="locked"):
            log.append(late.events, moment())
        other.rollback()
        log.append(late.events, moment())
        assert log.last_seq == late.seq


# ---------------------------------------------------------------- append-only, forms


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET heard = 'something else'",
        "DELETE FROM event WHERE seq = 1",
        "INSERT INTO event SELECT 99, t, kind, load, data, heard, utc, elapsed, boot, sum FROM event WHERE seq = 1",
        "INSERT OR REPLACE INTO event SELECT seq, t, 'x', load, data, '', utc, elapsed, boot, sum FROM event LIMIT 1",
    ],
    ids=["change", "delete", "leave a gap", "replace"],
)
def test_the_file_itself_refuses_to_change_what_was_recorded(home: Path, statement: str) -> None:
    kept(home)
    with closing(sqlite3.connect(home / NAME)) as database, pytest.raises(sqlite3.IntegrityError):
        database.execute(statement)


def test_a_log_of_a_newer_program_is_refused_and_left_as_it_is(home: Path) -> None:
    kept(home)
    with closing(sqlite3.connect(home / NAME)) as database:
        database.execute("PRAGMA user_version = 99")
    before = (home / NAME).read_bytes()
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookError, match="newer kitchenvoice"):
            opening(home)
    assert (home / NAME).read_bytes() == before


def test_a_form_below_zero_is_refused_and_left_as_it_is(home: Path) -> None:
    kept(home)
    with closing(sqlite3.connect(home / NAME)) as database:
        database.execute("PRAGMA user_version = -1")
    before = (home / NAME).read_bytes()
    for opening in (SqliteLog, Logbook):
        with pytest.raises(LogbookForeign, match="its form is -1"):
            opening(home)
    assert (home / NAME).read_bytes() == before


def test_an_older_form_is_brought_up_to_date_with_all_its_entries(home: Path) -> None:
    from kitchenvoice.logbook.tables import schema
    from kitchenvoice.logbook.tables.rows import INSERT, row_of

    day = Day()
    day.whole(1)
    home.mkdir()
    with closing(sqlite3.connect(home / NAME, isolation_level=None)) as database:
        _, first = schema.MIGRATIONS[0]
        database.executescript(f"{first} PRAGMA application_id = {schema.APPLICATION_ID}; PRAGMA user_version = 1;")
        for event in day.events:
            database.execute(INSERT, row_of(event, moment()))
    with pytest.raises(LogbookError, match="older form"):
        Logbook(home)
    with SqliteLog(home) as log:
        assert (log.last_seq, len(log.on_shelf())) == (day.seq, 1)
    with Logbook(home) as book:
        assert book.proof() == []


def test_a_file_that_is_no_logbook_is_left_alone(home: Path) -> None:
    home.mkdir()
    with closing(sqlite3.connect(home / NAME)) as database:
        database.execute("CREATE TABLE recipes (name)")
    with pytest.raises(LogbookError, match="isn't a logbook"):
        SqliteLog(home)
    with closing(sqlite3.connect(home / NAME)) as database:
        assert database.execute("SELECT name FROM sqlite_schema").fetchall() == [("recipes",)]


def test_rows_of_older_rules_are_derived_anew(home: Path) -> None:
    kept(home)
    with closing(sqlite3.connect(home / NAME, isolation_level=None)) as database:
        database.execute("UPDATE loads SET sealed = 1000, shelved = 1000, taken = 3")
        database.execute("UPDATE projection SET rules = 0")
    with SqliteLog(home) as log:
        assert [row[2] for row in log.on_shelf()] == [8, 8]
