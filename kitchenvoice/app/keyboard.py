"""Keyboard and signals as things in a session's inbox."""

from __future__ import annotations

import signal
import sys
import threading

from kitchenvoice.app.push_to_talk import Key, PushToTalk
from kitchenvoice.app.session import Inbox, Pressed, Trouble, Typed

__all__ = ["end_when_told", "read_keyboard", "watch_key"]


def end_when_told(inbox: Inbox) -> None:
    """Let control-C and a polite kill end the session between two things, never in the middle of one."""

    def end(number: int, _frame: object) -> None:
        signal.signal(number, signal.SIG_DFL)  # a second time ends it at once
        inbox.put(Typed(None))

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, end)


def read_keyboard(inbox: Inbox, *, ends: bool = True) -> None:
    """Put each line of the keyboard into the inbox; its end too, if that should end the session."""

    def read() -> None:
        try:
            for line in sys.stdin:
                if line.strip():
                    inbox.put(Typed(line.strip()))
        except (OSError, ValueError):
            pass  # closed, or not text: the same as its end
        if ends:
            inbox.put(Typed(None))

    threading.Thread(target=read, name="keyboard", daemon=True).start()


def watch_key(key: Key | None, inbox: Inbox) -> PushToTalk | None:
    """Watch the keyboard: for lines alone, or for the key as well."""
    if key is None:
        read_keyboard(inbox, ends=False)
        return None
    watching = PushToTalk(
        key,
        pressed=lambda: inbox.put(Pressed()),
        typed=lambda line: inbox.put(Typed(line)),
        trouble=lambda text: inbox.put(Trouble(text)),
    )
    watching.start()
    return watching
