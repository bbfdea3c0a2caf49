"""An output that breaks off, is full or closed, and files named with --out: a sentence and an exit code."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from kitchenvoice.logbook import SqliteLog
from tests.logbook.days import Day, moment
from tests.logbook.sessions import PROFILE

LOOKUP = "lookup --food snap_beans --pack raw --jar quart --method pressure --gauge dial --altitude-ft 900"
NUMBER = "1" + "0" * 20


def run(words: str, home: Path, redirect: str = "") -> subprocess.CompletedProcess[str]:
    """Run a command in a shell of its own, its output redirected."""
    program = f'"{sys.executable}" -m kitchenvoice {words} {redirect}'
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {program}"],
        capture_output=True,
        text=True,
        env=os.environ | {"KITCHENVOICE_HOME": str(home)},
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("words", [LOOKUP, "lookup --list", "card", "--help"])
def test_a_reader_who_has_enough_is_no_failure(words: str, tmp_path: Path) -> None:
    for reader in ("head -1", "true"):
        done = run(words, tmp_path, f"| {reader}")
        assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("words", [LOOKUP, "lookup --list", "card", "logbook list", "--help", "check --json"])
def test_a_full_disk_behind_the_output_is_one_sentence(words: str, tmp_path: Path) -> None:
    done = run(words, tmp_path, "> /dev/full")
    if not done.stderr:  # nothing was to be told
        assert (words, done.returncode) == ("logbook list", 0)
        return
    assert done.returncode == 3
    assert done.stderr == (
        "What was asked for can't be written: No space left on device. Make room, or choose another output.\n"
    )


@pytest.mark.parametrize(
    ("words", "redirect", "code"),
    [
        (LOOKUP, "> /dev/full 2> /dev/full", 3),
        (LOOKUP, ">&- 2>&-", 3),
        ("explain", "2> /dev/full", 2),
        ("explain", "2>&-", 2),
        ("", "2> /dev/full", 2),
    ],
)
def test_where_nothing_can_be_told_the_exit_code_tells(words: str, redirect: str, code: int, tmp_path: Path) -> None:
    assert run(words, tmp_path, redirect).returncode == code


@pytest.mark.parametrize("words", [LOOKUP, "logbook list", "start --typed"])
def test_no_output_at_all_is_one_sentence(words: str, tmp_path: Path) -> None:
    done = run(words, tmp_path, ">&-")
    assert done.returncode == 3
    assert done.stderr == "There is no standard output to tell anything on. Start it with one.\n"


@pytest.mark.parametrize("words", [f"logbook show {NUMBER}", f"logbook note {NUMBER} x", f"logbook close {NUMBER}"])
def test_a_load_with_a_number_beyond_all_is_one_sentence(words: str, tmp_path: Path) -> None:
    done = run(words, tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "9223372036854775807" in done.stderr


@pytest.mark.parametrize("words", ["card", "logbook export", "logbook report --format html"])
def test_a_file_that_is_read_only_a_device_and_a_pipe_are_not_replaced(words: str, tmp_path: Path) -> None:
    home = tmp_path / "home"
    with SqliteLog(home) as log:
        day = Day()
        day.start(1)
        log.append(day.events, moment(day.t))
    assert run(f"{words} --out /dev/null", home).returncode == 0
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    kept = tmp_path / "kept"
    kept.write_text("kept")
    kept.chmod(0o400)
    os.mkfifo(tmp_path / "pipe")
    for name, why in (("kept", "it is read-only"), ("pipe", "nobody reads from it")):
        done = run(f"{words} --out {tmp_path / name}", home)
        assert done.returncode in (2, 3)
        assert done.stderr == f"{tmp_path / name} can't be written: {why}. Name another file with --out.\n"
    assert kept.read_text() == "kept"
    assert (tmp_path / "pipe").is_fifo()
    record = home / "logbook.sqlite3"
    (tmp_path / "link").symlink_to(record)
    for name in (record, tmp_path / "link"):
        done = run(f"{words} --out {name}", home)
        assert done.returncode in (2, 3)
        own = f"{name} can't be written: it is the kitchen's own file. Name another file with --out.\n"
        told = done.stderr.endswith(("End it with .pdf.\n", "End it with .csv or .json.\n"))
        assert done.stderr == own or ("sqlite3" in name.name and told)
    assert record.read_bytes().startswith(b"SQLite")


def test_a_folder_of_a_rehearsal_that_is_a_device_is_one_sentence(tmp_path: Path) -> None:
    script = tmp_path / "day.txt"
    script.write_text("> where are we\n")
    done = run(f"rehearse {script} --out /dev/null", tmp_path / "home")
    assert done.returncode == 2
    assert done.stderr.startswith("/dev/null")
    assert done.stderr.count("\n") == 1


PASTED = "twenty one " * 9_000


@pytest.mark.parametrize(
    "words",
    [
        "lookup --food",
        "lookup --food snap_beans --style",
        "plan --food snap_beans --have",
        "plan --food snap_beans --jar",
        "explain --psi",
        "logbook list --food",
        "logbook note 1",
        "logbook note 1 --used",
        "logbook note 1 --lids",
    ],
)
def test_a_text_that_was_pasted_by_mistake_is_refused_with_a_sentence(words: str, tmp_path: Path) -> None:
    done = run(f'{words} "{PASTED}"', tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "is the most" in done.stderr
    assert done.stderr.count("\n") == 1
    assert len(done.stderr) < 300


def test_a_line_of_a_scenario_that_was_pasted_by_mistake_is_refused_with_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "day.txt").write_text(f"> where are we\n> {PASTED}\n")
    done = run(f"rehearse {tmp_path / 'day.txt'}", tmp_path / "home")
    assert done.returncode == 2
    assert done.stderr == f"{tmp_path / 'day.txt'}, line 2: it has 99,002 letters, and 500 is the most.\n"


def test_a_session_whose_output_is_full_says_so_goes_on_and_tells_it_by_its_exit_code(tmp_path: Path) -> None:
    (tmp_path / "profile.toml").write_text(PROFILE)
    typed = "start seven quarts of green beans raw pack\nyes\nseven jars are in\n"
    done = run("start --typed", tmp_path, f"> /dev/full <<< '{typed}'")
    assert done.returncode == 3
    assert done.stderr.startswith("What I say can't be shown any more: No space left on device. The session goes on.\n")
    assert "Traceback" not in done.stderr
    with SqliteLog(tmp_path) as log:
        assert [event.kind for event in log.read()] == ["session_start", "load_start", "jars_in"]
