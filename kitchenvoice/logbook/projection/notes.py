"""Notes on a load beside its process: the box of its lids, and the amount of food in it.

These events change nothing in the kitchen, so the engine doesn't know them. The latest one counts. Any may follow the
close of the load: an amount is often weighed afterwards.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace

from kitchenvoice.ports import Event, Value

__all__ = ["NOTED", "Notes", "note_closed"]

NOTED = frozenset({"lid_box", "used"})
"""Kinds of these events: `lid_box` with its `box`, `used` with an `amount` and a `unit`."""

_LONGEST = 60


@dataclass(frozen=True, slots=True)
class Notes:
    """The notes of one load: `lids` names the box, `used` is an amount such as "14 pounds"; `""` if unknown."""

    lids: str = ""
    used: str = ""

    def with_event(self, event: Event) -> Notes:
        """Return the notes after `event`. An unusable one changes nothing."""
        data = event.data
        if event.kind in ("load_start", "lid_box"):
            box = _name(data.get("lids" if event.kind == "load_start" else "box"))
            return replace(self, lids=box) if box else self
        amount, unit = data.get("amount"), data.get("unit")
        if event.kind != "used" or isinstance(amount, bool) or not isinstance(amount, int | float):
            return self
        if not isinstance(unit, str) or not unit.isalpha() or not 0 < amount < 100_000:
            return self
        return replace(self, used=f"{amount:g} {unit[:_LONGEST]}")


def _name(value: Value) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return ""
    return (f"{value:g}" if isinstance(value, float) else str(value).strip())[:_LONGEST]


def note_closed(database: sqlite3.Connection, event: Event) -> None:
    """Update the row of a load that is closed and no longer in the fold."""
    row = database.execute("SELECT lids, used FROM loads WHERE load = ?", (event.load,)).fetchone()
    if row is not None:
        notes = Notes(*row).with_event(event)
        database.execute("UPDATE loads SET lids = ?, used = ? WHERE load = ?", (notes.lids, notes.used, event.load))
