"""The QR code of the board's address, read back by an independent reader."""

from __future__ import annotations

import queue
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from kitchenvoice.app.boards import Boards
from kitchenvoice.board import BoardAddress
from kitchenvoice.board.qr_code import qr_code
from kitchenvoice.terminal import Screen

_PIXELS = 6
_LIGHT = {"█": (True, True), "▀": (True, False), "▄": (False, True), " ": (False, False)}
"""The light halves of a character, upper and lower."""


def photograph(shown: str, file: Path) -> None:
    """Draw what a terminal shows of the code as a picture."""
    lines = [re.sub(r"\x1b\[[\d;]*m", "", line) for line in shown.splitlines()]
    picture = Image.new("1", (len(lines[0]), 2 * len(lines)))
    for row, line in enumerate(lines):
        for column, sign in enumerate(line):
            for half, light in enumerate(_LIGHT[sign]):
                picture.putpixel((column, 2 * row + half), int(light))
    picture.resize((picture.width * _PIXELS, picture.height * _PIXELS)).save(file)


@pytest.mark.parametrize(
    "url", ["http://192.168.1.20:8420/", "http://[fd12:3456:789a:1::1]:8420/", "http://kitchen:80/"]
)
def test_a_reader_gets_the_address(url: str, tmp_path: Path):
    program = shutil.which("zbarimg")
    assert program is not None, "There is no zbarimg. Run scripts/setup, or as root: apt-get install zbar-tools"
    photograph(qr_code(url), tmp_path / "code.png")
    read = subprocess.run(
        [program, "-q", "--raw", str(tmp_path / "code.png")], capture_output=True, text=True, check=True
    )
    assert read.stdout.strip() == url


def test_the_code_is_dark_on_light_on_any_terminal():
    for line in qr_code("http://a/").splitlines():
        assert line.startswith(("\x1b[97;40m█", "\x1b[97;40m▀"))
        assert line.endswith("\x1b[0m")


@pytest.mark.parametrize(("host", "shown"), [("0.0.0.0", True), ("127.0.0.1", False)])
def test_it_is_shown_where_a_tablet_can_reach_the_board(
    host: str, shown: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    screen = Screen(False)
    boards = Boards(BoardAddress(host, 0), terminal=False, screen=screen)
    boards.open(queue.SimpleQueue(), tmp_path)
    boards.close()
    screen.close()
    out = capsys.readouterr().out
    assert "Board: http://" in out
    assert ("▄▄▄▄▄" in out) is shown
