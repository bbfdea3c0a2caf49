"""`start --trace` and `hear --trace`, as processes of their own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.test_start import one_sentence, run

LINES = "start seven quarts of green beans raw pack\nyes\nweather today\nwhere are we\n"
PROFILE = """altitude_ft = 900
usual_canner = 1

[[canner]]
number = 1
name = "the old giant"
gauge = "weighted"
capacity = { quart = 7, pint = 9 }
"""


@pytest.fixture
def kitchen(tmp_path: Path) -> dict[str, str]:
    home = tmp_path / "home"
    home.mkdir()
    (home / "profile.toml").write_text(PROFILE)
    return {"KITCHENVOICE_HOME": str(home)}


def heard_again(kitchen: dict[str, str], trace: Path) -> list[dict[str, Any]]:
    code, stdout, stderr = run(kitchen, "hear", "--trace", str(trace))
    assert (code, stderr) == (0, "")
    return [json.loads(line) for line in stdout.splitlines()]


def test_what_was_typed_is_judged_again_with_the_names_of_this_kitchen(kitchen: dict[str, str], tmp_path: Path) -> None:
    trace = tmp_path / "day.jsonl"
    for text in (LINES, "start nine pints of carrots raw pack in the old giant\n"):
        code, _, stderr = run(kitchen, "start", "--typed", "--trace", str(trace), text=text)
        assert (code, stderr) == (0, "")
    told = heard_again(kitchen, trace)
    assert [line["intent"] for line in told] == ["load_start", "yes", None, "where_are_we", "load_start"]
    assert told[2]["reject_reason"] == "no_match"
    assert told[4]["slots"]["canner"] == 1
    assert all(line["same"] and line["was"] == line["intent"] for line in told)
    kinds = [json.loads(line)["kind"] for line in trace.read_text().splitlines()]
    assert (kinds[0], kinds.count("trace"), kinds.count("start")) == ("trace", 1, 2)


def test_a_file_of_something_else_is_left_alone(kitchen: dict[str, str], tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear cook,\n")
    for words in (("start", "--typed", "--trace"), ("hear", "--trace")):
        code, stdout, stderr = run(kitchen, *words, str(letter))
        assert (code, stdout) == (2, "")
        assert "is no trace" in one_sentence(stderr)
    assert letter.read_text() == "Dear cook,\n"


def test_a_trace_that_is_not_there_or_named_with_sounds_is_refused(kitchen: dict[str, str], tmp_path: Path) -> None:
    code, _, stderr = run(kitchen, "hear", "--trace", str(tmp_path / "none"))
    assert (code, "There is no file" in one_sentence(stderr)) == (2, True)
    code, _, stderr = run(kitchen, "hear", "--trace", str(tmp_path / "none"), "any.wav")
    assert (code, "--trace alone" in one_sentence(stderr)) == (2, True)


def test_a_trace_where_nothing_can_be_written_is_refused_before_the_day_begins(kitchen: dict[str, str]) -> None:
    code, stdout, stderr = run(kitchen, "start", "--typed", "--trace", "/proc/day.jsonl")
    assert (code, stdout) == (2, "")
    assert "Name another file" in one_sentence(stderr)
