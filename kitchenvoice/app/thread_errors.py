"""Errors at the end of a thread, told to the session: a dead part mustn't seem alive."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from kitchenvoice.app.session import Inbox, Trouble

__all__ = ["thread_errors_said"]


@contextmanager
def thread_errors_said(inbox: Inbox) -> Iterator[None]:
    """Have the first error that ends a thread said; each goes on to whoever logs it."""
    before, said = threading.excepthook, threading.Event()

    def tell(ended: threading.ExceptHookArgs) -> None:
        before(ended)
        if not issubclass(ended.exc_type, SystemExit) and not said.is_set():
            said.set()
            inbox.put(Trouble("part_stopped", spoken=True))

    threading.excepthook = tell
    try:
        yield
    finally:
        threading.excepthook = before
