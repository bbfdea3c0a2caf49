"""`kitchenvoice rehearse` and `demo` as a pipe and a person see them."""

from __future__ import annotations

import json
import sys
import wave
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from kitchenvoice import cli
from tests.profiles import profile_text

Run = Callable[..., tuple[int, list[dict[str, Any]], str]]
DAY = """\
> kitchen voice start seven quarts of green beans raw pack
< twenty five minutes at eleven pounds
> yes
! load_start food=snap_beans
"""


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command line in this process; return exit code, objects and standard error."""
    monkeypatch.delenv("KITCHENVOICE_HOME", raising=False)

    def one(*words: str | Path) -> tuple[int, list[dict[str, Any]], str]:
        monkeypatch.setattr(sys, "argv", ["kitchenvoice", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        out, err = capsys.readouterr()
        assert isinstance(ended.value.code, int)
        assert "Traceback" not in err
        return ended.value.code, [json.loads(line) for line in out.splitlines()], err

    return one


@pytest.fixture
def day(tmp_path: Path) -> Path:
    path = tmp_path / "day.txt"
    path.write_text(DAY)
    return path


def test_the_transcript_is_one_object_a_line_with_the_promised_names(run: Run, day: Path) -> None:
    code, objects, err = run("rehearse", day)
    assert (code, err) == (0, "")
    assert all({"t", "who", "text", "event"} <= set(line) for line in objects)
    assert [line["who"] for line in objects] == [
        "stage",
        "cook",
        "kitchenvoice",
        "cook",
        "log",
        "kitchenvoice",
        "stage",
    ]
    assert objects[4]["event"] == "load_start"
    assert objects[-1]["text"].endswith("every expectation was met.")


def test_expectations_that_fail_are_named_with_file_and_line_and_exit_6(run: Run, day: Path) -> None:
    day.write_text(DAY + "< two hundred minutes\n! hold_done\n")
    code, objects, err = run("rehearse", day)
    assert code == 6
    first, second = err.splitlines()
    assert first.startswith(f"{day}, line 5: not answered: two hundred minutes")
    assert second.startswith(f"{day}, line 6: not logged: hold_done")
    assert "2 expectations were not met" in objects[-1]["text"]


@pytest.mark.parametrize(
    ("text", "said"), [("> hello\n? oh\n", "line 2: a line begins with"), (None, "can't be read: No such file")]
)
def test_a_script_that_cannot_be_read_is_one_sentence_and_exit_2(
    run: Run, day: Path, text: str | None, said: str
) -> None:
    day.unlink() if text is None else day.write_text(text)
    code, objects, err = run("rehearse", day)
    (line,) = err.splitlines()
    assert (code, objects) == (2, [])
    assert str(day) in line
    assert said in line


def test_a_folder_that_cannot_be_written_to_is_one_sentence_and_exit_2(run: Run, day: Path) -> None:
    blocked = day.parent / "blocked"
    blocked.write_text("a file")
    code, objects, err = run("rehearse", day, "--out", blocked / "inside")
    (line,) = err.splitlines()
    assert (code, objects) == (2, [])
    assert line.endswith("Name another folder with --out.")


def test_what_is_left_in_the_folder_is_record_and_transcript_and_strangers_are_left_alone(run: Run, day: Path) -> None:
    out = day.parent / "out"
    (out / "wav").mkdir(parents=True)
    (out / "record").mkdir()
    for name in ("wav/holiday.wav", "record/diary.txt"):
        (out / name).write_text("mine")
    for _ in range(2):
        assert run("rehearse", day, "--out", out)[0] == 0
        assert (out / "record" / "logbook.sqlite3").exists()
        assert "twenty five minutes" in (out / "transcript.md").read_text().lower()
    assert (out / "wav/holiday.wav").read_text() == "mine"


@pytest.mark.audio
def test_with_audio_the_real_ear_hears_and_every_sound_is_kept(run: Run, day: Path) -> None:
    out = day.parent / "out"
    code, objects, err = run("rehearse", day, "--audio", "--clean", "--out", out)
    assert (code, err) == (0, "")
    heard = [line["heard"] for line in objects if line["who"] == "cook"]
    assert heard == ["kitchen voice start seven quarts of green beans raw pack", "yes"]
    files = sorted(path.name for path in (out / "wav").iterdir())
    assert files == ["001-cook.wav", "002-cook.wav", "answer-001-000000s.wav", "answer-002-000000s.wav"]
    for name in files:
        with wave.open(str(out / "wav" / name)) as file:
            assert file.getnframes() > 0.3 * file.getframerate(), name


def test_the_demonstration_prints_its_words_as_it_goes_and_says_where_the_rest_is(
    run: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "profile.toml").write_text(profile_text(5000, date.today()))
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))  # it is shown in the practice kitchen all the same
    monkeypatch.setattr(sys, "argv", ["kitchenvoice", "demo", "--text", "--out", str(tmp_path / "demo")])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    out, err = capsys.readouterr()
    assert (ended.value.code, err) == (0, "")
    assert "sealed" in out.lower()
    assert "0 heard otherwise; every expectation was met." in out
    assert out.rstrip().endswith(f"Transcript, log and sound are in {tmp_path / 'demo'}.")
    assert (tmp_path / "demo" / "transcript.md").exists()
