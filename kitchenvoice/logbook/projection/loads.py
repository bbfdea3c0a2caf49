"""Projection of the events load by load: the fold of the process engine, kept as rows for quick answers.

The log is the truth, never the rows. `Folding` uses the engine's own fold, so that the record and the voice can't
disagree; `kitchenvoice.logbook.projection.rows_beside` writes its rows in the transaction of the events.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from kitchenvoice.logbook.projection.notes import Notes
from kitchenvoice.ports import Event
from kitchenvoice.process import Crock, Kitchen, Load, Stage, apply
from kitchenvoice.process.doubts import doubted_of

__all__ = ["BY_COMMAND", "RULES", "Folding", "Taking", "scratched_seq", "taking_of"]

RULES = 6
"""Version of the fold, to be raised with every change: logs with rows of another version are rebuilt at opening."""

BY_COMMAND = "logbook"
"""Value of `by` in the data of entries made by a command instead of a session."""

_TAKING = ("opened", "discarded")


@dataclass(frozen=True, slots=True)
class Taking:
    """Jars that left the shelf: opened, or thrown out later."""

    seq: int
    food: str
    jar: str
    count: int


def taking_of(event: Event) -> Taking | None:
    """Return what an event takes from the shelf, `None` if nothing."""
    food, jar, count = event.data.get("food"), event.data.get("jar"), event.data.get("count", 1)
    if event.kind not in _TAKING or not isinstance(food, str) or isinstance(count, bool):
        return None
    if not isinstance(count, int | float) or not 0 < count < 1_000_000:
        return None
    return Taking(event.seq, food, jar if isinstance(jar, str) else "", int(count))


def scratched_seq(event: Event) -> int | None:
    """Return the earlier entry that an event takes back, `None` if it takes none back."""
    seq = event.data.get("seq")
    if event.kind != "scratched" or isinstance(seq, bool) or not isinstance(seq, int):
        return None
    return seq if 0 < seq < event.seq else None


def _crock_name(crock: Crock) -> str:
    """Return the name under which a crock is kept among the timers; none of theirs begins like it.

    The first had its food for a name before there were others.
    """
    return f"crock:{crock.food}" if crock.number == 1 else f"crock:{crock.food}:{crock.number}"


@dataclass
class Folding:
    """State of the fold: the open loads as the engine has them, and the entries at which they changed."""

    kitchen: Kitchen = field(default_factory=Kitchen)
    starts: dict[int, Event] = field(default_factory=dict)
    closed: dict[int, Event] = field(default_factory=dict)
    counted: dict[int, int] = field(default_factory=dict)
    notes: dict[int, Notes] = field(default_factory=dict)
    timers: dict[str, int] = field(default_factory=dict)

    def copy(self) -> Folding:
        """Return an independent copy."""
        loads = ({**self.starts}, {**self.closed}, {**self.counted}, {**self.notes})
        return Folding(self.kitchen, *loads, {**self.timers})

    def become(self, other: Folding) -> None:
        """Take over the other one's state."""
        self.kitchen, self.starts, self.closed = other.kitchen, other.starts, other.closed
        self.counted, self.notes, self.timers = other.counted, other.notes, other.timers

    def take(self, event: Event) -> None:
        """Apply one standing event; without a use for the engine it changes nothing."""
        before = self.kitchen
        try:
            after, _ = apply(before, event)
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
            return
        self.kitchen = after
        if (
            event.kind == "load_start"
            and event.load is not None
            and after.load(event.load) is not before.load(event.load)
        ):
            self.starts[event.load] = event
            self.closed.pop(event.load, None)
            self.counted.pop(event.load, None)
            self.notes.pop(event.load, None)
        load = after.load(event.load)
        if load is not None:
            self._note(load, event)
        self._note_timers(event)

    def _note(self, load: Load, event: Event) -> None:
        if load.stage is Stage.CLOSED:
            self.closed.setdefault(load.id, event)
        else:
            self.closed.pop(load.id, None)
        if load.sealed is not None:
            self.counted.setdefault(load.id, event.seq)
        known = self.notes.get(load.id, Notes())
        told = known.with_event(event)
        if told is not known:
            self.notes[load.id] = told

    def _note_timers(self, event: Event) -> None:
        """Keep the starting entry of each kitchen timer while it runs or its call waits, and of each crock."""
        if event.kind == "timer_start" and self.kitchen.timers:
            self.timers = {self.kitchen.timers[-1].name: event.seq, **self.timers}
        if event.kind == "crock_start" and self.kitchen.crocks:
            self.timers = {_crock_name(self.kitchen.crocks[-1]): event.seq, **self.timers}
        if self.timers:
            wanted = {timer.name for timer in self.kitchen.timers}
            wanted |= {call.key.partition(":")[2] for call in self.kitchen.calls if call.load is None}
            wanted |= set(map(_crock_name, self.kitchen.crocks))
            self.timers = {name: seq for name, seq in self.timers.items() if name in wanted}

    def drop(self, loads: Iterable[int]) -> None:
        """Forget loads that are closed and stored."""
        gone = set(loads)
        if gone:
            self.kitchen = replace(self.kitchen, loads=tuple(x for x in self.kitchen.loads if x.id not in gone))
            for load in gone:
                self.starts.pop(load, None)
                self.closed.pop(load, None)
                self.counted.pop(load, None)
                self.notes.pop(load, None)

    def row(self, load: Load) -> tuple[Any, ...]:
        """Return the row of a load, in the order of `schema.LOAD_COLUMNS`."""
        start, closed, process = self.starts[load.id], self.closed.get(load.id), load.process
        notes = self.notes.get(load.id, Notes())
        return (
            load.id,
            load.number,
            start.seq,
            closed.seq if closed else None,
            self.counted.get(load.id),
            load.opened_t,
            closed.t if closed else None,
            load.processed_t,
            str(load.stage),
            load.food,
            load.food_name,
            load.pack,
            load.jar,
            load.canner,
            load.canner_name,
            process.method,
            process.minutes,
            process.psi,
            process.gauge,
            process.altitude_ft,
            load.planned,
            load.jars,
            load.broken,
            load.out,
            load.sealed,
            load.failed,
            load.low_liquid,
            load.restarts,
            json.dumps(dict(sorted(load.outcomes.items()))),
            notes.lids,
            json.dumps(process.source),
            notes.used,
            " ".join(doubted_of(load)),
            load.shelved,
        )
