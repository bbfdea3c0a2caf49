"""Sound drivers that hang, in processes of their own: what they hold is let go, and the exit code is kept."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Future
from datetime import date
from pathlib import Path

import pytest

from kitchenvoice.app.drivers import log_unasked
from kitchenvoice.errors import DeviceMissing, ModelMissing
from kitchenvoice.logbook import SqliteLog
from tests.profiles import profile_text

FROZEN = """
import atexit, importlib.machinery, pathlib, sys, threading
here = str(pathlib.Path(__file__).parent)
real = importlib.machinery.PathFinder.find_spec("sounddevice", [path for path in sys.path if path != here])
exec(compile(pathlib.Path(real.origin).read_text(), real.origin, "exec"))
atexit.register(lambda: threading.Event().wait())  # the driver's last call never returns
"""
"""The real library over a driver that freezes at its end."""
NO_SOUND = "pcm.!default { type hw card 99 }\nctl.!default { type hw card 99 }\n"


@pytest.fixture
def frozen(tmp_path: Path) -> dict[str, str]:
    """Variables of a machine whose sound driver freezes when the program ends."""
    (tmp_path / "driver").mkdir()
    (tmp_path / "driver" / "sounddevice.py").write_text(FROZEN)
    (tmp_path / "alsa.conf").write_text(NO_SOUND)
    home = tmp_path / "home"
    home.mkdir()
    (home / "profile.toml").write_text(profile_text(900, date.today()))
    return {
        "PYTHONPATH": os.pathsep.join([str(tmp_path / "driver"), *filter(None, [os.environ.get("PYTHONPATH")])]),
        "ALSA_CONFIG_PATH": str(tmp_path / "alsa.conf"),
        "PULSE_SERVER": f"unix:{tmp_path}/none",
        "KITCHENVOICE_HOME": str(home),
    }


@pytest.fixture
def program(frozen: dict[str, str], request: pytest.FixtureRequest) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [sys.executable, "-m", "kitchenvoice", *request.param],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=os.environ | frozen, text=True,
    ) as running:  # fmt: skip
        try:
            yield running
        finally:
            running.kill()


@pytest.mark.audio
@pytest.mark.parametrize("program", [["start"]], indirect=True)
def test_a_session_that_a_driver_holds_at_its_end_ends_with_its_own_code(program: subprocess.Popen[str]) -> None:
    assert program.stdout is not None
    while "waiting" not in program.stdout.readline():
        assert program.poll() is None
    program.send_signal(signal.SIGTERM)
    assert program.wait(30.0) == 0
    assert "stopped" in program.stdout.read()


@pytest.mark.audio
@pytest.mark.parametrize("program", [["practice"]], indirect=True)
def test_a_practice_without_sound_ends_with_the_code_of_what_is_missing(program: subprocess.Popen[str]) -> None:
    assert program.wait(60.0) == DeviceMissing.exit_code
    assert program.stderr is not None
    assert len(program.stderr.read().splitlines()) == 1


@pytest.mark.audio
def test_a_start_that_is_refused_ends_with_the_code_of_the_refusal(frozen: dict[str, str]) -> None:
    with SqliteLog(Path(frozen["KITCHENVOICE_HOME"])):
        done = subprocess.run(
            [sys.executable, "-m", "kitchenvoice", "start"],
            stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, timeout=60,
            env=os.environ | frozen,
        )  # fmt: skip
    assert done.returncode == 3
    (line,) = done.stderr.splitlines()
    assert f"process {os.getpid()}" in line


def test_errors_that_nobody_asked_for_are_logged_but_not_the_one_on_its_way(
    caplog: pytest.LogCaptureFixture,
) -> None:
    asked, missing, fault, well = (Future[int]() for _ in range(4))
    asked.set_exception(ModelMissing("There is no speech model."))
    missing.set_exception(DeviceMissing("There is no speaker."))
    fault.set_exception(KeyError("a share"))
    well.set_result(1)
    with pytest.raises(ModelMissing):
        try:
            asked.result()
        finally:
            log_unasked(asked, missing, fault, well, Future())
    assert [(each.levelno, each.exc_info is not None) for each in caplog.records] == [
        (logging.WARNING, False),
        (logging.ERROR, True),
    ]
    assert caplog.messages[0] == "There is no speaker."
