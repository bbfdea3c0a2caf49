"""Disk full, read-only, locked, damaged, newer: one sentence each, and what can be saved is saved."""

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

from kitchenvoice.errors import LogbookBusy, LogbookDamaged, LogbookError
from kitchenvoice.logbook import Logbook, SqliteLog, back_up, backups, restore
from kitchenvoice.logbook.backups import KEPT
from kitchenvoice.logbook.files import LOCK, NAME
from kitchenvoice.ports import Moment

from .crashing import spawn
from .days import DAY, SEASON, Day, moment, one_by_one

NOBODY = 65534


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


def kept(home: Path, loads: int = 2) -> Day:
    """Fill a log and close it."""
    day = Day()
    for load in range(1, loads + 1):
        day.whole(load, failed=1)
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    return day


def stored(home: Path) -> list[int]:
    with Logbook(home) as book:
        return [entry.event.seq for entry in book.entries()]


def in_child(work: Callable[[], str]) -> str:
    """Do `work` in a process of its own; return what it returned or the error it raised."""

    def told(pipe: int) -> None:
        try:
            text = work()
        except LogbookError as error:
            text = f"{type(error).__name__}: {error}"
        except BaseException as error:
            text = f"unexpected {error!r}"
        os.write(pipe, text.encode())

    child, reading = spawn(told)
    with os.fdopen(reading, "rb") as pipe:
        text = pipe.read().decode()
    os.waitpid(child, 0)
    return text


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
    """Without room for SQLite's shared index the log used to fail to open, and the day's loads were unknown."""
    day = kept(home, 1)
    _crash(home, day)

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
    """A folder that other users may enter, for a child that gives up its rights."""
    path = Path(tempfile.mkdtemp(prefix="logbook-"))
    path.chmod(0o755)
    yield path
    shutil.rmtree(path)


def as_other(work: Callable[[], str]) -> str:
    """Do `work` without the right to write: as another user where the tests run as root, else as is."""

    def lowered() -> str:
        if os.getuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        return work()

    return in_child(lowered)


def _crash(home: Path, day: Day) -> None:
    """Add the start of a load and die; the shared index is gone, as after a power cut."""

    def die() -> str:
        log = SqliteLog(home)
        more = Day(day.seq, day.t)
        more.start(2)
        log.append(more.events, moment(more.t))
        os._exit(9)

    in_child(die)
    (home / f"{NAME}-shm").unlink()


def _read_only(folder: Path) -> Path:
    """Fill a log, leave its newest part in the WAL as a crash does, and take the right to write away."""
    home = folder / "home"
    day = kept(home, 1)

    _crash(home, day)
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
    home.mkdir(mode=0o755)
    with SqliteLog(home, moment()) as log:
        log.append([Day().start(1)], moment())
        assert log._backup
        log._backup.wait()
        paths = [home, *home.rglob("*")]
        assert {path.name for path in paths} >= {NAME, f"{NAME}-wal", f"{NAME}-shm", LOCK, "backups"}
        for path in paths:
            assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path


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


def test_an_older_form_is_brought_up_to_date_with_all_its_entries(home: Path) -> None:
    from kitchenvoice.logbook import schema
    from kitchenvoice.logbook.rows import INSERT, row_of

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
        database.execute("UPDATE loads SET sealed = 1000, taken = 3")
        database.execute("UPDATE projection SET rules = 0")
    with SqliteLog(home) as log:
        assert [row[2] for row in log.on_shelf()] == [8, 8]


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
                assert log.backup_trouble is None
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
