"""Address of the board, and access control."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from kitchenvoice.board.access import COOKIE_S, AccessControl
from kitchenvoice.board.address import read_address
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.errors import BadInput


@pytest.mark.parametrize(
    ("text", "host", "port", "code"),
    [
        ("", "127.0.0.1", 8420, False),
        ("9000", "127.0.0.1", 9000, False),
        (":9000", "127.0.0.1", 9000, False),
        ("localhost:9000", "localhost", 9000, False),
        ("[::1]:9000", "::1", 9000, False),
        ("192.168.1.20:9000", "192.168.1.20", 9000, True),
        ("192.168.1.20", "192.168.1.20", 8420, True),
        ("0.0.0.0:9000", "0.0.0.0", 9000, True),
        ("[::]:9000", "::", 9000, True),
        ("fe80::1", "fe80::1", 8420, True),
        ("kitchen.local:9000", "kitchen.local", 9000, True),
    ],
)
def test_a_board_is_for_this_machine_alone_unless_an_address_is_given_and_then_with_a_code(text, host, port, code):
    address = read_address(text)
    assert (address.host, address.port, address.needs_code) == (host, port, code)


@pytest.mark.parametrize(
    "text", ["127.0.0.1:70000", "127.0.0.1:abc", "http://here:1", "a b:80", "nowhere:at:all", "1:2:x:y]:z z"]
)
def test_a_place_that_cannot_be_is_refused_with_what_would_be_right(text):
    with pytest.raises(BadInput, match=r"192\.168\.1\.20:8420"):
        read_address(text)


TABLET, STRANGER = "192.168.1.20", "192.168.1.66"


class Terminal:
    """An access control, its clock, and the codes shown."""

    def __init__(self, folder: Path | None = None) -> None:
        self.clock = SimulatedClock(utc=1_786_521_600.0)
        self.codes: list[str] = []
        self.warnings: list[str] = []
        self.access = AccessControl(self.clock.now, self.codes.append, folder, self.warnings.append)


def wrong(terminal: Terminal) -> str:
    """Return a code other than the one shown."""
    shown = terminal.codes[-1].replace(" ", "")
    return f"{(int(shown) + 1) % 10**8:08d}"


def test_the_code_is_taken_once_and_another_one_is_shown():
    terminal = Terminal()
    (code,) = terminal.codes
    assert len(code.replace(" ", "")) == 8
    cookie = terminal.access.enter(f" {code} ", TABLET)
    assert cookie is not None
    assert terminal.access.knows(cookie)
    assert len(terminal.codes) == 2
    assert terminal.access.enter(code, TABLET) is None


@pytest.mark.parametrize("given", [None, "", "１２３４", "\ud800", "0" * 5000])
def test_a_wrong_code_an_empty_one_and_strange_letters_are_refused(given: str | None):
    terminal = Terminal()
    assert terminal.access.enter(wrong(terminal) if given is None else given, TABLET) is None
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None


def test_after_five_wrong_codes_the_door_is_shut_for_a_minute_and_twice_as_long_the_next_time():
    terminal = Terminal()
    for _ in range(5):
        assert terminal.access.enter(wrong(terminal), TABLET) is None
    assert terminal.access.shut_s(TABLET) == 60.0
    assert len(terminal.codes) == 2
    assert terminal.access.enter(terminal.codes[-1], TABLET) is None
    terminal.clock.advance(60.0)
    for _ in range(5):
        terminal.access.enter(wrong(terminal), TABLET)
    assert terminal.access.shut_s(TABLET) == 120.0
    terminal.clock.advance(120.0)
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None


def test_a_guesser_shuts_out_himself_and_nobody_else_and_is_told_of():
    terminal = Terminal()
    for _ in range(5):
        assert terminal.access.enter(wrong(terminal), STRANGER) is None
    assert terminal.access.shut_s(STRANGER) == 60.0
    assert terminal.warnings == [f"Somebody at {STRANGER} typed a wrong code for the board 5 times."]
    assert terminal.access.enter(terminal.codes[-1], STRANGER) is None
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None


def test_the_terminal_s_own_machine_waits_five_seconds_at_most_even_in_a_siege():
    terminal = Terminal()
    for turn in range(1, 6):
        for _ in range(5):
            assert terminal.access.enter(wrong(terminal), TABLET, here=True) is None
        assert terminal.access.enter(terminal.codes[-1], TABLET, here=True) is None
        assert terminal.access.shut_s(TABLET) == 5.0
        assert terminal.warnings[-1] == f"Somebody at {TABLET} typed a wrong code for the board {5 * turn} times."
        terminal.clock.advance(5.0)
    for number in range(20):
        terminal.access.enter(wrong(terminal), f"10.0.0.{number}")
    assert terminal.access.enter(terminal.codes[-1], TABLET) is None
    assert terminal.access.enter(terminal.codes[-1], TABLET, here=True) is not None


def test_guessers_at_many_addresses_have_one_try_each_and_are_told_of_once():
    terminal = Terminal()
    for number in range(40):
        terminal.access.enter(wrong(terminal), f"10.0.0.{number}")
    assert terminal.warnings == ["Wrong codes for the board come from several addresses, 20 within a minute."]
    assert terminal.access.enter(terminal.codes[-1], "10.0.0.3") is None, "it has had its try"
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None


def test_one_machine_with_many_addresses_of_its_own_is_one_guesser():
    terminal = Terminal()
    for number in range(5):
        terminal.access.enter(wrong(terminal), f"2001:db8::{number}")
    assert terminal.access.shut_s("2001:db8::77") == 60.0


def test_codes_and_cookies_are_never_twice_the_same():
    terminals = [Terminal() for _ in range(50)]
    assert len({terminal.codes[0] for terminal in terminals}) == 50
    cookies = {terminal.access.enter(terminal.codes[-1], TABLET) for terminal in terminals}
    assert len(cookies) == 50


def test_a_board_that_was_let_in_is_known_after_a_restart_and_for_two_days(tmp_path: Path):
    first = Terminal(tmp_path)
    cookie = first.access.enter(first.codes[-1], TABLET)
    assert cookie is not None
    again = Terminal(tmp_path)
    assert again.access.knows(cookie)
    again.clock.advance(COOKIE_S)
    assert not again.access.knows(cookie)


def test_only_a_hash_of_the_cookie_is_kept_and_only_for_the_owner(tmp_path: Path):
    terminal = Terminal(tmp_path)
    cookie = terminal.access.enter(terminal.codes[-1], TABLET)
    (kept,) = tmp_path.iterdir()
    assert kept.stat().st_mode & 0o077 == 0
    assert str(cookie) not in kept.read_text()
    assert len(json.loads(kept.read_text())) == 1


@pytest.mark.parametrize("content", ["", "no json", "[1, 2]", '{"a": "b"}', "null", "[" * 60_000, "9" * 70_000])
def test_a_damaged_list_of_boards_lets_nobody_in(tmp_path: Path, content: str):
    (tmp_path / "boards.json").write_text(content)
    terminal = Terminal(tmp_path)
    assert not terminal.access.knows("a")
    assert (tmp_path / "boards.json.bad").read_text() == content
    assert terminal.warnings == ["The list of tablets that had a code can't be read. Each needs a new code."]
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None


def test_a_folder_in_the_place_of_the_list_of_boards_is_set_aside_beside_an_earlier_one(tmp_path: Path):
    (tmp_path / "boards.json.bad").write_text("earlier")
    (tmp_path / "boards.json").mkdir()
    terminal = Terminal(tmp_path)
    cookie = terminal.access.enter(terminal.codes[-1], TABLET)
    assert cookie is not None
    assert Terminal(tmp_path).access.knows(cookie)
    assert (tmp_path / "boards.json.bad").read_text() == "earlier"


def test_a_pipe_in_the_place_of_the_list_of_boards_is_set_aside_without_waiting(tmp_path: Path):
    os.mkfifo(tmp_path / "boards.json")
    terminal = Terminal(tmp_path)
    assert terminal.access.enter(terminal.codes[-1], TABLET) is not None
    assert (tmp_path / "boards.json").is_file()


def test_a_folder_that_cannot_be_written_to_only_means_a_code_again(tmp_path: Path):
    terminal = Terminal(tmp_path / "nowhere")
    cookie = terminal.access.enter(terminal.codes[-1], TABLET)
    assert cookie is not None
    assert terminal.access.knows(cookie)
    assert list(tmp_path.iterdir()) == []
