"""Facts about the day, as they are stored: one flat, frozen event each.

State is the fold of events. A report of the cook carries the name of its intent (`steam_steady`, `pressure_is`,
`seal_count`); what the clock brings carries `timer_due`; a taken-back report is a `scratched` event that names the
other's `seq`. `t` is seconds since 1970-01-01 UTC as the engine counts them: it never runs backwards in a session.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

__all__ = ["Event", "Value"]

Value = str | int | float | bool | None | tuple["Value", ...] | Mapping[str, "Value"]
_NOTHING: Mapping[str, Value] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One accepted fact.

    `seq` counts from 1 without a gap; `load` is the load's number, `None` for the kitchen as a whole; `data` holds the
    slots and other particulars (JSON values only); `heard` is the sentence it came from, `""` if the clock brought it.
    """

    seq: int
    t: float
    kind: str
    load: int | None = None
    data: Mapping[str, Value] = field(default_factory=lambda: _NOTHING)
    heard: str = ""
