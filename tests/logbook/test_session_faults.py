"""A real session on a failing disk: it starts, says what it knows and what it can't do, guides, and catches up."""

from __future__ import annotations

import os
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

from kitchenvoice.clock import SystemClock
from kitchenvoice.logbook import Logbook, SqliteLog, back_up
from kitchenvoice.logbook.tables.files import NAME

from .days import Day
from .sessions import PROFILE, Started


def kitchen(home: Path) -> int:
    """Make a kitchen with a load left in the canner; return its number of entries."""
    day = Day(t=SystemClock().now().utc - 120.0)
    day.start(1)
    day.add("jars_in", 1, count=7)
    with SqliteLog(home) as log:
        log.append(day.events, SystemClock().now())
    (home / "profile.toml").write_text(PROFILE)
    return day.seq


def kinds(home: Path) -> list[str]:
    """Return the kinds of all entries of a sound log."""
    with Logbook(home) as book:
        assert book.proof() == []
        return [entry.event.kind for entry in book.entries()]


STORED = ["load_start", "jars_in", "session_start"]


def test_a_read_only_disk_and_then_a_full_one_stop_no_start(small_disk: Path) -> None:
    home = small_disk / "home"
    kitchen(home)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    session = Started(home)
    session.wait_for("I can't write the record: The folder of the logbook can't be written to")
    session.wait_for("loading the canner")
    session.type_in("lid is locked")
    session.wait_for("Weight still off")
    subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
    session.type_in("where are we", "heat is on")
    session.wait_for("The record is being written again.")
    assert session.end() == 0
    before = kinds(home)
    assert before == [*STORED, "lid_locked", "heat_on"]

    filler = small_disk / "filler"
    with filler.open("wb", buffering=0) as file:
        for size in (4096, 1):
            while wrote(file.fileno(), size):
                pass
    session = Started(home)
    session.wait_for("I can't write the record: The disk is full")
    session.wait_for("loading the canner")
    session.type_in("steam is steady")
    session.wait_for("Ten minutes of venting start now")
    assert kinds(home) == before
    filler.unlink()
    session.type_in("steam stopped")
    session.wait_for("The record is being written again.")
    assert session.end() == 0
    after = kinds(home)
    assert after[: len(before)] == before
    assert [kind for kind in after[len(before) :] if kind in ("session_start", "steam_steady", "steam_stopped")] == [
        "session_start",
        "steam_steady",
        "steam_stopped",
    ]


def wrote(handle: int, size: int) -> bool:
    try:
        return os.write(handle, b"x" * size) > 0
    except OSError:
        return False


def test_a_program_that_holds_the_record_locked_stops_no_start_and_what_was_not_stored_is_told(tmp_path: Path) -> None:
    home = tmp_path / "home"
    kitchen(home)
    with closing(sqlite3.connect(home / NAME, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        session = Started(home)
        session.wait_for("I can't write the record: Another program has the logbook locked")
        session.wait_for("loading the canner")
        session.type_in("lid is locked")
        session.wait_for("Weight still off")
        assert session.end() == 5
        assert session.told[-1] == "Stopped. 2 entries aren't recorded, because the disk didn't take them."
        assert session.recorded == 0
        other.execute("ROLLBACK")
    assert kinds(home) == STORED[:2]


def test_a_damaged_record_is_mended_at_the_start_and_again_in_the_middle(tmp_path: Path) -> None:
    home = tmp_path / "home"
    kitchen(home)
    back_up(home, SystemClock().now())
    spoil(home)
    session = Started(home)
    session.wait_for("can't tell for how long")
    session.wait_for("The logbook file is damaged. I went back to the backup of")
    session.type_in("lid is locked")
    session.wait_for("Weight still off")
    spoil(home)
    session.type_in("steam is steady")
    session.wait_for("The logbook file is damaged. I go on in a new file, and nothing is lost.")
    session.wait_for("Ten minutes of venting start now")
    session.type_in("steam stopped")
    session.wait_for("The record is being written again.")
    for path in home.glob(f"{NAME}*"):
        path.unlink()
    session.type_in("steam is steady", "steam stopped")
    session.wait_for("The logbook file is gone. I go on in a new file, and nothing is lost.")
    assert session.end() == 5
    assert session.told[-1].startswith("Stopped. The record was damaged or taken away while I ran.")
    assert kinds(home)[:5] == [*STORED, "lid_locked", "steam_steady"]
    assert kinds(home).count("steam_steady") == 2
    assert len(list((home / "set-aside").glob(f"*/{NAME}"))) == 2


def spoil(home: Path) -> None:
    """Overwrite all of the record's files in place."""
    for path in home.glob(f"{NAME}*"):
        length = path.stat().st_size
        with path.open("r+b") as file:
            file.write(b"\xa5" * length)


def test_a_record_that_cannot_be_read_at_all_is_not_taken_for_an_empty_one(tmp_path: Path) -> None:
    home = tmp_path / "home"
    (home / NAME).mkdir(parents=True)
    (home / "profile.toml").write_text(PROFILE)
    session = Started(home)
    session.wait_for("I can't write the record")
    session.wait_for("What was recorded before can't be read now")
    session.type_in("what's on the shelf")
    session.wait_for("I can't read the shelf list now.")
    assert session.end() == 5
