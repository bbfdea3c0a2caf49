"""The real program with a board: stopped, killed and restarted, with its port taken, and without a board."""

from __future__ import annotations

import os
import random
import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kitchenvoice.board import LatestSnapshot
from kitchenvoice.board.address import read_address
from kitchenvoice.board.server import BoardServer
from kitchenvoice.errors import BoardMissing
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import write_profile
from tests.live.kitchen import Program

from .test_browser import stale_within_three_seconds


class Started(Program):
    """`kitchenvoice start --typed` as a process in a separate kitchen."""

    def until(self, field: str, pattern: str) -> str:
        """Wait until a printed field matches; return that line's text."""

        def found() -> list[dict[str, Any]]:
            return [line for _, line in self.pieces if re.search(pattern, line.get(field) or "")]

        self.wait(lambda: bool(found()), self.story, 60.0)
        return str(found()[0]["text"])

    def end(self, how: signal.Signals = signal.SIGKILL) -> int:
        """End it, and return its exit status."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGCONT)
            self.process.send_signal(how)
        self.process.wait(30.0)
        self.close()
        return self.process.returncode


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A kitchen with a freshly tested dial."""
    folder = tmp_path / "home"
    folder.mkdir()
    tested = replace(PRACTICE_KITCHEN.canners[0], dial_tested=date.today())
    write_profile(folder, replace(PRACTICE_KITCHEN, canners=(tested,)))
    return folder


@pytest.fixture
def start(home: Path) -> Iterator[Callable[..., Started]]:
    """Start the program in that kitchen."""
    started = []

    def begin(*words: str) -> Started:
        started.append(Started(home, {}, "start", "--typed", *words))
        return started[-1]

    yield begin
    for program in started:
        program.end()


@pytest.fixture
def port() -> int:
    """A free port, of those that no other program is given by chance while the board is away."""
    for number in random.sample(range(20_000, 30_000), 100):
        with suppress(OSError), socket.create_server(("", number)):
            return number
    raise AssertionError("a hundred ports are taken")


@pytest.mark.browser
def test_a_board_survives_its_program_being_held_up_killed_and_started_again(
    start: Callable[..., Started], tablet: Callable[..., Page], port: int
) -> None:
    program = start("--board", f"127.0.0.1:{port}")
    url = program.until("text", r"^http://")
    program.until("text", "listening")
    program.type("start seven quarts of green beans raw pack", "yes", "seven jars are in", "lid is locked")
    program.type("steam is steady")
    program.until("event", "vent_started")
    page = tablet()
    page.goto(url)
    expect(page.locator(".time")).to_have_text(re.compile(r"9:\d\d"))

    program.process.send_signal(signal.SIGSTOP)  # the connection stays, and nothing comes
    stale_within_three_seconds(page, "No connection to kitchenvoice.")
    program.process.send_signal(signal.SIGCONT)
    expect(page.locator("#live")).to_be_visible()
    expect(page.locator(".time")).to_have_text(re.compile(r"9:\d\d"))

    program.end(signal.SIGKILL)
    stale_within_three_seconds(page, "No connection to kitchenvoice.")
    assert "Let it vent." in page.locator(".step").inner_text()

    start("--board", f"127.0.0.1:{port}")
    expect(page.locator("#live")).to_be_visible(timeout=30_000)
    expect(page.locator("#notice")).to_be_empty()
    expect(page.locator(".stage")).to_have_text("Venting")


def test_a_tablet_that_was_let_in_is_let_in_again_after_a_restart(start: Callable[..., Started], port: int) -> None:
    program = start("--board", f"0.0.0.0:{port}")
    code = program.until("event", "^board_code$")
    url = f"http://127.0.0.1:{port}"
    with pytest.raises(urllib.error.HTTPError, match="401"):
        urllib.request.urlopen(f"{url}/", timeout=10)
    cookie = entered(url, code)
    assert program.end(signal.SIGTERM) == 0
    again = start("--board", f"0.0.0.0:{port}")
    again.until("event", "^board_code$")
    with urllib.request.urlopen(urllib.request.Request(f"{url}/", headers={"Cookie": cookie}), timeout=10) as answer:
        assert "kitchenvoice board" in answer.read().decode()


def entered(url: str, code: str) -> str:
    """Submit a code as the page does; return the cookie."""

    class Stay(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *_: object) -> None:
            """Follow no redirect."""

    request = urllib.request.Request(
        f"{url}/enter", data=f"code={code.replace(' ', '')}".encode(), headers={"Origin": url}
    )
    try:
        urllib.request.build_opener(Stay).open(request, timeout=10)
    except urllib.error.HTTPError as answer:
        with answer:
            assert answer.code == 303
            return str(answer.headers["Set-Cookie"]).split(";")[0]
    raise AssertionError("no redirection")


def test_a_port_that_is_taken_is_one_sentence_and_the_session_goes_on(start: Callable[..., Started]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        program = start("--board", f"127.0.0.1:{port}")
        assert program.until("text", "There is no board") == (
            f"There is no board: port {port} is taken by another program. Name another with --board ADDRESS:PORT."
        )
        program.type("start seven quarts of green beans raw pack")
        assert "Is that right?" in program.until("text", "Is that right")
        assert program.end(signal.SIGTERM) == 0


def test_an_address_that_is_not_ours_is_named() -> None:
    with pytest.raises(BoardMissing, match=r"^There is no board: 192\.0\.2\.1 isn't an address of this machine\."):
        BoardServer(read_address("192.0.2.1:8000"), LatestSnapshot(lambda: 0.0), lambda _: None)


def test_a_place_that_cannot_be_read_ends_it_before_anything_begins(start: Callable[..., Started]) -> None:
    program = start("--board", "nowhere:at:all")
    assert program.process.wait(60.0) == 2


def test_without_a_board_no_server_is_loaded_and_no_socket_is_opened(home: Path) -> None:
    code = (
        "import sys\n"
        "opened = []\n"
        "def note(name, details):\n"
        "    if name in ('socket.bind', 'socket.connect') and details[1] != ('::1', 0):  # urllib3 asks for IPv6 so\n"
        "        opened.append(details[1])\n"
        "sys.addaudithook(note)\n"
        "from kitchenvoice.cli.start import start_command\n"
        "start_command.main(['--typed'], standalone_mode=False)\n"
        "heavy = {'starlette', 'uvicorn', 'rich', 'anyio', 'asyncio', 'kitchenvoice.board.server'}\n"
        "print(sorted(heavy & set(sys.modules)), opened, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        input="how long is left\n", capture_output=True, text=True, check=True,
        env=os.environ | {"KITCHENVOICE_HOME": str(home)},
    )  # fmt: skip
    assert "No load is going" in done.stdout
    assert done.stderr.strip() == "[] []"
