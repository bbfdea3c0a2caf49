"""Keyboard and signals as things in a session's inbox."""

from __future__ import annotations

import io
import signal
import sys
import threading
import time
from collections.abc import Iterator

from kitchenvoice.app.push_to_talk import MOST_BYTES, Key, PushToTalk
from kitchenvoice.app.session import Inbox, Pressed, Trouble, Typed

__all__ = ["end_when_told", "read_keyboard", "watch_key"]

MOST_WAITING = 3
"""Lines read ahead of the session: a signal comes soon after them, and a flood stays where it is, in the pipe."""
_REST_S = 0.005
_TOO_LONG, _NO_WORDS = "too_long", "no_words"


def end_when_told(inbox: Inbox) -> None:
    """Let control-C, a polite kill and the end of the terminal end the session between two things, never in one.

    While something runs control-C, or control-\\, is wanted twice; whoever sends another signal doesn't wait. Where the
    session was started to outlive its terminal (nohup), that end is still passed over. Nothing at the terminal stops it
    for a while: a child at control-Z would silence every call, and one in the background goes on without a keyboard.
    """
    interrupts = 0

    def end(number: int, _frame: object) -> None:
        nonlocal interrupts
        by_key = number in (signal.SIGINT, signal.SIGQUIT)
        interrupts += by_key
        if not by_key or interrupts > 1:
            again = signal.SIG_IGN if number == signal.SIGHUP else signal.SIG_DFL  # a shell passes a terminal's end on
            signal.signal(number, again)  # anything else said once more ends it at once
        inbox.put(Typed(None, final=not by_key))

    for number in (signal.SIGTSTP, signal.SIGTTIN, signal.SIGTTOU):
        signal.signal(number, signal.SIG_IGN)
    for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGTERM, signal.SIGHUP):
        if number != signal.SIGHUP or signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, end)


def read_keyboard(inbox: Inbox, *, ends: bool = True) -> None:
    """Put each line of the keyboard into the inbox; its end too, if that should end the session.

    Bytes that are no UTF-8 become question marks; a line of over 500 bytes is told of instead of taken. What comes
    faster than it is dealt with isn't read yet.
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
        if line != "":
            _put(line, inbox)
    return True


def _put(line: str | None, inbox: Inbox) -> None:
    """Put a line once there is room, or what is wrong with it: `None` is too long, one without a letter no text."""
    while inbox.qsize() >= MOST_WAITING:
        time.sleep(_REST_S)
    if line is None or not any(map(str.isalnum, line)):
        inbox.put(Trouble(_TOO_LONG if line is None else _NO_WORDS))
    else:
        inbox.put(Typed(line))


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
            time.sleep(_REST_S)


def watch_key(key: Key | None, inbox: Inbox) -> PushToTalk | None:
    """Watch the keyboard: for lines alone, or for the key as well."""
    if key is None:
        read_keyboard(inbox, ends=False)
        return None
    watching = PushToTalk(
        key,
        pressed=lambda: inbox.put(Pressed()),
        typed=lambda line: _put(line, inbox),
        trouble=lambda key, path: inbox.put(Trouble(key, values={"path": str(path)})),
    )
    watching.start()
    return watching
