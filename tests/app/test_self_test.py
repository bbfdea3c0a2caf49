"""`kitchenvoice check`: each part says that it is well, or what to do; the same thing is said once."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.app import self_test
from kitchenvoice.cli import check as check_command
from kitchenvoice.clock import SimulatedClock, SystemClock
from kitchenvoice.errors import BadGrammar, KitchenVoiceError, LogbookError
from kitchenvoice.kitchen.profile import FILE_NAME
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.ports import Moment
from kitchenvoice.process import Event

SILENT = ("folder", "profile", "gauges", "record", "disk", "clock", "tables")
TODAY = datetime.fromtimestamp(SystemClock().now().utc, UTC).date()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    monkeypatch.setenv("KITCHENVOICE_HOME", str(folder))
    return folder


@pytest.fixture
def check(home: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[], tuple[int, dict[str, tuple[bool, str]]]]:
    """Run the parts that need neither sound nor model; return the exit code and what each part told."""
    monkeypatch.setattr(check_command, "CHECKS", {name: check_command.CHECKS[name] for name in SILENT})

    def run() -> tuple[int, dict[str, tuple[bool, str]]]:
        done = CliRunner().invoke(check_command.check_command, ["--json"], standalone_mode=False)
        lines = map(json.loads, done.output.splitlines())
        return done.return_value, {line["check"]: (line["pass"], line["text"]) for line in lines}

    return run


def profile(home: Path, text: str) -> None:
    home.mkdir(exist_ok=True)
    (home / FILE_NAME).write_text(text, encoding="utf-8")


def test_a_new_kitchen_passes_and_is_told_what_will_be_asked(check: Callable[[], object]) -> None:
    code, told = check()  # type: ignore[misc]
    assert code == 0
    assert list(told) == list(SILENT)
    assert all(good for good, _ in told.values())
    assert "asks for altitude and canners" in told["profile"][1]


def test_a_bad_profile_is_said_once(home: Path, check: Callable[[], object]) -> None:
    profile(home, "altitude_ft = 900\naltitud = 3\n")
    code, told = check()  # type: ignore[misc]
    assert code == 3
    assert [name for name, (good, _) in told.items() if not good] == ["profile", "gauges"]
    assert f"{FILE_NAME}, line 2" in told["profile"][1]
    assert told["gauges"][1] == "see profile"


def test_a_folder_that_is_a_file_is_said_once(home: Path, check: Callable[[], object]) -> None:
    home.write_text("in the way")
    code, told = check()  # type: ignore[misc]
    assert code == 3
    assert "Name another one with KITCHENVOICE_HOME" in told["folder"][1]
    assert {told[name][1] for name in ("profile", "gauges", "record", "disk")} == {"see folder"}


@pytest.mark.parametrize(
    ("lines", "good", "says"),
    [
        ("", False, "no test on record"),
        ("dial_error_psi = 0.5\ndial_tested = {fresh}", True, "1 dial gauge tested"),
        ("dial_error_psi = 0.5\ndial_tested = {old}", False, "more than twelve months ago"),
        ("dial_tested = {fresh}", False, "isn't on record"),
        ("dial_error_psi = 3\ndial_tested = {fresh}", False, "Replace it"),
        ("dial_error_psi = 0\ndial_tested = {coming}", False, "in the future"),
    ],
    ids=["never", "tested", "overdue", "result unknown", "off too far", "in the future"],
)
def test_a_dial_whose_test_is_due_is_named(
    home: Path, check: Callable[[], object], lines: str, good: bool, says: str
) -> None:
    days = {"fresh": TODAY - timedelta(30), "old": TODAY - timedelta(400), "coming": TODAY + timedelta(30)}
    profile(home, '[[canner]]\nname = "the red one"\ngauge = "dial"\n' + lines.format(**days) + "\n")
    _, told = check()  # type: ignore[misc]
    assert told["gauges"][0] is good
    assert says in told["gauges"][1]
    assert ("the red one: " in told["gauges"][1]) is not good


def written(home: Path) -> None:
    with SqliteLog(home, SimulatedClock().now()) as log:
        log.append([Event(seq=n, t=float(n), kind="timer_stop", load=None, data={}, heard="") for n in (1, 2, 3)],
                   Moment(1.0, 1.0, "boot"))  # fmt: skip


def test_a_sound_record_is_proved_and_counted(home: Path, check: Callable[[], object]) -> None:
    written(home)
    _, told = check()  # type: ignore[misc]
    assert told["record"][0]
    assert told["record"][1].startswith("3 entries, all in order")


def test_a_record_that_was_altered_is_named_with_the_way_back(home: Path, check: Callable[[], object]) -> None:
    written(home)
    database = sqlite3.connect(home / "logbook.sqlite3")
    triggers = [name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")]
    for name in triggers:
        database.execute(f"DROP TRIGGER {name}")
    database.execute("UPDATE event SET kind = 'timer_start' WHERE seq = 2")
    database.commit()
    database.close()
    code, told = check()  # type: ignore[misc]
    assert code == 3
    assert not told["record"][0]
    assert "kitchenvoice logbook restore" in told["record"][1]


def test_a_folder_without_the_right_to_write_is_named(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(**_: object) -> object:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(self_test, "NamedTemporaryFile", refused)
    with pytest.raises(LogbookError, match=r"can't be written to: Permission denied\. Make room"):
        self_test.check_disk()


def test_a_disk_that_is_nearly_full_is_named(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    full = type("Usage", (), {"free": 3_000_000})
    monkeypatch.setattr(self_test.shutil, "disk_usage", lambda _: full)
    with pytest.raises(LogbookError, match="Only 3 MB are free"):
        self_test.check_disk()


@pytest.mark.parametrize(
    ("moments", "says"),
    [
        ([Moment(1e6, 1.0, "", True), Moment(1e6, 2.0, "", True)], None),
        ([Moment(1.8e9, 9.0, "", True), Moment(1.8e9, 2.0, "", True)], None),
        ([Moment(1.8e9, 1.0, "", True), Moment(1.8e9, 2.0, "", True)], "date and time are set"),
        ([Moment(1.8e9, 1.0, "", False), Moment(1.8e9, 2.0, "", False)], "compare it with a watch"),
    ],
    ids=["in 1970", "backwards", "set", "nobody set it"],
)
def test_a_clock_that_can_not_be_right_is_named(
    moments: list[Moment], says: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    queue = iter(moments)
    monkeypatch.setattr(SystemClock, "now", lambda _: next(queue))
    if says is None:
        with pytest.raises(KitchenVoiceError, match="isn't set"):
            self_test.check_clock()
    else:
        assert says in self_test.check_clock()


@pytest.mark.audio
def test_the_model_knows_every_word_and_a_name_that_it_lacks_is_named(home: Path) -> None:
    assert "knows all" in self_test.check_words()
    profile(home, '[[canner]]\nname = "jiggler"\ngauge = "weighted"\n[[canner]]\nname = "xyzzy"\n')
    with pytest.raises(BadGrammar, match="xyzzy"):
        self_test.check_words()


@pytest.mark.audio
def test_every_file_of_the_model_is_compared() -> None:
    told = self_test.check_model()
    assert "have their recorded SHA-256" in told
    assert "second engine" in told
