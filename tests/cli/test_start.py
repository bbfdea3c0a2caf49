"""What `kitchenvoice start` and `check` say of a kitchen in which something is missing or wrong: one sentence each."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path

import pytest

from kitchenvoice.app.drivers import quiet_drivers
from kitchenvoice.audio import portaudio
from kitchenvoice.audio.portaudio import one_at_a_time
from kitchenvoice.hearing.recognise.model_store import RECORD, verified_model
from kitchenvoice.logbook import SqliteLog
from tests.profiles import profile_text

TYPE_INSTEAD = "Or type instead: kitchenvoice start --typed."
NO_SOUND = "pcm.!default { type hw card 99 }\nctl.!default { type hw card 99 }\n"


@pytest.fixture
def soundless(tmp_path: Path) -> dict[str, str]:
    """Variables of a machine without any sound device, with a kitchen of its own."""
    (tmp_path / "alsa.conf").write_text(NO_SOUND)
    home = tmp_path / "home"
    home.mkdir()
    (home / "profile.toml").write_text(profile_text(900, date.today()))
    return {
        "ALSA_CONFIG_PATH": str(tmp_path / "alsa.conf"),
        "PULSE_SERVER": f"unix:{tmp_path}/none",
        "KITCHENVOICE_HOME": str(home),
    }


def run(environment: dict[str, str], *words: str, text: str = "") -> tuple[int, str, str]:
    """Run kitchenvoice; return its exit code and what it wrote on either side."""
    done = subprocess.run(
        [sys.executable, "-m", "kitchenvoice", *words],
        input=text, capture_output=True, text=True, check=False, timeout=100, env=os.environ | environment,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def one_sentence(stderr: str) -> str:
    """Check that what was complained of is one line, with no trace of Python, and return it."""
    (line,) = stderr.splitlines()
    assert "Traceback" not in line
    assert line.endswith((".", "?"))
    return line


# ---------------------------------------------------------------- devices and voice


@pytest.mark.audio
def test_without_any_sound_it_says_so_once_waits_for_it_and_takes_what_is_typed(soundless: dict[str, str]) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "kitchenvoice", "start"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=os.environ | soundless, text=True,
    )  # fmt: skip
    with program:
        assert program.stdin is not None
        assert program.stdout is not None
        program.stdin.write("start seven quarts of green beans raw pack\n")
        program.stdin.flush()
        told: list[str] = []
        while not any("raw pack" in line and "heard" not in line for line in told):
            told.append(program.stdout.readline())
        program.send_signal(signal.SIGTERM)
        told += program.stdout.readlines()
        assert program.wait(60.0) == 0
        assert program.stderr is not None
        assert program.stderr.read() == ""
    for missing in ("There is no speaker", "waiting"):
        assert sum(missing in line for line in told) == 1


def test_a_driver_that_is_still_busy_at_the_end_keeps_its_lines_to_itself(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    inside, go_on = threading.Event(), threading.Event()

    def probe() -> None:
        with one_at_a_time():
            inside.set()
            go_on.wait(60.0)
            os.write(2, b"jack server is not running")

    def asked_for() -> AbstractContextManager[bool]:
        go_on.set()
        return one_at_a_time()

    prober = threading.Thread(target=probe)
    with quiet_drivers():
        prober.start()
        assert inside.wait(60.0)
        monkeypatch.setattr(portaudio, "one_at_a_time", asked_for)
    go_on.set()  # whoever didn't wait for it hears it now
    prober.join(60.0)
    assert capfd.readouterr().err == ""


@pytest.mark.audio
def test_without_espeak_it_says_what_to_install(soundless: dict[str, str], tmp_path: Path) -> None:
    hidden = tmp_path / "hidden"
    hidden.mkdir()
    (hidden / "libespeak-ng.so.1").write_bytes(b"no library")  # found first, and of no use
    code, _, stderr = run(soundless | {"LD_LIBRARY_PATH": str(hidden)}, "start")
    assert code == 3
    assert "apt-get install espeak-ng" in one_sentence(stderr)
    assert one_sentence(stderr).endswith(TYPE_INSTEAD)


@pytest.mark.audio
def test_check_names_each_part_that_is_missing(soundless: dict[str, str]) -> None:
    code, stdout, stderr = run(soundless, "check")
    assert code == 3
    assert stderr == ""
    told = {line["check"]: line for line in map(json.loads, stdout.splitlines())}
    assert {name for name, line in told.items() if not line["pass"]} == {"microphone", "speaker"}
    assert told["microphone"]["text"].startswith("There is no microphone")
    assert told["speaker"]["text"].startswith("There is no speaker")
    assert told["profile"]["text"].startswith("900 ft; canner 1 (dial)")


# ---------------------------------------------------------------- the model


def copied_model(folder: Path) -> Path:
    """Make a folder of links to the model's files, with a record of its own."""
    real = verified_model()
    for path in real.rglob("*"):
        if path.is_file():
            link = folder / path.relative_to(real)
            link.parent.mkdir(parents=True, exist_ok=True)
            link.symlink_to(path)
    return folder


def rewritten(folder: Path, name: str, change: Callable[[bytes], bytes]) -> None:
    """Put a changed copy in the place of one file."""
    content = (folder / name).read_bytes()
    (folder / name).unlink()
    (folder / name).write_bytes(change(content))


def altered(content: bytes) -> bytes:
    """Change one bit."""
    return bytes([content[0] ^ 1]) + content[1:]


@pytest.mark.audio
@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda model: shutil.rmtree(model), "There is no speech model in"),
        (lambda model: rewritten(model, "ivector/final.ie", lambda content: content[:-1]), "is cut short"),
        (lambda model: rewritten(model, "conf/mfcc.conf", altered), "was altered"),
        (lambda model: (model / "graph/Gr.fst").unlink(), "is missing"),
        (lambda model: (model / RECORD).unlink(), "has no list of its files"),
    ],
    ids=["missing", "truncated", "altered", "a file missing", "unlisted"],
)
@pytest.mark.parametrize("command", ["start", "hear"])
def test_a_model_that_is_not_whole_is_refused(
    soundless: dict[str, str], tmp_path: Path, spoil: Callable[[Path], object], words: str, command: str
) -> None:
    model = copied_model(tmp_path / "model folder")
    spoil(model)
    extra = ["any.wav"] if command == "hear" else []
    code, stdout, stderr = run(soundless | {"KITCHENVOICE_MODEL": str(model)}, command, *extra)
    assert (code, stdout) == (3, "")
    assert words in one_sentence(stderr)
    assert "kitchenvoice fetch-model" in stderr
    assert stderr.strip().endswith(TYPE_INSTEAD) is (command == "start")


# ---------------------------------------------------------------- the kitchen's folder


def a_file(home: Path) -> None:
    shutil.rmtree(home)
    home.write_text("not a folder")


def a_typo(home: Path) -> None:
    (home / "profile.toml").write_text("altitude_ft = 900\nusual_canner = 1\naltitud_ft = 3\n")


@pytest.mark.parametrize(
    ("spoil", "code", "words"),
    [
        (a_file, 2, "can't be made"),
        (a_typo, 2, "profile.toml, line 3"),
    ],
    ids=["home is a file", "profile with a typo"],
)
def test_a_kitchen_that_cannot_be_opened_is_refused(
    soundless: dict[str, str], spoil: Callable[[Path], None], code: int, words: str
) -> None:
    spoil(Path(soundless["KITCHENVOICE_HOME"]))
    got, stdout, stderr = run(soundless, "start", "--typed")
    assert (got, stdout) == (code, "")
    assert words in one_sentence(stderr)


def test_a_record_that_is_rubbish_is_told_and_set_aside_and_the_day_begins(soundless: dict[str, str]) -> None:
    home = Path(soundless["KITCHENVOICE_HOME"])
    (home / "logbook.sqlite3").write_bytes(b"no database" * 1000)
    code, stdout, stderr = run(soundless, "start", "--typed")
    assert (code, stderr) == (0, "")
    assert "The logbook file is damaged. Nothing of it could be read." in stdout
    assert (home / "set-aside/1/logbook.sqlite3").read_bytes() == b"no database" * 1000


def test_a_folder_that_cannot_be_made_is_refused(soundless: dict[str, str]) -> None:
    code, _, stderr = run(soundless | {"KITCHENVOICE_HOME": "/proc/nowhere/kitchen"}, "start", "--typed")
    assert code == 2
    assert "Name another one with KITCHENVOICE_HOME" in one_sentence(stderr)


def test_a_second_session_is_refused_while_one_runs(soundless: dict[str, str]) -> None:
    with SqliteLog(Path(soundless["KITCHENVOICE_HOME"])):
        code, _, stderr = run(soundless, "start", "--typed")
    assert code == 3
    assert f"process {os.getpid()}" in one_sentence(stderr)


# ---------------------------------------------------------------- typing


def talk(environment: dict[str, str], *lines: str) -> list[str]:
    """Type sentences; return what is answered."""
    code, stdout, stderr = run(environment, "start", "--typed", text="\n".join(lines) + "\n")
    assert (code, stderr) == (0, "")
    printed = [json.loads(line) for line in stdout.splitlines()]
    assert all(set(line) == {"who", "text", "event"} for line in printed)
    return [line["text"] for line in printed if line["who"] == "kitchenvoice"]


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        (["start zero quarts of carrots raw pack"], "A load needs at least one jar."),
        (["start seven quarts of cream style corn"], "no tested process is published for this food in that jar size"),
        (["start nine quarts of green beans raw pack"], "holds seven quarts"),
        (["start seven quarts of green beans raw pack", "yes", "zero jars are in"], "at least one jar"),
        (["start seven quarts of green beans raw pack", "yes", "eight jars are in"], "holds seven quarts"),
        (["start six quarts of green beans raw pack", "yes", "seven jars are in"], "I had six"),
        (["blah blah"], "I didn't get that. You can say: "),
    ],
    ids=lambda value: value[-1] if isinstance(value, list) else "",
)
def test_what_cannot_be_is_answered_with_the_reason(soundless: dict[str, str], typed: list[str], answer: str) -> None:
    assert answer in talk(soundless, *typed)[-1]


def test_typing_reads_back_and_records_like_speaking(soundless: dict[str, str]) -> None:
    answers = talk(soundless, "start seven quarts of green beans raw pack", "yes", "seven jars are in")
    assert "Twenty five minutes at eleven pounds pressure" in answers[1]
    with SqliteLog(Path(soundless["KITCHENVOICE_HOME"])) as log:
        events = list(log.read())
    assert [event.kind for event in events] == ["session_start", "load_start", "jars_in"]
    assert events[1].data["psi"] == 11
    again = talk(soundless, "how many jars are in")
    assert any("green beans" in answer.lower() for answer in again)


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_control_c_ends_it_between_two_things_with_exit_code_0(soundless: dict[str, str], how: signal.Signals) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "kitchenvoice", "start", "--typed"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=os.environ | soundless, text=True,
    )  # fmt: skip
    with program:
        assert program.stdin is not None
        assert program.stdout is not None
        while "listening" not in program.stdout.readline().lower():
            assert program.poll() is None
        program.send_signal(how)
        assert program.wait(60.0) == 0
        assert program.stderr is not None
        assert program.stderr.read() == ""


def test_a_reader_that_goes_away_does_not_end_the_session(soundless: dict[str, str]) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "kitchenvoice", "start", "--typed"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=os.environ | soundless, text=True,
    )  # fmt: skip
    with program:
        assert program.stdout is not None
        assert program.stderr is not None
        assert program.stdin is not None
        program.stdout.readline()
        program.stdout.close()
        program.stdin.write("start seven quarts of green beans raw pack\nyes\nseven jars are in\n")
        program.stdin.close()
        assert program.wait(30.0) == 0
        assert "Traceback" not in program.stderr.read()
    with SqliteLog(Path(soundless["KITCHENVOICE_HOME"])) as log:
        assert [event.kind for event in log.read()] == ["session_start", "load_start", "jars_in"]
