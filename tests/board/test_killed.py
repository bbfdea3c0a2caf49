"""The real program with a board: held up, killed and started again, without a port, and without a board at all."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from kitchenvoice.board import Glass
from kitchenvoice.board.place import read_place
from kitchenvoice.board.server import BoardServer
from kitchenvoice.errors import BoardMissing

from .test_browser import stale_within_three_seconds

PROFILE = """\
altitude_ft = 900
usual_canner = 1

[[canner]]
number = 1
gauge = "dial"
dial_error_psi = 0.0
dial_tested = 2026-05-06
quart_jars = 7
capacity = { quart = 7, pint = 9 }
"""


class Program:
    """`kitchenvoice start --typed` as a process, with what it prints."""

    def __init__(self, home: Path, *words: str) -> None:
        environment = os.environ | {"KITCHENVOICE_HOME": str(home)}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "kitchenvoice", "start", "--typed", *words],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=environment, text=True,
        )  # fmt: skip

    def type(self, *lines: str) -> None:
        """Type sentences."""
        assert self.process.stdin is not None
        self.process.stdin.write("".join(f"{line}\n" for line in lines))
        self.process.stdin.flush()

    def until(self, field: str, pattern: str) -> str:
        """Read on until a field of what is printed matches; return it."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            found = json.loads(line).get(field) or ""
            if re.search(pattern, found):
                return str(json.loads(line)["text"])
        raise AssertionError(f"it ended before {pattern}")

    def end(self, how: signal.Signals = signal.SIGKILL) -> int:
        """End it, and return how it ended."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGCONT)
            self.process.send_signal(how)
        for pipe in (self.process.stdin, self.process.stdout):
            assert pipe is not None
            pipe.close()
        return self.process.wait(30.0)


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Callable[..., Program]]:
    """Start the program in a kitchen of its own."""
    (tmp_path / "profile.toml").write_text(PROFILE)
    started = []

    def begin(*words: str) -> Program:
        started.append(Program(tmp_path, *words))
        return started[-1]

    yield begin
    for program in started:
        program.end()


@pytest.fixture
def port() -> int:
    """A port that is free now."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


@pytest.mark.browser
def test_a_board_survives_its_program_being_held_up_killed_and_started_again(
    start: Callable[..., Program], tablet: Callable[..., Page], port: int
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


def test_a_tablet_that_was_let_in_is_let_in_again_after_a_restart(start: Callable[..., Program], port: int) -> None:
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
    """Type a code as the page does; return the cookie."""

    class Stay(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *_: object) -> None:
            """Go nowhere."""

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


def test_a_port_that_is_taken_is_one_sentence_and_the_session_goes_on(start: Callable[..., Program]) -> None:
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
        BoardServer(read_place("192.0.2.1:8000"), Glass(lambda: 0.0), lambda _: None)


def test_a_place_that_cannot_be_read_ends_it_before_anything_begins(start: Callable[..., Program]) -> None:
    program = start("--board", "nowhere:at:all")
    assert program.process.wait(60.0) == 2


def test_without_a_board_no_server_is_loaded_and_no_socket_is_opened(tmp_path: Path) -> None:
    (tmp_path / "profile.toml").write_text(PROFILE)
    code = (
        "import sys\n"
        "opened = []\n"
        "def note(name, details):\n"
        "    if name in ('socket.bind', 'socket.connect') and details[1] != ('::1', 0):  # urllib3 asks for IPv6 so\n"
        "        opened.append(details[1])\n"
        "sys.addaudithook(note)\n"
        "from kitchenvoice.cli_live import start_command\n"
        "start_command.main(['--typed'], standalone_mode=False)\n"
        "heavy = {'starlette', 'uvicorn', 'rich', 'anyio', 'asyncio', 'kitchenvoice.board.server'}\n"
        "print(sorted(heavy & set(sys.modules)), opened, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        input="how long is left\n", capture_output=True, text=True, check=True,
        env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path)},
    )  # fmt: skip
    assert "No load is going" in done.stdout
    assert done.stderr.strip() == "[] []"
