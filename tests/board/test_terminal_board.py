"""The board's view in the terminal."""

from __future__ import annotations

import re

import pytest
from rich.text import Text

from kitchenvoice.board import LatestSnapshot, view_of
from kitchenvoice.board.page import page
from kitchenvoice.board.terminal_board import TerminalBoard, draw

from . import kitchen
from .kitchen import Day

SCENES = {
    "idle": kitchen.IDLE, "packing": kitchen.PACKING, "hold": kitchen.HOLDING, "lost": kitchen.LOST,
    "calls": kitchen.TWO_CALLS, "full": kitchen.FULL, "rest": kitchen.RESTING,
}  # fmt: skip


def plain(lines: list[str]) -> str:
    """Return the text on the terminal, without colours and frames."""
    text = "\n".join(Text.from_ansi(line).plain for line in lines)
    return " ".join(re.sub(r"[│╭╮╰╯─━┃╸╺]", " ", text).split())


@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("width", [40, 80, 132])
def test_no_line_is_wider_than_the_terminal(scene: str, width: int):
    view = view_of(Day(*SCENES[scene]).seen, age_s=0.0, live=True)
    assert max(Text.from_ansi(line).cell_len for line in draw(view, width)) <= width


@pytest.mark.parametrize("scene", SCENES)
def test_the_terminal_says_what_the_page_says(scene: str):
    view = view_of(Day(*SCENES[scene]).seen, age_s=0.0, live=True)
    shown, html = plain(draw(view, 400)), page(view)
    for load in view.loads:
        for words in (load.name, load.stage, load.step, *(each.value for each in load.particulars)):
            assert words in shown
            assert words.replace("'", "&#x27;") in html
        assert load.plot is None or load.plot.words in shown
    for call in view.calls:
        assert call.text in shown
        assert call.text in html
    for phrase in view.phrases:
        assert phrase in shown
        assert phrase.replace("'", "&#x27;") in html


def test_a_clock_is_drawn_in_large_figures():
    lines = draw(view_of(Day(*kitchen.HOLDING).seen, age_s=0.0, live=True), 100)
    shown = [Text.from_ansi(line).plain for line in lines]
    assert any("▀▀█ ▀▀█ ▄ █▀▀ █▀█" in line for line in shown)  # the upper third of 22:59
    assert any("▀▀▀ ▀▀▀   ▀▀▀ ▀▀▀ min" in line for line in shown)


def test_a_stale_terminal_shows_no_time():
    shown = plain(draw(view_of(Day(*kitchen.FULL).seen, age_s=7.0, live=False), 100))
    assert "kitchenvoice hasn’t answered for 7 s." in shown
    assert "Time not known here" in shown
    assert "▀▀▀ min" not in shown


def board(*lines: str) -> tuple[TerminalBoard, list[float], Day]:
    """Return a terminal board with a stopped clock, with its clock and its day."""
    now, day = [0.0], Day(*lines)
    latest = LatestSnapshot(lambda: now[0])
    latest.put(day.seen)
    return TerminalBoard(latest, lambda _: None), now, day


def test_only_lines_that_changed_are_drawn_and_the_cursor_stays_where_it_types():
    screen, now, _ = board(*kitchen.HOLDING)
    first = screen.frame((100, 40))
    assert "\x1b[33;40r" in first  # what is typed scrolls in the lines below the board
    assert screen.frame((100, 40)) == ""
    now[0] = 1.0
    second = screen.frame((100, 40))
    assert second.startswith("\x1b7")
    assert second.endswith("\x1b8")
    assert 0 < second.count("\x1b[2K") <= 5


def test_another_size_draws_everything_anew():
    screen, _, _ = board(*kitchen.HOLDING)
    screen.frame((100, 40))
    assert "\x1b[2J" in screen.frame((80, 24))
    assert screen.frame((80, 24)) == ""


def test_a_terminal_board_gives_the_terminal_back():
    written: list[str] = []
    latest = LatestSnapshot(lambda: 0.0)
    screen = TerminalBoard(latest, written.append)
    screen.start()
    screen.close(10.0)
    assert written[-1].startswith("\x1b[r")
