"""Deleted, replaced or damaged files of an open record: noticed with the next entry, and rescued into a new file."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

import pytest

from kitchenvoice.errors import LogbookDamaged, LogbookError
from kitchenvoice.logbook import Logbook, ResilientLog, SqliteLog
from kitchenvoice.logbook.report.records import open_logbook
from kitchenvoice.logbook.store import backups
from kitchenvoice.logbook.store.backups import BackupKeeper
from kitchenvoice.logbook.store.checkpoints import Checkpointer
from kitchenvoice.logbook.store.restore import require_harm
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.ports import Event

from .days import Day, moment
from .helping import kept


def entries(home: Path) -> list[Event]:
    """Return all entries of a sound log."""
    with Logbook(home) as book:
        assert book.proof() == []
        return [entry.event for entry in book.entries()]


def remove(home: Path) -> None:
    for path in home.glob(f"{NAME}*"):
        path.unlink()


def remove_all(home: Path) -> None:
    shutil.rmtree(home)


def replace_by_another_record(home: Path) -> None:
    kept(home.with_name("other"), 3)
    remove(home)
    shutil.copyfile(home.with_name("other") / NAME, home / NAME)


def replace_by_no_record(home: Path) -> None:
    remove(home)
    with closing(sqlite3.connect(home / NAME)) as database:
        database.execute("CREATE TABLE recipes (name)")


def replace_by_a_folder(home: Path) -> None:
    remove(home)
    (home / NAME).mkdir()


def remove_the_newest_part(home: Path) -> None:
    (home / f"{NAME}-wal").unlink()


def cut(home: Path) -> None:
    os.truncate(home / NAME, (home / NAME).stat().st_size // 2)


def cut_to_nothing(home: Path) -> None:
    for path in home.glob(f"{NAME}*"):
        os.truncate(path, 0)


def forget_backups(home: Path) -> None:
    shutil.rmtree(home / "backups", ignore_errors=True)


def a_foreign_entry(home: Path) -> None:
    with closing(sqlite3.connect(home / NAME)) as database:
        row = list(database.execute("SELECT * FROM event ORDER BY seq DESC LIMIT 1").fetchone())
        database.execute(f"INSERT INTO event VALUES ({', '.join('?' * len(row))})", (row[0] + 1, *row[1:]))
        database.commit()


def another_s_tables(home: Path) -> None:
    with closing(sqlite3.connect(home / NAME)) as database:
        database.execute("DROP TABLE event")


def noise_in_its_place(home: Path) -> None:
    for name in (NAME, f"{NAME}-wal"):
        with (home / name).open("r+b") as file:  # never shorter, even for a moment: a thread may look
            file.write(b"\xa5" * (home / name).stat().st_size)


def one_byte(home: Path) -> None:
    remove(home)
    (home / NAME).write_bytes(b"x")


HARMS: tuple[Callable[[Path], None], ...] = (
    remove,
    remove_all,
    replace_by_another_record,
    replace_by_no_record,
    replace_by_a_folder,
    remove_the_newest_part,
    cut,
    cut_to_nothing,
    one_byte,
)
CHANGES: tuple[Callable[[Path], None], ...] = (a_foreign_entry, another_s_tables, noise_in_its_place)
"""Harms that leave the files where they were, as long as they were."""


def begun(home: Path, beside: Callable[[Path], object] = lambda _: None) -> tuple[ResilientLog, Day]:
    """A log with an earlier day, and a session that has stored some of today; `beside` comes between."""
    before = kept(home, 2)
    beside(home)
    log = ResilientLog(home, moment(before.t))
    assert log._log is not None
    assert log._log._backup is not None
    log._log._backup.wait()
    day = Day(before.seq, before.t)
    day.start(3)
    log.append(day.hand_over(), moment(day.t))
    return log, day


@pytest.mark.parametrize("harm", HARMS, ids=lambda harm: str(harm.__name__))
@pytest.mark.parametrize("backups", [True, False], ids=["with backups", "without"])
def test_it_is_noticed_with_the_next_entry_and_goes_on_in_a_new_file(
    home: Path, harm: Callable[[Path], None], backups: bool
) -> None:
    log, day = begun(home)
    whole = entries(home)
    harm(home)
    if not backups:
        forget_backups(home)
    day.add("packed", 3, count=1)
    more = day.hand_over()
    with pytest.raises(
        LogbookDamaged, match=r"^The logbook file (is gone|was replaced by another one|was cut short)\. "
    ):
        log.append(more, moment(day.t))
    log.append(more, moment(day.t))
    day.add("packed", 3, count=2)
    last = day.hand_over()
    log.append(last, moment(day.t))
    log.look()
    log.close()
    assert log.mended
    now = entries(home)
    assert [event.seq for event in now] == list(range(1, day.seq + 1))
    assert now[-2:] == [*more, *last]
    ours = [event for event in now if event.kind != "lost"]
    assert ours == [event for event in (*whole, *more, *last) if event in ours]
    assert [event for event in ours if event.load == 3] == [
        event for event in (*whole, *more, *last) if event.load == 3
    ]
    assert log.lost == len(now) - len(ours)
    with SqliteLog(home) as again:
        assert again.last_seq == day.seq


@pytest.mark.parametrize("harm", [remove, cut, replace_by_another_record], ids=lambda harm: str(harm.__name__))
def test_what_happens_while_an_entry_is_written_is_told_with_the_next_one(
    home: Path, harm: Callable[[Path], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    log, day = begun(home)
    assert log._log is not None
    watch = log._log._watch
    note = watch.note
    monkeypatch.setattr(watch, "note", lambda: (harm(home), note()))
    day.add("packed", 3, count=1)
    first = day.hand_over()
    log.append(first, moment(day.t))
    day.add("packed", 3, count=2)
    second = told_once(log, day, r"^The logbook file (is gone|was replaced by another one|was cut short)\. ")
    assert entries(home)[-2:] == [*first, *second]


def test_what_is_taken_away_again_before_it_is_open_again_is_begun_anew(home: Path) -> None:
    log, day = begun(home)
    day.add("packed", 3, count=1)
    more = day.hand_over()
    (home / NAME).unlink()  # without its newest part, which is set aside
    with pytest.raises(LogbookDamaged, match=r"I go on in a new file, and nothing is lost\."):
        log.append(more, moment(day.t))
    remove(home)
    forget_backups(home)
    log.append(more, moment(day.t))
    log.close()
    assert entries(home)[-1:] == list(more)


def test_where_no_new_file_can_be_had_the_end_says_so(home: Path) -> None:
    log, day = begun(home)
    (home / "set-aside").write_bytes(b"in the way")
    cut(home)
    day.add("packed", 3, count=1)
    with pytest.raises(LogbookDamaged, match="I try to mend it"):
        log.append(day.hand_over(), moment(day.t))
    with pytest.raises(LogbookError, match="set-aside exists and belongs to you"):
        log.look()
    log.close()


def test_a_record_that_is_cut_while_it_is_read_again_keeps_no_lock(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log, day = begun(home)
    day.add("packed", 3, count=1)
    remove(home)
    more = day.hand_over()
    with pytest.raises(LogbookDamaged):
        log.append(more, moment(day.t))

    def cut_short(_: object) -> bool:
        raise LogbookDamaged("The logbook file was cut short.")

    with monkeypatch.context() as meanwhile, pytest.raises(LogbookDamaged, match="cut short"):
        meanwhile.setattr(log, "_continues", cut_short)
        log.append(more, moment(day.t))
    log.append(more, moment(day.t))
    log.close()
    assert entries(home)[-1:] == list(more)


ANOTHER = """
import sqlite3, sys
from pathlib import Path
from kitchenvoice.logbook.tables.files import connect_reader
try:
    sqlite3.connect(sys.argv[1], timeout=0.0).execute("DROP TABLE event")
except sqlite3.OperationalError as error:
    print(error, connect_reader(Path(sys.argv[1])).execute("SELECT max(seq) FROM event").fetchone())
"""


def test_no_other_program_can_write_into_it_meanwhile_and_each_can_read_it(home: Path) -> None:
    log, day = begun(home)
    done = subprocess.run([sys.executable, "-c", ANOTHER, str(home / NAME)], capture_output=True, text=True, check=True)
    assert done.stdout == f"database is locked ({day.seq},)\n"
    log.close()


@pytest.mark.parametrize("harm", [remove, replace_by_no_record, replace_by_a_folder])
def test_whoever_looks_meanwhile_is_advised_to_let_the_session_go_on(home: Path, harm: Callable[[Path], None]) -> None:
    """The advice that holds without a session, to go back to a backup, would end a load and lose its newest reports."""
    log, day = begun(home)
    harm(home)
    with closing(log):
        for look in (open_logbook, Logbook):
            with pytest.raises(LogbookError) as told:
                look(home)
            assert f"A session is writing it (process {os.getpid()}): let that go on and change nothing." in str(
                told.value
            )
            assert "restore" not in str(told.value)
        day.add("packed", 3, count=1)
        told_once(log, day, "The logbook file")
    with pytest.raises(LogbookError, match="The logbook is in order, so nothing was changed"):
        require_harm(home)
    assert entries(home)[-1].seq == day.seq


def test_a_record_of_one_byte_is_no_new_one(home: Path) -> None:
    log, _ = begun(home)
    log.close()
    one_byte(home)
    again = ResilientLog(home, moment())
    again.close()
    assert "The logbook file is gone. I went back to the backup" in again.news


def told_once(log: ResilientLog | SqliteLog, day: Day, why: str) -> list[Event]:
    """Hand over what is new: refused once with the reason, then kept; return it, with the log closed."""
    more = day.hand_over()
    with pytest.raises(LogbookDamaged, match=why):
        log.append(more, moment(day.t))
    log.append(more, moment(day.t))
    log.close()
    return list(more)


@pytest.mark.parametrize("harm", CHANGES, ids=lambda harm: str(harm.__name__))
def test_what_another_program_wrote_into_it_is_set_aside(home: Path, harm: Callable[[Path], None]) -> None:
    log, day = begun(home)
    harm(home)
    day.add("packed", 3, count=1)
    more = told_once(log, day, r"(Another program wrote into the logbook|is damaged)\. I (try|go on)")
    assert log.mended
    assert [event.seq for event in entries(home)] == list(range(1, day.seq + 1))
    assert entries(home)[-1] == more[-1]


@pytest.mark.parametrize("harm", HARMS + CHANGES, ids=lambda harm: str(harm.__name__))
def test_what_happens_after_the_last_entry_is_set_right_at_the_end(home: Path, harm: Callable[[Path], None]) -> None:
    log, day = begun(home)
    whole = entries(home)
    harm(home)
    log.look()
    log.close()
    assert log.mended
    assert [event.seq for event in entries(home)] == list(range(1, day.seq + 1))
    assert [event for event in entries(home) if event.load == 3] == [event for event in whole if event.load == 3]


LOOKS: dict[str, Callable[[SqliteLog], object]] = {
    "the shelf is asked for": lambda log: log.on_shelf(),
    "the last time is asked for": lambda log: log.last_moment,
    "everything is read again": lambda log: list(log.read()),
    "pages are moved": lambda log: through_its_thread(log, appends=1),
    "it is looked over in a quiet moment": lambda log: through_its_thread(log, appends=100),
    "a backup begins": lambda log: BackupKeeper(log._folder, moment(2e9), log._watch).wait(),
    "it is closed": lambda log: log.close(),
}


def through_its_thread(log: SqliteLog, appends: int) -> None:
    """Let the thread beside the writer come to its work, and end."""
    beside = Checkpointer(log._folder / NAME, log._watch, appends, 0.01)
    beside.appended()
    assert beside._thread is not None
    beside._thread.join(0.1)
    beside.stop()


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_an_index_that_was_cut_ends_nobody_who_looks_and_is_told_with_the_next_entry(
    home: Path, look: Callable[[SqliteLog], object]
) -> None:
    """Cut while it is mapped into memory, it would end the whole program at the next read: here, pytest."""
    readers: list[sqlite3.Connection] = []

    def read(home: Path) -> None:
        readers.append(sqlite3.connect(home / NAME))  # so the session can't have it for itself
        readers[0].execute("SELECT count(*) FROM event").fetchone()

    log, day = begun(home, read)
    readers[0].close()
    assert log._log is not None
    os.truncate(home / f"{NAME}-shm", 0)
    with suppress(LogbookDamaged):
        look(log._log)
    day.add("packed", 3, count=1)
    more = day.hand_over()
    with pytest.raises(LogbookError, match=r"was cut short|is closed"):
        log.append(more, moment(day.t))
    log._let_go()
    log.append(more, moment(day.t))
    log.close()
    assert [event.seq for event in entries(home)] == list(range(1, day.seq + 1))


def test_a_backup_whose_files_go_meanwhile_leaves_the_telling_to_the_next_entry(
    home: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    log, _ = begun(home)
    assert log._log is not None

    def gone(folder: Path, *_: object) -> None:
        remove(folder)
        raise FileNotFoundError(folder / NAME)

    monkeypatch.setattr(backups, "back_up", gone)
    keeper = BackupKeeper(home, moment(2e9), log._log._watch)
    keeper.wait()
    log.close()
    assert keeper.trouble is not None
    assert [each for each in caplog.records if each.levelname == "WARNING" and "backup" in each.message] == []


def test_nothing_is_set_right_where_nothing_happened(home: Path) -> None:
    log, day = begun(home)
    for _ in range(400):
        day.add("note", 3, text="x" * 2000)
        log.append(day.hand_over(), moment(day.t))
    log.look()
    log.close()
    assert (log.mended, log.whole) == (False, True)
    assert not (home / "set-aside").exists()


def test_damage_inside_the_file_is_found_in_a_quiet_moment_and_told_with_the_next_entry(home: Path) -> None:
    log, day = begun(home)
    assert log._log is not None
    log._log._checkpoints.stop()
    log._log._checkpoints = quiet = Checkpointer(home / NAME, log._log._watch, 1, 0.05)
    day.add("packed", 3, count=1)
    log.append(day.hand_over(), moment(day.t))
    assert log._log._connection.execute("PRAGMA wal_checkpoint(FULL)").fetchone()[0] == 0
    with (home / NAME).open("r+b") as file:
        page = log._log._connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'event'").fetchone()[0]
        file.seek((page - 1) * 4096)
        file.write(b"\xa5" * 4096)
    quiet.appended()
    assert quiet._thread is not None
    while not quiet.found_damage:
        quiet._thread.join(0.01)
        assert quiet._thread.is_alive()
    day.add("packed", 3, count=2)
    more = told_once(log, day, r"^The logbook file is damaged\. ")
    assert entries(home)[-1] == more[-1]
    assert [event.seq for event in entries(home)] == list(range(1, day.seq + 1))


def test_a_disk_that_takes_no_new_file_refuses_until_it_does(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log, day = begun(home)
    whole = entries(home)
    remove(home)
    day.add("packed", 3, count=1)
    more = day.hand_over()
    with monkeypatch.context() as patch:
        patch.setattr("kitchenvoice.logbook.store.resilient_log.put_in_place", full)
        patch.setattr("kitchenvoice.logbook.store.resilient_log.restore", full)
        for _ in range(3):
            with pytest.raises(LogbookError):
                log.append(more, moment(day.t))
    log.append(more, moment(day.t))
    log.close()
    assert entries(home) == [*whole, *more]


def test_entries_that_nobody_has_any_more_leave_their_numbers_and_are_counted(home: Path) -> None:
    """Loads of a year ago aren't in the session's memory: without file and backup they are gone."""
    long_ago, today = Day(), 1_786_521_600.0
    long_ago.whole(1)
    with SqliteLog(home) as log:
        log.append(long_ago.events, moment(long_ago.t))
        day = Day(long_ago.seq, today + 400 * 86_400.0)
        day.start(2)
        log.append(day.hand_over(), moment(day.t))
    session = ResilientLog(home, moment(day.t))
    day.add("packed", 2, count=1)
    session.append(day.hand_over(), moment(day.t))
    assert session._log is not None
    session._log._connection.execute("PRAGMA shrink_memory")  # what it still has in memory
    cut_to_nothing(home)
    forget_backups(home)
    session.look()
    session.close()
    now = entries(home)
    assert [event.seq for event in now] == list(range(1, day.seq + 1))
    assert session.lost == sum(event.kind == "lost" for event in now) > 5
    assert not session.whole
    assert [event.kind for event in now if event.load == 2] == ["load_start", "packed"]


def test_a_record_that_comes_after_the_start_and_is_another_one_is_left_alone(home: Path) -> None:
    """A disk that was not there at the start must not be taken for damage when it comes."""
    (home / NAME).mkdir(parents=True)
    session = ResilientLog(home, moment())
    (home / NAME).rmdir()
    before = kept(home, 2)
    day = Day()
    day.start(1)
    with pytest.raises(LogbookError, match="isn't the one this session began with"):
        session.append(day.hand_over(), moment(day.t))
    session.close()
    assert [event.seq for event in entries(home)] == list(range(1, before.seq + 1))
    assert not (home / "set-aside").exists()


def full(*_: object) -> None:
    raise LogbookError("The disk is full.")
