"""Hostile input: files that lie, never end or nest; and no network access unasked."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.grammar.jsgf import read_file, read_jsgf
from kitchenvoice.kitchen.profile import load_profile
from kitchenvoice.logbook import Logbook
from kitchenvoice.logbook.store.restore import restore
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.rehearsal.scenario import read_scenario

from . import fuzzing

HEAD = "#JSGF V1.0;\ngrammar t;\n"
BOUNDED = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def refused(work: Callable[[], object]) -> str:
    """Assert a refusal in one line; return the line."""
    with pytest.raises(KitchenVoiceError) as caught:
        work()
    assert "\n" not in str(caught.value)
    return str(caught.value)


def taken_or_refused(work: Callable[[], object]) -> None:
    """Assert success, or an error of our own tree."""
    try:
        work()
    except KitchenVoiceError as error:
        assert str(error)


@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 5000 + "]" * 5000,
        "altitude_ft = " + "9" * 5000,
        "altitude_ft = 0x" + "f" * 5000,
        "altitude_ft = 1\0",
        "# " + "x" * 1_000_001,
        "a." * 45_000 + "a = 1",
        "".join(f"{'a.' * 490}b{number} = 1\n" for number in range(100)),
        'voice = "' + "x" * 900 + '\\u0000"',
        '"a\\nb" = 1',
    ],
    ids=["nested", "digits", "hex", "nul", "huge", "dotted", "dotted in many lines", "long", "two lines in a name"],
)
def test_a_hostile_profile_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "profile.toml").write_text(text)
    assert len(refused(lambda: load_profile(tmp_path))) < 400


def test_a_pipe_in_place_of_a_file_holds_nothing_up(tmp_path: Path) -> None:
    pipe = tmp_path / "profile.toml"
    os.mkfifo(pipe)
    for work in (
        lambda: load_profile(tmp_path),
        lambda: read_scenario(pipe),
        lambda: read_file(pipe),
        lambda: restore(tmp_path / "home", pipe),
    ):
        refused(work)


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000, "a?mode=rwc#%00.sqlite3"], ids=["nul", "long", "uri"])
def test_a_hostile_file_name_is_refused_and_makes_no_file(tmp_path: Path, name: str) -> None:
    refused(lambda: read_scenario(tmp_path / name))
    refused(lambda: restore(tmp_path / "home", tmp_path / name))
    assert {path.name for path in tmp_path.iterdir()} == {"home"}


@pytest.mark.parametrize("inner", ["(", "["], ids=["round", "square"])
def test_a_grammar_nested_without_end_is_refused(inner: str) -> None:
    outer = {"(": ")", "[": "]"}[inner]
    refused(lambda: read_jsgf(f"{HEAD}<x> = {inner * 300}a{outer * 300};", "t.jsgf"))


def test_another_database_is_no_backup(tmp_path: Path) -> None:
    database = sqlite3.connect(tmp_path / "other.db")
    database.execute("CREATE TABLE event (x)")
    database.commit()
    database.close()
    refused(lambda: restore(tmp_path / "home", tmp_path / "other.db"))


@BOUNDED
@given(st.binary(max_size=300), st.sampled_from([b"", b"> hello\n", b"@ 00:01\n", b"% altitude 1\n", b"! x a="]))
def test_no_bytes_give_anything_but_a_scenario_or_a_refusal(tmp_path: Path, content: bytes, head: bytes) -> None:
    (tmp_path / "day.txt").write_bytes(head + content)
    taken_or_refused(lambda: read_scenario(tmp_path / "day.txt"))


@BOUNDED
@given(st.binary(max_size=200) | st.text("[]{}=.\"'\n#0x1_-:Tacn", max_size=80).map(str.encode))
def test_no_bytes_give_anything_but_a_profile_or_a_refusal(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "profile.toml").write_bytes(content)
    taken_or_refused(lambda: load_profile(tmp_path))


@BOUNDED
@given(st.text('<>()[]{}|;=/.*+ axset1\n"\\', max_size=80))
def test_no_text_gives_anything_but_a_grammar_or_a_refusal(body: str) -> None:
    taken_or_refused(lambda: read_jsgf(HEAD + body, "t.jsgf"))


@settings(BOUNDED, max_examples=25)
@given(st.binary(max_size=300), st.sampled_from([b"", b"SQLite format 3\0"]))
def test_no_bytes_are_taken_for_a_backup(tmp_path: Path, content: bytes, head: bytes) -> None:
    (tmp_path / "b.sqlite3").write_bytes(head + content)
    refused(lambda: restore(tmp_path / "home", tmp_path / "b.sqlite3"))


def test_damaged_and_made_up_files_are_taken_or_refused_in_one_sentence() -> None:
    found = fuzzing.run(12, seed=1)
    assert sum(found.values()) == 12 * len(fuzzing.kinds())


@pytest.mark.parametrize("name", sorted(path.name for path in fuzzing.CORPUS.iterdir()))
def test_files_that_did_harm_once_do_none(tmp_path: Path, name: str) -> None:
    (kind,) = [kind for kind in fuzzing.kinds() if kind.name.lstrip(".") == name]
    for content in fuzzing.corpus(kind.name):
        (tmp_path / kind.name).write_bytes(content)
        assert fuzzing.judge(lambda: kind.read(tmp_path)) in ("taken", "refused")


def test_a_fault_is_counted_reported_and_ends_with_exit_code_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def fail(_: Path) -> None:
        raise RecursionError("too deep")

    broken = fuzzing.Kind("day.txt", (b"> a",), (b"x",), fail)
    monkeypatch.setattr(fuzzing, "_kinds", lambda: (broken,))
    monkeypatch.setattr(fuzzing, "IN_MEMORY", tmp_path)
    assert fuzzing.main(["--minutes", "0.001", "--report", str(tmp_path / "page.md")]) == 1
    page = (tmp_path / "page.md").read_text()
    assert page == capsys.readouterr().out
    assert "RecursionError: too deep (day.txt, seed 1; the file is in" in page


WATCHED = """
import json, sys
used = []
def hook(name, given):
    if name.startswith("socket."):
        used.append(" ".join([name, *map(str, given[1:])]))
sys.addaudithook(hook)
{before}
from kitchenvoice.cli import main
try:
    main()
finally:
    print(json.dumps(used), file=sys.stderr)
"""


def sockets_of(home: Path, *words: str, before: str = "") -> list[str]:
    """Run a command in a separate process; return its use of sockets, by Python's audit events."""
    done = subprocess.run(
        [sys.executable, "-c", WATCHED.format(before=before), *words], input="what's on the shelf\n",
        capture_output=True, text=True, check=False, timeout=100, env=os.environ | {"KITCHENVOICE_HOME": str(home)},
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    told: list[str] = json.loads(done.stderr.splitlines()[-1])
    return told


@pytest.mark.parametrize(
    ("words", "before"),
    [
        (("start", "--typed"), ""),
        (("logbook", "list"), ""),
        (("lookup", "--list"), "import kitchenvoice.hearing, kitchenvoice.app.listening, kitchenvoice.speaking"),
    ],
    ids=["typed", "record", "spoken: all that is loaded for it"],
)
def test_no_socket_is_used_while_the_board_is_off(tmp_path: Path, words: tuple[str, ...], before: str) -> None:
    assert sockets_of(tmp_path / "home", *words, before=before) == []


def test_a_socket_would_be_noticed(tmp_path: Path) -> None:
    assert sockets_of(tmp_path / "home", "logbook", "list", before="import socket; socket.socket().close()") != []


@pytest.mark.parametrize("altered", ["outcomes = ''", "outcomes = '[]'", "source = '7'", "source = '[[['"])
def test_a_load_that_was_altered_is_told_of_and_read_by_nobody(tmp_path: Path, altered: str) -> None:
    (tmp_path / NAME).write_bytes(fuzzing._record())
    with closing(sqlite3.connect(tmp_path / NAME, isolation_level=None)) as database:
        database.execute(f"UPDATE loads SET {altered} WHERE load = 1")
    with Logbook(tmp_path) as book:
        assert "logbook restore" in refused(lambda: list(book.loads()))
