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

__all__ = ["HANGS_S", "described_devices", "in_thread", "leave_hanging_drivers", "quiet_drivers", "wait_for"]

HANGS_S = 5.0
_T = TypeVar("_T")


def in_thread(name: str, make: Callable[[], _T]) -> Future[_T]:
    """Do it in a thread that holds nobody; an error goes to the one who waits for the result."""
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


def leave_hanging_drivers(exit_code: int) -> None:
    """End the process with `exit_code` in 5 s even if a frozen sound driver holds it in its last call."""
    timer = threading.Timer(HANGS_S, os._exit, (exit_code,))
    timer.daemon = True
    timer.start()


@contextmanager
def quiet_drivers() -> Iterator[None]:
    """Keep the sound libraries' own lines off the terminal; the program's still go to standard error."""
    ours = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="replace")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    before, driver = sys.stderr, os.dup(2)
    os.dup2(nowhere, 2)
    os.close(nowhere)
    sys.stderr = ours
    logged = logging.StreamHandler(ours)
    logged.setFormatter(logging.Formatter(logging.BASIC_FORMAT))
    logging.getLogger().addHandler(logged)
    try:
        yield
    finally:
        with portaudio.one_at_a_time():  # a call that is still under way has its say before
            sys.stderr = before
            os.dup2(driver, 2)
            os.close(driver)
        logging.getLogger().removeHandler(logged)
        ours.close()


def described_devices() -> str:
    """Names of the default microphone and speaker, in one line."""
    devices = portaudio.describe_devices()
    ear = next((device.name for device in devices if device.default_input), "no microphone")
    mouth = next((device.name for device in devices if device.default_output), "no speaker")
    return f"microphone: {ear}; speaker: {mouth}"
