"""Helpers of the logbook's tests: fill a log, read it back, work in a child process, crash."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.tables.files import NAME

from .crashing import spawn
from .days import Day, moment


def kept(home: Path, loads: int = 2) -> Day:
    """Fill a log and close it."""
    day = Day()
    for load in range(1, loads + 1):
        day.whole(load, failed=1)
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    return day


def stored(home: Path) -> list[int]:
    with Logbook(home) as book:
        return [entry.event.seq for entry in book.entries()]


def in_child(work: Callable[[], str]) -> str:
    """Do `work` in a child process; return its result or the error it raised."""

    def told(pipe: int) -> None:
        try:
            text = work()
        except LogbookError as error:
            text = f"{type(error).__name__}: {error}"
        except BaseException as error:
            text = f"unexpected {error!r}"
        os.write(pipe, text.encode())

    child, reading = spawn(told)
    with os.fdopen(reading, "rb") as pipe:
        text = pipe.read().decode()
    os.waitpid(child, 0)
    return text


def crash(home: Path, day: Day) -> None:
    """Add the start of a load and die; the index was in memory, and is lost."""

    def die() -> str:
        log = SqliteLog(home)
        more = Day(day.seq, day.t)
        more.start(2)
        log.append(more.events, moment(more.t))
        os._exit(9)

    in_child(die)
    (home / f"{NAME}-shm").unlink(missing_ok=True)  # of a reader before
