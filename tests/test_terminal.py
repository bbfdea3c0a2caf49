"""Output: its formats, and no waiting for a blocked terminal."""

from __future__ import annotations

import json
import threading

import click
import pytest

from kitchenvoice.terminal import Printer, Screen, complain

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
