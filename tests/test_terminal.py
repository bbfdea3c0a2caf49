"""Output: its formats, and no waiting for a blocked terminal."""

from __future__ import annotations

import json
import threading

import click
import pytest

from kitchenvoice.terminal import Printer, Screen, complain, wrapped

LIMIT_S = 10.0


def test_a_pipe_gets_one_object_a_line_and_a_terminal_words(capsys: pytest.CaptureFixture[str]) -> None:
    Printer(True).put({"who": "log", "text": "25 °F"}, "words")
    Printer(False).put({"who": "log"}, "words")
    Printer(False).put({"who": "log"})
    first, second = capsys.readouterr().out.splitlines()
    assert json.loads(first) == {"who": "log", "text": "25 °F"}
    assert second == "words"


def test_a_complaint_is_one_line_on_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    complain("No microphone.\n  Plug one in.")
    out, err = capsys.readouterr()
    assert (out, err) == ("", "No microphone. Plug one in.\n")


def test_a_screen_prints_in_order_and_closes_when_all_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    screen = Screen(False)
    for number in range(100):
        screen.put({}, str(number))
    screen.close(LIMIT_S)
    assert capsys.readouterr().out.split() == [str(number) for number in range(100)]


def test_a_terminal_that_is_held_holds_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    held, printed = threading.Event(), []

    def echo(line: str) -> None:
        held.wait(LIMIT_S)
        printed.append(line)

    monkeypatch.setattr(click, "echo", echo)
    screen = Screen(False)
    for number in range(3):
        screen.put({}, str(number))
    screen.close(0.01)
    assert printed == []
    held.set()
    screen.close(LIMIT_S)
    assert printed == ["0", "1", "2"]


def test_a_pipe_that_nobody_reads_ends_only_the_printing(monkeypatch: pytest.MonkeyPatch) -> None:
    def echo(_: str) -> None:
        raise BrokenPipeError

    monkeypatch.setattr(click, "echo", echo)
    screen = Screen(False)
    screen.put({}, "one")
    screen.put({}, "two")
    screen.close(LIMIT_S)


@pytest.mark.parametrize("columns", [20, 40, 80, 132])
def test_a_long_line_breaks_between_words_and_loses_none(columns: int) -> None:
    line = "  Green beans. The hold is done, 25 minutes in full. Turn the heat off. Say heat is off."
    lines = wrapped(line, columns).splitlines()
    assert all(len(each) <= columns for each in lines)
    assert all(each.startswith("  ") for each in lines)
    assert " ".join(wrapped(line, columns).split()) == " ".join(line.split())


def test_what_follows_a_sign_is_indented_as_the_words_after_it() -> None:
    assert wrapped("> how long is left on the green beans", 24) == "> how long is left on\n  the green beans"
    assert wrapped("! No microphone.\nShort.", 80) == "! No microphone.\nShort."


def test_a_word_longer_than_the_line_stays_whole_and_a_drawing_as_it_is() -> None:
    assert wrapped(f"see {'x' * 40} now", 20).splitlines() == ["see", "x" * 40, "now"]
    drawn = "\x1b[97;40m" + "█" * 60 + "\x1b[0m"
    assert wrapped(drawn, 40) == drawn
