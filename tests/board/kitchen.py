"""Scripted days on a simulated clock, and a board that shows their state."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from functools import cache

from kitchenvoice.app.boards import Watch
from kitchenvoice.app.languages import book_for, in_language
from kitchenvoice.app.session import Answered
from kitchenvoice.board import BoardAddress, LatestSnapshot, Snapshot
from kitchenvoice.board.access import AccessControl
from kitchenvoice.board.server import BoardServer
from kitchenvoice.clock import SystemClock
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.rehearsal.scenario import seconds_of
from kitchenvoice.testing.simulated_kitchen import DAY_START_UTC, SimulatedKitchen

MORNING = DAY_START_UTC
IDLE = ("what is on the shelf",)
PACKING = (
    "start seven quarts of green beans raw pack in canner one", "yes", "clear", "done", "clear", "next", "next",
    "@ 00:08:00", "three jars packed",
)  # fmt: skip
VENTING = (*PACKING, "seven jars are in", "yes", "lid is locked", "@ 00:15:00", "steam is steady")
VENTED = (*VENTING, "@ 00:25:01")
HOLDING = (*VENTED, "weight is on", "@ 00:29:00", "pressure is eleven", "@ 00:31:01", "twelve")
LOST = (*HOLDING, "@ 00:34:00", "the pressure dropped to nine")
TWO_LOADS = (
    *HOLDING, "start nine pints of carrots hot pack in canner two", "yes", "clear", "done", "clear",
    "nine jars packed", "nine jars are in", "lid is locked", "@ 00:38:00", "steam is steady", "@ 00:44:00",
)  # fmt: skip
TWO_CALLS = (*TWO_LOADS, "@ 00:48:01", "set a timer for six minutes", "@ 00:54:10")
THREE_LOADS = (*TWO_LOADS, "start eight pints of peaches hot pack in boiling water", "yes")
FULL = (*TWO_LOADS, "set a timer for twenty minutes", "start eight pints of peaches hot pack in boiling water", "yes")
RESTING = (
    *HOLDING, "@ 00:54:01", "heat is off", "@ 01:40:00", "gauge is at zero", "@ 01:50:05", "lid is off",
    "seven jars are out", "@ 01:55:00",
)  # fmt: skip
RESTARTED = (*LOST, "@ 00:36:00", "pressure is eleven", "@ 00:38:10", "twelve", "@ 00:42:00", "pressure is thirteen")
ONE_CALL = (*HOLDING, "@ 00:54:01")
FIVE_LOADS = (
    *TWO_LOADS, "set a rice timer for twenty minutes",
    "start six pints of peaches hot pack in boiling water", "yes",
    "start seven pints of apple sauce hot pack in boiling water", "yes",
    "start five pints of pears hot pack in boiling water", "yes", "load three",
)  # fmt: skip
EIGHT_LOADS = (
    *FIVE_LOADS, "start four pints of sliced apples hot pack in boiling water", "yes",
    "start seven quarts of green beans raw pack in canner one", "yes",
    "start nine pints of carrots raw pack in canner two", "yes", "load four", "seven jars packed", "jars are in",
    "done", "heat is on", "it is boiling", "load one", "pressure is twelve",
)  # fmt: skip
EIGHT_CALLS = (*EIGHT_LOADS, "@ 00:48:01", "@ 00:54:10")
DOUBTED = (*TWO_LOADS, "load one", "heat is off")
COUNTED = (*RESTING, "@ 14:00:00", "six sealed one failed", "yes")


@cache
def book() -> GrammarBook:
    """The grammar, read once."""
    return GrammarBook.load()


class Day:
    """A session that is led through a day: "@ 00:15:00" lets it become that time, anything else is typed."""

    def __init__(self, *lines: str, language: str = "en") -> None:
        self.latest = LatestSnapshot(lambda: 0.0)
        profile = in_language(PRACTICE_KITCHEN, language)
        words = book() if language == "en" else book_for(profile)
        watch = Watch(self.latest)
        self.kitchen = SimulatedKitchen(words, profile, show=watch.follow(lambda *_: None), watch=watch.look)
        self.kitchen.begin()
        self.play(*lines)

    def play(self, *lines: str) -> Day:
        """Continue the day."""
        for line in lines:
            if line.startswith("@ "):
                self.kitchen.wait(seconds_of(line.removeprefix("@ ")) - self.kitchen.day_s)
            else:
                self.kitchen.type(line)
        return self

    def answered(self, key: str) -> None:
        """Answer a call by hand."""
        self.kitchen.put(Answered(key))

    @property
    def seen(self) -> Snapshot:
        """The present snapshot."""
        latest = self.latest.latest
        assert latest is not None
        return latest


class ServedDay:
    """A day on a board: a loop that stores a snapshot ten times a second, and the server.

    `change` may alter each snapshot; `frozen` stops the kitchen's time.
    """

    def __init__(
        self,
        *lines: str,
        make_access: Callable[[], AccessControl] | None = None,
        change: Callable[[Snapshot], Snapshot] = lambda seen: seen,
        frozen: bool = False,
    ) -> None:
        clock = SystemClock()
        self.day = Day(*lines)
        self._change = change
        self._pace = 0.0 if frozen else 1.0
        self.latest = LatestSnapshot(lambda: clock.now().elapsed)
        self.answered: list[str] = []
        self._begun = self.latest.now()
        self._ended = threading.Event()
        self._hung = threading.Event()
        self._lock = threading.Lock()
        self.server = BoardServer(BoardAddress("127.0.0.1", 0), self.latest, self._answer, make_access)
        self.url = self.server.url
        self._put()
        self._thread = threading.Thread(target=self._loop, daemon=True)
        self._thread.start()
        self.server.start()

    def play(self, *lines: str) -> None:
        """Continue the day; the board shows it within half a second."""
        with self._lock:
            self.day.play(*lines)
            self._begun = self.latest.now()

    def hang(self) -> None:
        """Stop the loop, as in a program that is stuck."""
        self._hung.set()

    def go_on(self) -> None:
        """Restart the loop."""
        self._hung.clear()

    def _answer(self, key: str) -> None:
        self.answered.append(key)
        with self._lock:
            self.day.answered(key)

    def _loop(self) -> None:
        while not self._ended.wait(0.1):
            if not self._hung.is_set():
                self._put()

    def _put(self) -> None:
        with self._lock:
            seen = self._change(self.day.seen)
            passed_s = self._pace * (self.latest.now() - self._begun)
            self.latest.put(replace(seen, t=seen.t + passed_s))

    def close(self) -> None:
        """End the day normally."""
        self.server.close()
        self._ended.set()
        self._thread.join()
