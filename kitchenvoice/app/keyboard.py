"""Keyboard and signals as things in a session's inbox."""

from __future__ import annotations

import io
import signal
import sys
import threading
from collections.abc import Iterator

from kitchenvoice.app.push_to_talk import Key, PushToTalk
from kitchenvoice.app.session import Inbox, Pressed, Trouble, Typed

__all__ = ["MOST_BYTES", "end_when_told", "read_keyboard", "watch_key"]

MOST_BYTES = 500
"""Longest line taken: the longest command is about a hundred."""
_TOO_LONG = "too_long"


def end_when_told(inbox: Inbox) -> None:
    """Let control-C and a polite kill end the session between two things, never in the middle of one.

    While something runs control-C is wanted twice; whoever sends the other signal doesn't wait.
    """
    interrupts = 0

    def end(number: int, _frame: object) -> None:
        nonlocal interrupts
        interrupts += number == signal.SIGINT
        if number == signal.SIGTERM or interrupts > 1:
            signal.signal(number, signal.SIG_DFL)  # once more ends it at once
        inbox.put(Typed(None, final=number == signal.SIGTERM))

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, end)


def read_keyboard(inbox: Inbox, *, ends: bool = True) -> None:
    """Put each line of the keyboard into the inbox; its end too, if that should end the session.

    Bytes that are no UTF-8 become question marks; a line of over 500 bytes is told of instead of taken.
    """

    def read() -> None:
        try:
            keyboard = _keyboard()
            while _read_to_end(keyboard, inbox) and ends and keyboard.isatty():
                inbox.put(Typed(None))  # control-D: it may be said again
        except (OSError, ValueError):
            pass  # closed: the same as its end
        if ends:
            inbox.put(Typed(None, final=True))

    threading.Thread(target=read, name="keyboard", daemon=True).start()


def _read_to_end(keyboard: io.RawIOBase, inbox: Inbox) -> bool:
    for line in _lines(keyboard):
        if line is None:
            inbox.put(Trouble(_TOO_LONG))
        elif line:
            inbox.put(Typed(line))
    return True


def _keyboard() -> io.RawIOBase:
    """Standard input without a buffer, whose lock a waiting thread would hold at the program's end."""
    if sys.stdin is None:
        raise OSError("there is no standard input")
    return io.FileIO(sys.stdin.fileno(), closefd=False)


def _lines(keyboard: io.RawIOBase) -> Iterator[str | None]:
    """Yield line after line, `None` for one that is too long; never holds more than `MOST_BYTES` of one."""
    while part := keyboard.readline(MOST_BYTES):
        whole = part.endswith(b"\n") or len(part) < MOST_BYTES
        yield part.decode("utf-8", "replace").strip() if whole else None
        while not whole and (part := keyboard.readline(MOST_BYTES)):
            whole = part.endswith(b"\n")


def watch_key(key: Key | None, inbox: Inbox) -> PushToTalk | None:
    """Watch the keyboard: for lines alone, or for the key as well."""
    if key is None:
        read_keyboard(inbox, ends=False)
        return None
    watching = PushToTalk(
        key,
        pressed=lambda: inbox.put(Pressed()),
        typed=lambda line: inbox.put(Typed(line)),
        trouble=lambda key, path: inbox.put(Trouble(key, values={"path": str(path)})),
    )
    watching.start()
    return watching
