"""A log in memory, for tests and rehearsals: the guarantees of the one on disk, for the lifetime of the process."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook.projection.loads import Folding, scratched_seq, taking_of
from kitchenvoice.logbook.projection.shelf import ShelfLoad, allocate
from kitchenvoice.logbook.tables.rows import EventRow, event_of, row_of
from kitchenvoice.ports import Event, Moment

__all__ = ["MemoryLog"]


class MemoryLog:
    """An `EventLog` without a disk. Set `trouble` to make it refuse, as a full disk does; None to recover."""

    def __init__(self, events: Sequence[Event] = ()) -> None:
        self.trouble: LogbookError | None = None
        self.moments: list[Moment] = []
        self._rows: list[EventRow] = []
        self._closed = False
        if events:
            self.append(events, Moment(utc=events[-1].t, elapsed=0.0))

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        """Store events, all or none. Raises: LogbookError."""
        if self._closed:
            raise LogbookError("The logbook is closed. Start kitchenvoice again.")
        if self.trouble is not None:
            raise self.trouble
        for number, event in enumerate(events, self.last_seq + 1):
            if event.seq != number:
                raise LogbookError(f"Entry {event.seq} was to be recorded where entry {number} belongs. Start again.")
        self._rows += [row_of(event, moment) for event in events]
        self.moments += [moment] * len(events)

    def read(self) -> Iterator[Event]:
        """Yield all events, oldest first."""
        yield from [event_of(row) for row in self._rows]

    def close(self) -> None:
        """Refuse from now on. Safe to call twice."""
        self._closed = True

    @property
    def last_seq(self) -> int:
        """The number of the latest entry, 0 in an empty log."""
        return len(self._rows)

    @property
    def last_load(self) -> int:
        """The highest load id ever used, 0 if none was."""
        return max((row[3] or 0 for row in self._rows), default=0)

    @property
    def last_moment(self) -> Moment | None:
        """When the latest entry was written, by both clocks; `None` in an empty log."""
        return self.moments[-1] if self.moments else None

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars left, when it was packed in POSIX seconds) per load with jars left, oldest first."""
        return [
            (load.food, load.jar, load.shelved - load.taken, t)
            for load, t in self._loads()
            if load.shelved > load.taken and food in (None, load.food) and jar in (None, load.jar)
        ]

    def put_up(self, food: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars put on the shelf, when they were packed in POSIX seconds) per load, oldest first."""
        return [
            (load.food, load.jar, load.shelved, t)
            for load, t in self._loads()
            if load.shelved > 0 and food in (None, load.food)
        ]

    def _loads(self) -> list[tuple[ShelfLoad, float]]:
        events = list(self.read())
        gone = {scratched_seq(event) for event in events}
        folding = Folding()
        for event in events:
            if event.seq not in gone:
                folding.take(event)
        loads = [
            ShelfLoad(x.id, folding.starts[x.id].seq, folding.counted[x.id], x.food, x.jar, x.shelved)
            for x in folding.kitchen.loads
            if x.sealed is not None
        ]
        takings = [taking for taking in map(taking_of, events) if taking and taking.seq not in gone]
        for one in {load.food for load in loads}:
            allocate([load for load in loads if load.food == one], [each for each in takings if each.food == one])
        opened_t = {load.id: load.opened_t for load in folding.kitchen.loads}
        return [(load, opened_t[load.load]) for load in sorted(loads, key=lambda each: each.opened_seq)]
