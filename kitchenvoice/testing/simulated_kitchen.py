"""A kitchen on a simulated clock: the real session, without real waiting, and with power cuts."""

from __future__ import annotations

import math
import queue
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from kitchenvoice.app.languages import book_for
from kitchenvoice.app.observer import Observer
from kitchenvoice.app.session import Ear, Item, Look, Mouthpiece, Session, Show, SilentMouth, Typed
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.greeting import SHORT_GAP_S
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Profile, canner_names, load_profile, write_profile
from kitchenvoice.ports import EventLog, Moment, Utterance
from kitchenvoice.testing.fake_log import MemoryLog

__all__ = ["DAY_START_UTC", "KitchenLog", "SimulatedInbox", "SimulatedKitchen"]

DAY_START_UTC = 1_786_521_600.0
"""12 August 2026, 08:00 UTC: a Wednesday in the season. Any day would do."""
_INSTANT_S = 1e-6
"""Closer than this, two times are the same: the sum of many waits is never quite what it should be."""


class KitchenLog(EventLog, Protocol):
    """A record for a new session: with all used numbers, those of loads left out by `read` too."""

    @property
    def last_seq(self) -> int:
        """The number of the latest entry, 0 in an empty log."""

    @property
    def last_load(self) -> int:
        """The highest load id ever used, 0 if none was."""

    @property
    def last_moment(self) -> Moment | None:
        """When the latest entry was written, by both clocks; `None` in an empty log."""

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars left, POSIX seconds of packing), oldest first."""

    def put_up(self, food: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars put on the shelf, POSIX seconds of packing), oldest first."""


class SimulatedInbox:
    """An inbox in which waiting moves the clock, as far as `until` (elapsed seconds) and no further.

    `meanwhile` does what others have to do by now, and returns the seconds until they have to do something again.
    `asleep_s` is how long the machine sleeps at the end of the next wait.
    """

    def __init__(self, clock: SimulatedClock, meanwhile: Callable[[], float] = lambda: math.inf) -> None:
        self._clock = clock
        self._meanwhile = meanwhile
        self._items: deque[Item] = deque()
        self.until = 0.0
        self.asleep_s = 0.0

    def put(self, item: Item, /) -> None:
        """Add something."""
        self._items.append(item)

    def get(self, block: bool = True, timeout: float | None = None) -> Item:  # noqa: ARG002
        """Return the next thing; without one, move the clock. Raises: queue.Empty."""
        end = min(self.until, self._clock.now().elapsed + (math.inf if timeout is None else timeout))
        while True:
            pause_s = self._meanwhile()
            if self._items:
                return self._items.popleft()
            left_s = end - self._clock.now().elapsed
            if left_s < _INSTANT_S:
                self._clock.advance(self.asleep_s)
                self.asleep_s = 0.0
                raise queue.Empty
            self._clock.advance(min(left_s, max(pause_s, _INSTANT_S)))

    def qsize(self) -> int:
        """Return the number of items that wait."""
        return len(self._items)


class SimulatedKitchen:
    """One kitchen with its clock, its record and, from `begin` on, its session.

    With a `home`, which `cut` needs, its profile and its sign of life are files there, as in a real kitchen.
    """

    def __init__(
        self,
        book: GrammarBook,
        profile: Profile,
        log: KitchenLog | None = None,
        *,
        home: Path | None = None,
        mouth: Mouthpiece | None = None,
        ear: Ear | None = None,
        show: Show | None = None,
        watch: Look | None = None,
        observer: Observer | None = None,
    ) -> None:
        self.clock = SimulatedClock(DAY_START_UTC)
        self.log: KitchenLog = MemoryLog() if log is None else log
        self._book = book
        self._profile = profile
        self.home = home
        self._mouth: Mouthpiece = mouth or SilentMouth()
        self._ear = ear
        self._show = show
        self._watch = watch
        self._observer = observer
        self._cuts = 0
        if home is not None:
            write_profile(home, profile)

    def begin(self, *, under_way: bool = False) -> None:
        """Begin a session over the record; one `under_way` has said its hello already."""
        profile = self._profile if self.home is None else load_profile(self.home)
        known = canner_names(profile) == canner_names(self._profile)
        book = self._book if known else book_for(profile)
        self.conversation = Conversation(
            book,
            profile,
            tuple(self.log.read()),
            last_seq=self.log.last_seq,
            last_load=self.log.last_load,
            pantry=self.log,
        )
        self.inbox = SimulatedInbox(self.clock, self.meanwhile)
        self.session = Session(
            self.conversation,
            self.log,
            self.clock,
            self.mouthpiece(),
            ear=self._ear,
            home=self.home,
            last=self.log.last_moment,
            show=self._show,
            watch=self._watch,
            inbox=self.inbox,
            longest_wait_s=math.inf,
            observer=self._observer,
        )
        self.session.step() if under_way else self.session.begin()

    def mouthpiece(self) -> Mouthpiece:
        """Return the mouth of a session that begins."""
        return self._mouth

    def meanwhile(self) -> float:
        """Run the due work of the other parts; return the seconds until their next."""
        return math.inf

    @property
    def day_s(self) -> float:
        """Seconds since the day began, those without power counted."""
        return self.clock.now().utc - DAY_START_UTC

    def put(self, *items: Item) -> None:
        """Let the session deal with each of these now."""
        for item in items:
            self.inbox.put(item)
            self.session.step()

    def type(self, *lines: str) -> None:
        """Type lines."""
        self.put(*map(Typed, lines))

    def hear(self, *texts: str) -> None:
        """Say lines, each understood word by word."""
        self.put(*(Utterance((text,)) for text in texts))

    def wait(self, seconds: float) -> None:
        """Let time pass, with nothing said."""
        self.inbox.until = self.clock.now().elapsed + seconds
        while self.clock.now().elapsed < self.inbox.until - _INSTANT_S:
            self.session.step()

    def sleep(self, seconds: float) -> None:
        """Let the machine sleep, in a wait as short as those of a real kitchen."""
        self.session.longest_wait_s, self.inbox.asleep_s = 0.0, seconds
        self.session.step()
        self.session.longest_wait_s = math.inf

    def cut(self, off_s: float) -> None:
        """Let the power fail for so long, and restart from the disk alone.

        What is shorter than a machine takes to start is a cut of the program alone.
        """
        self._cuts += 1
        if off_s < SHORT_GAP_S:
            self.clock.advance(off_s)
        else:
            self.clock.reboot(f"after cut {self._cuts}", off_s)
        self.begin()
