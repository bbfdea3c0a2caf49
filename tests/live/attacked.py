"""Attacks on a running program meanwhile: a crowd at its board, harm to its files, rubbish from its keyboard."""

from __future__ import annotations

import os
import random
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

from kitchenvoice.logbook.tables.files import NAME

from .kitchen import ROOT, Program

sys.path.insert(0, str(ROOT / "scripts"))
from bench.attacks import let_in

__all__ = ["PORT", "Siege"]

PORT = 8498
HARM_EACH_S = 20.0
RUBBISH_EACH_S = 1.0
LOCKED_S = 3.0


class Siege:
    """Everything at once, until it is lifted; counts what was done."""

    def __init__(self, program: Program, seconds: float) -> None:
        self._program = program
        self.harms: list[str] = []
        self.lines = 0
        self.connections = 0
        self._over = threading.Event()
        cookie = let_in(PORT, str(program.wait_line(event="board_code")["text"]))
        self._crowd = subprocess.Popen(
            ["nice", "-n", "19", sys.executable, "-m", "bench.attacks", "all", str(PORT), "--addresses", "200",
             "--cookie", cookie, "--seconds", str(seconds)],
            stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": str(ROOT / "scripts")},
        )  # fmt: skip
        works = ((self._harm, HARM_EACH_S), (self._rubbish, RUBBISH_EACH_S))
        self._threads = [threading.Thread(target=self._ever, args=work, daemon=True) for work in works]
        for each in self._threads:
            each.start()

    def _ever(self, work: Callable[[], None], pause_s: float) -> None:
        while not self._over.wait(pause_s):
            with suppress(OSError, sqlite3.Error, ValueError):
                work()

    def _harm(self) -> None:
        harm = HARMS[len(self.harms) % len(HARMS)]
        self.harms.append(str(harm.__name__))
        harm(self._program.home)

    def _rubbish(self) -> None:
        keyboard = self._program.process.stdin
        assert keyboard is not None
        number, aloud = divmod(self.lines, ANSWERED_EACH)
        line = RUBBISH[aloud % len(RUBBISH)] if aloud else ANSWERED[number % len(ANSWERED)]
        self.lines += 1
        keyboard.buffer.write(line + b"\n")
        keyboard.buffer.flush()

    def lift(self) -> None:
        """End it."""
        self._over.set()
        for each in self._threads:
            each.join(2 * LOCKED_S)
        self._crowd.terminate()
        self.connections = int(self._crowd.communicate()[0] or 0)


def remove(home: Path) -> None:
    """As a tidy-up program does."""
    for path in home.glob(f"{NAME}*"):
        path.unlink()


def cut(home: Path) -> None:
    """As a disk that lost its end does."""
    os.truncate(home / NAME, (home / NAME).stat().st_size // 2)


def cut_everything(home: Path) -> None:
    """The shared index too, which a program may have mapped into memory."""
    for path in home.glob(f"{NAME}*"):
        os.truncate(path, 0)


def replace(home: Path) -> None:
    """By what is no record."""
    (home / "other").write_bytes(random.randbytes(100_000))
    (home / "other").replace(home / NAME)


def spoil(home: Path) -> None:
    """In its place, at its size."""
    with (home / NAME).open("r+b") as file:
        file.write(random.randbytes((home / NAME).stat().st_size))


def lock(home: Path) -> None:
    """As a program that looks into it, and forgets it."""
    with closing(sqlite3.connect(home / NAME, isolation_level=None)) as database:
        database.execute("BEGIN EXCLUSIVE")
        threading.Event().wait(LOCKED_S)


def put_pipes(home: Path) -> None:
    """Where the signs of life and the boards' cookies are kept."""
    for name in ("alive.json", "boards.json"):
        (home / name).unlink(missing_ok=True)
        os.mkfifo(home / name)


HARMS = (remove, cut, put_pipes, spoil, lock, replace, cut_everything)
RUBBISH = (b"seven " * 2_000, b"\x00\xff\x1b[2J" * 100, b"", b" " * 400)
"""Lines that are too long, are no text, or say nothing: none is answered aloud, which would hold back the cook."""
ANSWERED = (b"one hundred and " * 30, b"\x00\xff\x1b[2J" * 20, b"start stop start stop where what when how")
"""Lines that are answered, each time by a sentence."""
ANSWERED_EACH = 40
