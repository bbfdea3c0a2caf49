"""Parts of a load: its stage, tested process, timers, tries at the hold, doubts, remarks and faults. Frozen.

Times are seconds (POSIX, as the engine counts them), durations seconds, pressures psi as read on the cook's own gauge.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from kitchenvoice.ports import Value

__all__ = [
    "OTHER_NUMBERS",
    "Doubt",
    "Fault",
    "Hold",
    "Process",
    "Remark",
    "Stage",
    "Timer",
    "is_named_timer",
    "unnamed_timer",
]

OTHER_NUMBERS = frozenset({"numbers", "settings"})
"""Faults of a load on numbers that aren't its own."""

_NOTHING: Mapping[str, Value] = MappingProxyType({})


class Stage(StrEnum):
    """Where a load is. `idle`, `plan`, `gear` and `start` belong to the kitchen before a load exists."""

    IDLE = "idle"
    PLAN = "plan"
    GEAR = "gear"
    START = "start"
    PACK = "pack"
    CANNER = "canner"
    VENT = "vent"
    COME_UP = "come_up"
    HOLD = "hold"
    COOL = "cool"
    REST = "rest"
    COUNT = "count"
    KEEP = "keep"
    CLOSED = "closed"


BEFORE_HOLD = frozenset({Stage.PACK, Stage.CANNER, Stage.VENT, Stage.COME_UP})
"""Stages of a load whose time hasn't begun."""
ON_HEAT = frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL})
"""Stages of a load that is in its canner."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Process:
    """The tested process of one load, as the look-up answered it when the load was started.

    `psi` is the tested gauge pressure, `None` for boiling water; `target_psi` is the reading wanted on the cook's own
    dial (the same but for the dial's measured error). `minutes` is the tested hold. `acid_in` is the place of its acid:
    every `jar`, the `recipe`, or the `ferment` as its maker. `water` is the food's special wish of the canner, "" if
    none, `heat_vent_minutes` the least time of heating and venting together there; with `no_bubbles` none are let out
    of its jars. `source` names the tables.
    """

    method: str
    minutes: float
    psi: float | None = None
    target_psi: float | None = None
    gauge: str | None = None
    altitude_ft: int = 0
    headspace: str = ""
    salt_tsp: float | None = None
    acid: str = ""
    acid_in: str = "jar"
    water: str = ""
    heat_vent_minutes: float = 0.0
    no_bubbles: bool = False
    cautions: tuple[str, ...] = ()
    source: tuple[str, ...] = ()

    @property
    def is_pressure(self) -> bool:
        """True for a pressure canner, False for boiling water and for steam without pressure."""
        return self.method == "pressure"

    @property
    def is_steam(self) -> bool:
        """True for an atmospheric steam canner: a boiling-water process without pressure, watched by its steam."""
        return self.method == "atmospheric-steam"

    @property
    def watched(self) -> str:
        """By what its time is watched: `dial`, `weighted`, `bath` or `steam`."""
        if self.is_pressure:
            return self.gauge or "weighted"
        return "steam" if self.is_steam else "bath"

    @property
    def is_dial(self) -> bool:
        """True where a dial gauge tells the pressure."""
        return self.is_pressure and self.gauge == "dial"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timer:
    """A running timer. `marks` are the calls already made; it was started by a report, never by itself.

    `unsure` tells that time went by that nobody could count: what is left is that or less.
    """

    name: str
    started_t: float
    seconds: float
    marks: tuple[str, ...] = ()
    unsure: bool = False

    @property
    def due_t(self) -> float:
        """When it ends."""
        return self.started_t + self.seconds

    def left_s(self, t: float) -> float:
        """Seconds left at `t`; negative once overdue."""
        return self.due_t - t


_UNNAMED = re.compile(r"timer \d+")


def unnamed_timer(seq: int) -> str:
    """Return the key of a nameless kitchen timer, by the number of its starting event."""
    return f"timer {seq}"


def is_named_timer(name: str) -> bool:
    """True if the cook gave a kitchen timer this name."""
    return bool(name) and not _UNNAMED.fullmatch(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One try at the hold: it ran to its end (`done`), was lost (`lost_t`, `why`), or is running.

    `unanswered` counts the times it was asked whether pressure, weight or boil held, and nobody said.
    """

    started_t: float
    lost_t: float | None = None
    why: str = ""
    lowest_psi: float | None = None
    done: bool = False
    unanswered: int = 0

    @property
    def running(self) -> bool:
        """True while it counts."""
        return self.lost_t is None and not self.done


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Something that may contradict the claim of a vent or hold, until it is settled.

    `id` is the number of the event that raised it, the same on every load that it may touch. `kind` is the report that
    it may be, or `gap`, `unheard`, `low_number`, `late`. `since_t` is when the silence about it began. `data` is what
    was said with it.
    """

    id: int
    kind: str
    t: float
    since_t: float
    data: Mapping[str, Value] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A standing doubt about a load: told at the end, at the count, on label and shelf.

    `by` is the answer that settled it.
    """

    kind: str
    t: float
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """What no gauge shows, and the cook told of a load: `kind` is one of `FAULT_KINDS`, `jars` how many have it.

    `jars` is `None` where it is all of them, or nobody said how many.
    """

    kind: str
    t: float
    jars: int | None = None
