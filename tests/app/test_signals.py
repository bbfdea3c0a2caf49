"""What the system can do to a running session: end its terminal, stop it for a while, end it for good."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.tables.files import NAME
from tests.logbook.sessions import PROFILE, Started

LOAD = ("start seven quarts of green beans raw pack", "yes", "seven jars are in")
PATIENCE_S = 30.0
STOPPED_S = 12.0


@pytest.fixture
def home(tmp_path: Path) -> Path:
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "profile.toml").write_text(PROFILE)
    return tmp_path / "home"


def kinds(home: Path) -> list[str]:
    """Return what was recorded, of a log that was closed properly."""
    assert not (home / f"{NAME}-wal").exists()
    with Logbook(home) as book:
        return [entry.event.kind for entry in book.entries()]


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM, signal.SIGINT])
def test_each_polite_end_says_farewell_and_closes_the_record(home: Path, number: signal.Signals) -> None:
    session = Started(home)
    session.type_in(*LOAD)
    session.wait_for("Seven")
    session.signal(number)
    assert session.end() == 0
    assert session.told[-1] == "stopped"
    assert kinds(home) == ["session_start", "load_start", "jars_in"]


def test_no_key_stops_it_in_silence(home: Path) -> None:
    session = Started(home)
    session.type_in(*LOAD)
    session.wait_for("Lock the lid")
    for number in (signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU, signal.SIGQUIT):
        session.signal(number)
    session.wait_for("Still running")
    session.type_in("where are we")
    session.wait_for("Loading the canner")
    session.signal(signal.SIGQUIT)
    assert session.end() == 0
    assert kinds(home) == ["session_start", "load_start", "jars_in"]


def test_a_terminal_that_is_closed_loses_nothing(home: Path) -> None:
    child, terminal = pty.fork()
    if child == 0:
        environment = os.environ | {"KITCHENVOICE_HOME": str(home)}
        os.execvpe(sys.executable, [sys.executable, "-m", "kitchenvoice", "start", "--typed"], environment)
    shown = b""
    for line, answer in zip(LOAD, (b"Is that", b"is started", b"Lock the lid"), strict=True):
        os.write(terminal, f"{line}\n".encode())
        shown = b""
        while answer not in shown.partition(line.encode())[2]:
            shown += os.read(terminal, 4096)
    os.close(terminal)
    _, status = os.waitpid(child, 0)
    assert os.WIFEXITED(status)
    assert kinds(home) == ["session_start", "load_start", "jars_in"]


def test_a_session_that_was_to_outlive_its_terminal_does(home: Path) -> None:
    program = subprocess.Popen(
        ["nohup", sys.executable, "-m", "kitchenvoice", "start", "--typed"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env=os.environ | {"KITCHENVOICE_HOME": str(home)},
    )  # fmt: skip
    with program:
        assert program.stdin is not None
        assert program.stdout is not None
        told = program.stdout.readline()
        while '"heard"' not in told:
            program.send_signal(signal.SIGHUP)
            program.stdin.write("where are we\n")
            program.stdin.flush()
            told = program.stdout.readline()
            assert program.poll() is None
        program.stdin.close()
        assert program.wait(PATIENCE_S) == 0


def test_a_session_that_was_stopped_tells_the_gap(home: Path) -> None:
    """The one wait of this file is by the real clock: no other stops with a process."""
    session = Started(home)
    session.type_in(*LOAD, "lid is locked", "steam is steady")
    session.wait_for("Ten minutes of venting start now")
    session.signal(signal.SIGSTOP)
    with pytest.raises(subprocess.TimeoutExpired):
        session.wait(STOPPED_S)
    session.signal(signal.SIGCONT)
    told = session.wait_for("was off for")
    assert "seconds" in told
    session.type_in("where are we")
    assert session.end() == 0
    with SqliteLog(home) as log:
        (gap,) = [event for event in log.read() if event.kind == "session_start" and event.data.get("off_s", 0)]
        assert STOPPED_S - 1.0 <= float(str(gap.data["off_s"])) <= STOPPED_S + 5.0
