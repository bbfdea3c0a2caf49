"""The command line as a whole: one sentence and an exit code for whatever goes wrong."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from kitchenvoice.app import compose
from kitchenvoice.cli import group as cli
from kitchenvoice.cli import main
from kitchenvoice.errors import BadProfile, LogbookError, ModelMissing
from kitchenvoice.logbook import SqliteLog
from tests.profiles import profile_text


def call(monkeypatch: pytest.MonkeyPatch, *words: str) -> int | None:
    """Run a command line in this process; return its exit code."""
    monkeypatch.setattr(sys, "argv", ["kitchenvoice", *words])
    with pytest.raises(SystemExit) as ended:
        main()
    code = ended.value.code
    assert code is None or isinstance(code, int)
    return code


@pytest.mark.parametrize(
    ("words", "said", "help_of"),
    [
        (["bake"], "There is no command bake. There are: start, ", "kitchenvoice"),
        (["shelf"], "There is no command shelf. Write kitchenvoice logbook shelf.", "kitchenvoice"),
        (["strat"], "There is no command strat. Did you mean kitchenvoice start?", "kitchenvoice"),
        (["lokup", "carrots"], "Did you mean kitchenvoice lookup?", "kitchenvoice"),
        (["logbok", "list"], "Did you mean kitchenvoice logbook?", "kitchenvoice"),
        (["chek"], "Did you mean kitchenvoice check?", "kitchenvoice"),
        (["logbook", "lst"], "Did you mean kitchenvoice logbook list?", "kitchenvoice logbook"),
        (["start", "--typd"], "Did you mean '--typed'?", "kitchenvoice start"),
        (
            ["logbook", "report", "--year", "1850"],
            "'--year': 1850 is outside 1970 to 9998.",
            "kitchenvoice logbook report",
        ),
        (
            ["logbook", "report", "--year", "soon"],
            "'--year': 'soon' isn't a whole number.",
            "kitchenvoice logbook report",
        ),
        (["logbook", "export", "2031"], "2031 stands alone: write it after the option", "kitchenvoice logbook export"),
        (["logbook", "report", "soon"], "for YEAR: 'soon' isn't a whole number.", "kitchenvoice logbook report"),
        (["logbook", "list", "--since", "may"], "'may' isn't a day. Write it like 2026-", "kitchenvoice logbook list"),
        (["explain", "11 psi", "upstairs"], "I don't know upstairs. Write a pressure", "kitchenvoice explain"),
        (["explain", "11 psi 900 ft", "--psi", "12"], "11 and 12: say the pressure once.", "kitchenvoice explain"),
        (
            ["plan", "7 quarts and 9 pints of carrots"],
            "7 quarts: one amount of one food at a time.",
            "kitchenvoice plan",
        ),
        (["practice", "--speed", "0"], "0.0 is outside 1 to 1000.", "kitchenvoice practice"),
        (["practice", "--speed", "nan"], "nan isn't a number.", "kitchenvoice practice"),
        (["rehearse", "--snr", "inf", "day.txt"], "inf isn't a number.", "kitchenvoice rehearse"),
        (["practice", "--seed", "x"], "'x' isn't a whole number.", "kitchenvoice practice"),
        (["explain", "--psi", "low", "--altitude-ft", "9"], "'low' isn't a number", "kitchenvoice explain"),
        (["plan", "--food", "carrots", "--have", "28 stones", "--jar", "quart"], 'like "28 lb"', "kitchenvoice plan"),
        (["plan", "0", "lb", "carrots"], "0 lb: an amount is more than nothing", "kitchenvoice plan"),
        (
            ["plan", "28 lb carrots 10 kg peaches"],
            "10 kg: one amount of one food at a time.",
            "kitchenvoice plan",
        ),
        (["plan", "-5", "lb", "carrots"], "-5 is below zero.", "kitchenvoice plan"),
        (
            ["lookup", "carrots raw pints 5.200 feet"],
            "5.200 can be read in two ways. Write thousands without a point: 5200.",
            "kitchenvoice lookup",
        ),
        (
            ["lookup", "carrots", "--altitude-m", "1.600"],
            "Write thousands without a point: 1600.",
            "kitchenvoice lookup",
        ),
        (["lookup", "carrots raw pints 609,6 meters"], "'609,6' isn't a number.", "kitchenvoice lookup"),
        (["explain", "11 bar"], "I don't know 11 bar. Write 11 feet", "kitchenvoice explain"),
        (["start", "--loud"], "No such option", "kitchenvoice start"),
        (["hear"], "Missing argument", "kitchenvoice hear"),
        (["hear", "--state", "lunch", "a.wav"], "Invalid value for '--state'", "kitchenvoice hear"),
        (["rehearse"], "Missing argument", "kitchenvoice rehearse"),
        (["lookup", "carrots", "--jar", "pnt"], "Did you mean pint?", "kitchenvoice lookup"),
        (["plan", "carrots", "--gauge", "dail"], "Did you mean dial?", "kitchenvoice plan"),
        (["lookup", "--nonsense"], "No such option '--nonsense'", "kitchenvoice lookup"),
        (["logbook", "show", "--loud"], "No such option", "kitchenvoice logbook show"),
        (["explain", "--psi", "11"], "Which altitude? Say it like", "kitchenvoice explain"),
        (["explain"], "Which pressure? Say it like: kitchenvoice explain 11 psi 5000 feet.", "kitchenvoice explain"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_bad_usage_is_one_sentence_and_exit_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: list[str], said: str, help_of: str
) -> None:
    assert call(monkeypatch, *words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.splitlines()
    assert said in line, line
    assert line.endswith(f" {help_of} --help tells more.")
    assert "?." not in line


@pytest.mark.parametrize(
    ("words", "of"),
    [
        ("help", "kitchenvoice"),
        ("help logbook labels", "kitchenvoice logbook labels"),
        ("logbook help", "kitchenvoice logbook"),
    ],
)
def test_help_may_stand_before_what_it_is_wanted_of(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: str, of: str
) -> None:
    assert call(monkeypatch, *words.split()) == 0
    assert capsys.readouterr().out.startswith(f"Usage: {of} [OPTIONS]")


@pytest.mark.parametrize(
    ("called", "shown"),
    [
        ("kitchenvoice", "kitchenvoice"),
        (".venv/bin/kitchenvoice", ".venv/bin/kitchenvoice"),
        ("/opt/kitchen/bin/kitchenvoice", "kitchenvoice"),
    ],
    ids=["on the path", "called by its place", "found on the path"],
)
def test_without_a_command_it_greets_with_what_a_newcomer_needs_as_it_can_be_called(
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


@pytest.mark.parametrize("group", [["--help"], ["logbook", "--help"]])
def test_no_command_is_told_of_in_half_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], group: list[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    call(monkeypatch, *group)
    lines = capsys.readouterr().out.partition("Commands:")[2].splitlines()
    assert len(lines) > 10
    assert not [line for line in lines if line.endswith("...")]


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


@pytest.mark.parametrize("error", [OSError(24, "Too many open files"), MemoryError(), RuntimeError("no new thread")])
def test_what_nobody_foresaw_is_one_sentence_and_a_traceback_only_where_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: Exception
) -> None:
    def fail() -> int:
        raise error

    monkeypatch.setattr(cli, "_run", fail)
    assert call(monkeypatch, "card") == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"This can't go on, {type(error).__name__}")
    assert str(error) in line
    assert line.endswith("kitchenvoice -v card tells where it was.")
    monkeypatch.setattr(sys, "argv", ["kitchenvoice", "-v", "card"])
    with pytest.raises(type(error)):
        main()


@pytest.mark.parametrize(("umask", "kept"), [(0o777, 0o077), (0o277, 0o077), (0o022, 0o022), (0, 0)])
def test_no_umask_takes_the_owners_own_files_from_the_program(
    monkeypatch: pytest.MonkeyPatch, umask: int, kept: int
) -> None:
    before = os.umask(umask)
    try:
        assert call(monkeypatch, "--version") == 0
        assert os.umask(umask) == kept
    finally:
        os.umask(before)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGQUIT, signal.SIGTERM, signal.SIGHUP])
def test_a_wish_to_end_is_told_even_while_it_is_still_being_imported(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], number: signal.Signals
) -> None:
    class Interrupted:
        @property
        def main(self) -> None:
            signal.raise_signal(number)

    monkeypatch.setitem(sys.modules, "kitchenvoice.cli.group", Interrupted())
    signal.signal(number, signal.SIG_DFL)  # a run in the background has some ignored
    assert call(monkeypatch) == 128 + number
    assert capsys.readouterr().err == "Stopped before it was done.\n"
    assert signal.getsignal(signal.SIGHUP) == signal.SIG_IGN  # the shell of a closed terminal passes its end on


def test_what_was_to_outlive_its_terminal_isnt_ended_by_it_while_it_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    def begun() -> int:
        signal.raise_signal(signal.SIGHUP)
        return 0

    signal.signal(signal.SIGHUP, signal.SIG_IGN)
    monkeypatch.setattr(cli, "_run", begun)
    assert call(monkeypatch) == 0


def test_a_wish_to_end_while_a_session_is_made_gives_the_record_back(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "profile.toml").write_text(profile_text(800, date.today()))
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    monkeypatch.setattr(compose, "typed_session", lambda *_: signal.raise_signal(signal.SIGTERM))
    assert call(monkeypatch, "start", "--typed") == 128 + signal.SIGTERM
    assert capsys.readouterr().err == "Stopped before it was done.\n"
    SqliteLog(tmp_path).close()


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
        ("--food applesauce --pack hot --jar quart --gauge dial --altitude-ft 2001", 0, "ok"),
    ],
    ids=[
        "unknown food",
        "9,000 feet",
        "low acid in boiling water",
        "only in pints",
        "no altitude",
        "a tested process",
        "a gauge alone",
    ],
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
    ("words", "code", "fix"),
    [
        ("hear nothere.wav", 2, "Name a WAV file."),
        ("hear README.md", 2, "Save the sound as WAV."),
        ("rehearse nothere.txt", 2, "Name a text file."),
        ("rehearse pyproject.toml", 2, "pyproject.toml, line 1: a line begins with @, >, <, !, % or #"),
        ("card --out /nowhere/card.pdf", 2, "Name another file with --out."),
        ("card --out card.odt", 2, "End it with .pdf."),
        ("start --typed --language fr", 2, "There are: en, de."),
        ("start --push-to-talk f13", 2, "Take space, enter, tab, page-down, page-up"),
        ("start --typed --trace /nowhere/x", 2, "Name another file."),
        ("sheet", 2, "For example: kitchenvoice sheet carrots"),
        ("logbook show", 2, "For example: kitchenvoice logbook show 3"),
        ("logbook note 99 a bit salty", 2, "List them with kitchenvoice logbook list."),
        ("logbook restore nothere", 3, "Name another one; nothing was changed."),
        ("fetch-model --from nothere", 3, "Name the archive of a model."),
        ("tune --again", 2, "kitchenvoice tune makes some."),
    ],
)
def test_each_wrong_file_or_name_is_one_sentence_with_the_fix(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, words: str, code: int, fix: str
) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    monkeypatch.chdir(Path(__file__).parents[2])
    ended = call(monkeypatch, *words.split())
    (line,) = capsys.readouterr().err.splitlines()
    assert fix in line
    assert ended == code


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
    assert program.wait(60.0) in (0, 1)  # click ends with 1 when nobody reads


@pytest.mark.parametrize("line", ["lookup carrots pints raw weighted 900", "plan 28 carrots quarts"])
def test_a_number_without_its_unit_is_asked_about(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], line: str
) -> None:
    assert call(monkeypatch, *line.split()) == 2
    assert " what? Write " in " ".join(capsys.readouterr().err.split())
