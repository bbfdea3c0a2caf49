"""The command line as a whole: one sentence and an exit code for whatever goes wrong."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from kitchenvoice.cli import group as cli
from kitchenvoice.errors import BadProfile, LogbookError, ModelMissing


def call(monkeypatch: pytest.MonkeyPatch, *words: str) -> int | None:
    """Run a command line in this process; return its exit code."""
    monkeypatch.setattr(sys, "argv", ["kitchenvoice", *words])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    code = ended.value.code
    assert code is None or isinstance(code, int)
    return code


@pytest.mark.parametrize(
    ("words", "said", "help_of"),
    [
        (["bake"], "There is no command bake", "kitchenvoice"),
        (["start", "--loud"], "No such option", "kitchenvoice start"),
        (["hear"], "Missing argument", "kitchenvoice hear"),
        (["hear", "--state", "lunch", "a.wav"], "Invalid value for '--state'", "kitchenvoice hear"),
        (["rehearse"], "Missing argument", "kitchenvoice rehearse"),
        (["lookup", "--nonsense"], "No such option '--nonsense'", "kitchenvoice lookup"),
        (["logbook", "show", "--loud"], "No such option", "kitchenvoice logbook show"),
        (["explain", "--psi", "11"], "Give the altitude", "kitchenvoice explain"),
    ],
    ids=[
        "unknown command",
        "unknown option",
        "hear nothing",
        "unknown state",
        "rehearse nothing",
        "unknown option of a look-up",
        "unknown option two commands deep",
        "explain without an altitude",
    ],
)
def test_bad_usage_is_one_sentence_and_exit_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: list[str], said: str, help_of: str
) -> None:
    assert call(monkeypatch, *words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.splitlines()
    assert said in line
    assert line.endswith(f" {help_of} --help tells more.")
    assert "?." not in line


@pytest.mark.parametrize(
    ("called", "shown"),
    [
        ("kitchenvoice", "kitchenvoice"),
        (".venv/bin/kitchenvoice", ".venv/bin/kitchenvoice"),
        ("/opt/kitchen/bin/kitchenvoice", "kitchenvoice"),
    ],
    ids=["on the path", "called by its place", "found on the path"],
)
def test_without_a_command_it_greets_with_what_a_newcomer_needs_as_she_can_call_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], called: str, shown: str
) -> None:
    monkeypatch.setattr(sys, "argv", [called])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    assert ended.value.code == 2  # click's own: no command is bad usage, help that was asked for is not
    out, err = capsys.readouterr()
    assert out == ""
    first, *offered, last = err.splitlines()
    assert first.startswith("kitchenvoice leads a canning day by voice.")
    assert [line.split()[:2] for line in offered] == [[shown, name] for name in ("start", "practice", "check", "card")]
    assert last == f"All it can do: {shown} --help"


def test_only_the_bare_command_greets_and_a_group_shows_its_help(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(monkeypatch, "logbook") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("Usage: kitchenvoice logbook ")
    assert "verify" in err


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (ModelMissing("No model."), 3),
        (LogbookError("No disk."), 3),
        (BadProfile("Line 3."), 2),
        (KeyboardInterrupt(), 130),
    ],
    ids=lambda value: type(value).__name__,
)
def test_each_error_has_its_exit_code(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: BaseException, code: int
) -> None:
    def fail() -> int:
        raise error

    monkeypatch.setattr(cli, "_run", fail)
    assert call(monkeypatch) == code
    assert capsys.readouterr().err.strip() == str(error)


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        ("--food unicorns --pack raw --jar quart --method pressure --gauge dial --altitude-ft 900", 4, "refused"),
        ("--food snap_beans --pack raw --jar quart --method pressure --gauge dial --altitude-ft 9000", 4, "refused"),
        ("--food snap_beans --pack raw --jar quart --method boiling-water --altitude-ft 900", 4, "refused"),
        (
            "--food corn_cream_style --pack hot --jar quart --method pressure --gauge dial --altitude-ft 900",
            4,
            "refused",
        ),
        ("--food snap_beans --pack raw --jar quart --method pressure --gauge dial", 5, "incomplete"),
        ("--food snap_beans --pack raw --jar quart --method pressure --gauge dial --altitude-ft 900", 0, "ok"),
    ],
    ids=["unknown food", "9,000 feet", "low acid in boiling water", "only in pints", "no altitude", "a tested process"],
)
def test_a_look_up_answers_or_refuses(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    words: str,
    code: int,
    status: str,
) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    assert call(monkeypatch, "lookup", *words.split(), "--json") == code
    out, err = capsys.readouterr()
    (line,) = out.splitlines()
    told = json.loads(line)
    assert told["status"] == status
    assert (told["minutes"] is None) is (code != 0)
    assert bool(told["reason"]) is (code != 0)
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("lokup", "lookup"), ("strat", "start"), ("logbok", "logbook"), ("logbook shw", "logbook show")],
)
def test_a_misspelt_command_is_answered_with_the_nearest(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str, meant: str
) -> None:
    assert call(monkeypatch, *typed.split()) == 2
    assert f"Did you mean kitchenvoice {meant}?" in capsys.readouterr().err


def test_help_names_every_command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(monkeypatch, "--help") == 0
    out = capsys.readouterr().out
    for name in (
        "start",
        "practice",
        "card",
        "check",
        "hear",
        "rehearse",
        "demo",
        "lookup",
        "sheet",
        "plan",
        "explain",
        "logbook",
    ):
        assert name in out


def test_a_pipe_that_closes_early_is_no_error() -> None:
    code = "import sys; sys.argv = ['kitchenvoice', '--help']; from kitchenvoice.cli import main; main()"
    program = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert program.stdout is not None
    assert program.stderr is not None
    program.stdout.close()
    assert program.stderr.read() == ""
    program.stderr.close()
    assert program.wait(20.0) in (0, 1)  # click ends with 1 when nobody reads
