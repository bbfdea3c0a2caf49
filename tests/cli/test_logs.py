"""What the program tells of itself on standard error, and an error in a thread of its."""

from __future__ import annotations

import logging
import threading
from pathlib import Path

import pytest

from kitchenvoice.cli.logs import logged, tell_more
from tests.cli.test_start import run


def tell(times: int) -> None:
    with logged():
        tell_more(times)
        for name in ("kitchenvoice.app.session", "another.package"):
            for level in (logging.DEBUG, logging.INFO, logging.WARNING, logging.ERROR):
                logging.getLogger(name).log(level, "a line")


@pytest.mark.parametrize(
    ("times", "ours"),
    [(0, ["WARNING", "ERROR"]), (1, ["INFO", "WARNING", "ERROR"]), (2, ["DEBUG", "INFO", "WARNING", "ERROR"])],
)
def test_each_level_is_asked_for_and_other_packages_stay_quiet(
    capsys: pytest.CaptureFixture[str], times: int, ours: list[str]
) -> None:
    tell(times)
    out, err = capsys.readouterr()
    assert out == ""
    told = [line.split()[:2] for line in err.splitlines()]
    assert [level for level, name in told if name == "kitchenvoice.app.session"] == ours
    assert [level for level, name in told if name == "another.package"] == ["WARNING", "ERROR"]


def test_afterwards_everything_is_as_it_was(capsys: pytest.CaptureFixture[str]) -> None:
    before = (threading.excepthook, list(logging.getLogger().handlers))
    tell(2)
    capsys.readouterr()
    assert (threading.excepthook, list(logging.getLogger().handlers)) == before
    assert logging.getLogger("kitchenvoice").level == logging.NOTSET


def test_a_thread_that_ends_by_an_error_is_told_of_with_its_traceback(capsys: pytest.CaptureFixture[str]) -> None:
    def work() -> None:
        raise ZeroDivisionError("no such share")

    def leave() -> None:
        raise SystemExit(3)

    with logged():
        for target in (leave, work):
            thread = threading.Thread(target=target, name="a worker")
            thread.start()
            thread.join()
    err = capsys.readouterr().err
    assert err.splitlines()[0].endswith("a worker ended by ZeroDivisionError")
    assert err.startswith("ERROR ")
    assert "in work" in err
    assert err.splitlines()[-1] == "ZeroDivisionError: no such share"


@pytest.mark.parametrize(("words", "levels"), [((), set()), (("-v",), {"INFO"}), (("-vv",), {"INFO", "DEBUG"})])
def test_a_session_tells_on_standard_error_what_it_does(
    tmp_path: Path, words: tuple[str, ...], levels: set[str]
) -> None:
    environment = {"KITCHENVOICE_HOME": str(tmp_path)}
    code, stdout, stderr = run(environment, *words, "start", "--typed", "--trace", str(tmp_path / "t"), text="help\n")
    assert code == 0
    assert {line.split()[0] for line in stderr.splitlines()} == levels
    assert all(line.startswith("{") for line in stdout.splitlines())
