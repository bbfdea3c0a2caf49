"""Push to talk: press a key or a pedal, then speak; the next utterance needs no wake phrase.

Most pedals are keyboards to the computer, so one that types a space works like the key. One that has to work whatever
window is in front is read from its own device (Linux). A terminal tells of no key's release: press, let go, speak.
"""

from __future__ import annotations

import contextlib
import os
import select
import stat
import struct
import sys
import termios
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kitchenvoice.clock import SystemClock
from kitchenvoice.errors import BadInput

__all__ = ["KEYS", "MOST_BYTES", "Key", "PushToTalk", "read_key"]

MOST_BYTES = 500
"""Longest line taken: the longest command is about a hundred."""

KEYS = {"space": " ", "enter": "\n", "tab": "\t", "page-down": "\x1b[6~", "page-up": "\x1b[5~"}
"""What a terminal sends for each key that can be chosen."""
SAME_PRESS_S = 0.6
"""A key that is held down comes again and again, at first after 0.25 to 0.5 s: all that is one press."""
LOOK_S = 0.2
RETRY_S = 1.0
EVENT = struct.Struct("@llHHi")
"""One event of a Linux input device: seconds, microseconds, type, code, value (linux/input.h)."""
EVENTS = 64
"""Events read at once: as many as Linux keeps for a program that doesn't read."""
PACE_S = 0.02
"""Rest between two reads of pedal or terminal, whatever they send."""
_LONGEST_SEQUENCE = 16
EV_KEY, DOWN = 1, 1
PEDAL_GONE, PEDAL_BACK = "pedal_gone", "pedal_back"


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the terminal by its name, or a device of its own, with the code of one of its keys (`None`: any)."""

    name: str = ""
    device: Path | None = None
    code: int | None = None


def read_key(text: str) -> Key:
    """Return what `text` names: `space`, `enter`, `tab`, `page-down`, `page-up`, or a pedal: `/dev/input/event3`.

    `/dev/input/event3:57` takes one key of it only, by its code. Raises: BadInput for anything else.
    """
    if text in KEYS:
        return Key(text)
    path, _, code = text.partition(":")
    if path.startswith("/") and (not code or code.isdecimal()):
        return Key(device=Path(path), code=int(code) if code else None)
    raise BadInput(
        f"There is no key called {text}. Take {', '.join(KEYS)}, or a pedal's path such as /dev/input/event3."
    )


class LineEditor:
    """Line editor for typed input: yields key presses between lines, and lines; `None` for an overlong one."""

    def __init__(self, key: Key, pressed: Callable[[], None], typed: Callable[[str | None], None]) -> None:
        self._key = KEYS.get(key.name)
        self._pressed = pressed
        self._typed = typed
        self._text = ""
        self._sequence = ""

    def take(self, letters: str) -> str:
        """Take the terminal's input; return its echo."""
        return "".join(self._one(letter) for letter in letters)

    def _one(self, letter: str) -> str:
        if self._sequence or letter == "\x1b":
            return self._escape(letter)
        letter = "\n" if letter == "\r" else letter
        if letter == self._key and not self._text:
            self._pressed()
            return ""
        if letter == "\n":
            text, self._text = self._text, ""
            if len(text) > MOST_BYTES:
                self._typed(None)
            elif text.strip():
                self._typed(text.strip())
            return "\n"
        if len(self._text) > MOST_BYTES:
            return ""
        if letter in "\x7f\b":
            shown = "\b \b" if self._text else ""
            self._text = self._text[:-1]
            return shown
        self._text += letter if letter.isprintable() else ""
        return letter if letter.isprintable() else ""

    def _escape(self, letter: str) -> str:
        """Collect one of the terminal's sequences: escape, a bracket, figures, and a letter or ~ as its end."""
        self._sequence += letter
        if len(self._sequence) > 2 and (letter.isalpha() or letter == "~"):
            found, self._sequence = self._sequence, ""
            if found == self._key:
                self._pressed()
        elif len(self._sequence) == _LONGEST_SEQUENCE or (len(self._sequence) == 2 and letter not in "[O"):
            self._sequence = ""
        return ""


class PushToTalk:
    """Watch one key. `pressed()` and `typed(line)` are called from a thread of its own."""

    def __init__(
        self,
        key: Key,
        pressed: Callable[[], None],
        typed: Callable[[str | None], None],
        trouble: Callable[[str, Path], None],
        *,
        terminal: int | None = None,
        now: Callable[[], float] = lambda: SystemClock().now().elapsed,
    ) -> None:
        """Watch `key`; what is typed beside it goes to `typed`. `terminal` is a file number (standard input)."""
        self._key = key
        self._tell = pressed
        self._typed = typed
        self._trouble = trouble
        self._terminal = terminal
        self._now = now
        self._last_t = float("-inf")
        self._closed = threading.Event()
        self._before: list[Any] | None = None
        self._threads: list[threading.Thread] = []

    def start(self) -> None:
        """Begin to watch."""
        if self._terminal is None:
            self._terminal = sys.stdin.fileno()
        if os.isatty(self._terminal):
            self._before = termios.tcgetattr(self._terminal)
            letters = termios.tcgetattr(self._terminal)
            letters[3] &= ~(termios.ICANON | termios.ECHO)  # letter by letter; control-C goes on to end the session
            letters[6][termios.VMIN], letters[6][termios.VTIME] = 1, 0
            termios.tcsetattr(self._terminal, termios.TCSANOW, letters)
        self._run("keyboard", self._watch_terminal)
        if (device := self._key.device) is not None:
            self._run("pedal", lambda: self._watch_pedal(device))

    def _run(self, name: str, work: Callable[[], None]) -> None:
        thread = threading.Thread(target=work, name=name, daemon=True)
        self._threads.append(thread)
        thread.start()

    def close(self) -> None:
        """Stop, and give the terminal back as it was. Safe to call twice."""
        self._closed.set()
        for thread in self._threads:
            thread.join(2 * LOOK_S)
        if self._before is not None and self._terminal is not None:
            with contextlib.suppress(termios.error):
                termios.tcsetattr(self._terminal, termios.TCSADRAIN, self._before)
            self._before = None

    def _pressed(self) -> None:
        t = self._now()
        again, self._last_t = t - self._last_t < SAME_PRESS_S, t
        if not again:
            self._tell()

    def _watch_terminal(self) -> None:
        assert self._terminal is not None
        line = LineEditor(self._key, self._pressed, self._typed)
        while not self._closed.is_set():
            try:
                if not select.select([self._terminal], [], [], LOOK_S)[0]:
                    continue
                letters = os.read(self._terminal, 256)
            except (OSError, ValueError):
                return
            if not letters:
                return
            shown = line.take(letters.decode("utf-8", "replace"))
            if self._before is not None and shown:
                os.write(self._terminal, shown.encode())
            self._closed.wait(PACE_S)

    def _watch_pedal(self, path: Path) -> None:
        told = False
        while not self._closed.is_set():
            with contextlib.suppress(OSError):  # gone, or not to be read: told of below
                for presses in _pedal(path, self._closed.wait):
                    if told:
                        self._trouble(PEDAL_BACK, path)
                    told = False
                    for code in presses:
                        if self._key.code in (None, code):
                            self._pressed()
                    if self._closed.is_set():
                        return
            if not told and not self._closed.is_set():
                told = True
                self._trouble(PEDAL_GONE, path)
            self._closed.wait(RETRY_S)


def _pedal(path: Path, rest: Callable[[float], object]) -> Iterator[list[int]]:
    """Yield which keys were pressed, five times a second and more, until the device ends.

    Raises: OSError if it is unplugged, or no pedal at all: a file, or a device that has always more to read.
    """
    device = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY | os.O_CLOEXEC)
    try:
        if stat.S_ISREG(os.fstat(device).st_mode):
            return
        full = 0
        while full < 2:
            read = b""
            if select.select([device], [], [], LOOK_S)[0]:
                read = os.read(device, EVENTS * EVENT.size)
                if len(read) < EVENT.size:
                    return
            full = full + 1 if len(read) == EVENTS * EVENT.size else 0
            events = EVENT.iter_unpack(read[: len(read) // EVENT.size * EVENT.size])
            if not full:
                yield [code for _, _, kind, code, value in events if (kind, value) == (EV_KEY, DOWN)]
            rest(PACE_S)
    finally:
        os.close(device)
