"""Sound drivers kept from writing over the terminal and from holding the program at its end."""

from __future__ import annotations

import logging
import os
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from contextlib import contextmanager
from typing import Any, TypeVar

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import KitchenVoiceError

__all__ = [
    "HANGS_S",
    "in_thread",
    "leave_hanging_drivers",
    "log_unasked",
    "quiet_drivers",
    "wait_for",
]

HANGS_S = 5.0
_T = TypeVar("_T")

_log = logging.getLogger(__name__)


def in_thread(name: str, make: Callable[[], _T]) -> Future[_T]:
    """Do it in a thread of its own; an error goes to the waiting caller."""
    coming: Future[_T] = Future()

    def work() -> None:
        try:
            coming.set_result(make())
        except BaseException as exc:
            coming.set_exception(exc)

    threading.Thread(target=work, name=name, daemon=True).start()
    return coming


def wait_for(*coming: Future[Any]) -> None:
    """Wait for the end of each, good or bad, for 5 s at most: a driver may hang in one for ever."""
    wait(coming, HANGS_S)


def log_unasked(*coming: Future[Any]) -> None:
    """Log the errors that nobody asked for, because another one is on its way already."""
    for each in coming:
        error = each.exception() if each.done() else None
        if isinstance(error, KitchenVoiceError) and error is not sys.exception():
            _log.warning("%s", error)
        elif error is not None and error is not sys.exception():
            _log.error("this went wrong as well", exc_info=error)


def leave_hanging_drivers(exit_code: int) -> None:
    """End the process in 5 s even if a frozen sound driver holds it in its last call.

    It ends with the code of the error under way, else with `exit_code`.
    """
    timer = threading.Timer(HANGS_S, os._exit, (_code_of(sys.exception(), exit_code),))
    timer.daemon = True
    timer.start()


def _code_of(error: BaseException | None, otherwise: int) -> int:
    if error is None or isinstance(error, GeneratorExit):
        return otherwise
    if isinstance(error, KitchenVoiceError):
        return error.exit_code
    return error.code if isinstance(error, SystemExit) and isinstance(error.code, int) else 1


@contextmanager
def quiet_drivers() -> Iterator[None]:
    """Keep the sound libraries' own lines off the terminal; the program's still go to standard error."""
    ours = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="replace")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    before, driver = sys.stderr, os.dup(2)
    os.dup2(nowhere, 2)
    os.close(nowhere)
    sys.stderr = ours
    try:
        yield
    finally:
        with portaudio.one_at_a_time():  # a call that is still under way has its say before
            sys.stderr = before
            os.dup2(driver, 2)
            os.close(driver)
        ours.close()
