"""What is true in the kitchen right now: loads, timers, calls. Frozen; made only by folding events.

Times are seconds (POSIX, as the engine counts them), durations seconds, pressures psi as read on the cook's own gauge.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType

from kitchenvoice.ports import Value

__all__ = [
    "DAY_S",
    "OTHER_NUMBERS",
    "Call",
    "Crock",
    "Doubt",
    "Fault",
    "Hold",
    "Kitchen",
    "Load",
    "Process",
    "Remark",
    "Stage",
    "Timer",
    "is_named_timer",
    "unnamed_timer",
]

DAY_S = 86_400.0
OTHER_NUMBERS = frozenset({"numbers", "settings"})
"""Faults by which a load runs by numbers that aren't its own."""

_NONE: Mapping[str, int] = MappingProxyType({})
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Process:
    """The tested process of one load, as the look-up answered it when the load was started.

    `psi` is the tested gauge pressure, `None` for boiling water; `target_psi` is what her own dial must show (the same
    unless the dial's measured error is corrected). `minutes` is the tested hold. `acid_in` is where its acid goes: into
    every `jar`, into the `recipe`, or a `ferment` makes it. `water` is what the food wants of the canner that others
    don't, "" if nothing, `heat_vent_minutes` the least time of heating and venting together there;
    with `no_bubbles` none are let out of its jars. `source` names the tables.
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
    """Return the name by which a kitchen timer without one is kept, by the event that started it."""
    return f"timer {seq}"


def is_named_timer(name: str) -> bool:
    """Tell whether the cook gave a kitchen timer this name."""
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
    """What was doubted of a load and stands: it is told at the end, at the count, on label and shelf.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One canner load from its start to its place on the shelf.

    `broke_packing` is how many jars broke while it was packed: if none was counted aloud, she is asked how many are in.
    `adjusted` is what a later count of the jars, confirmed by the cook, added to the jars loaded (or took off).
    `asked_t` is when it was last asked whether the hold holds, `asks` how often since the last report of it, `same`
    how many reports in a row said the same. `recheck_t` is when to ask at once, because a report didn't fit. `doubts`
    are open, `kept` are those that are asked about at the end of vent or hold, or before the load is closed, `remarks`
    were settled as held. `faults` were told and aren't mended. `cooling_t` is when the heat was reported off,
    `given_up_t` when a load was given up whose canner may be under pressure. `waiting_t` is when the present step
    began or was last reminded of, `reminded` how often it was.
    """

    id: int
    number: int
    food: str
    food_name: str
    pack: str
    jar: str
    planned: int
    canner: int
    canner_name: str
    process: Process
    opened_t: float
    stage: Stage = Stage.PACK
    step: str = ""
    checked: tuple[str, ...] = ()
    packed: int = 0
    broke_packing: int = 0
    loaded: int | None = None
    broken: int = 0
    adjusted: int = 0
    out: int | None = None
    sealed: int | None = None
    failed: int | None = None
    low_liquid: int = 0
    outcomes: Mapping[str, int] = field(default_factory=lambda: _NONE)
    timers: tuple[Timer, ...] = ()
    holds: tuple[Hold, ...] = ()
    lit_t: float | None = None
    vented_s: float = 0.0
    weight_on: bool = False
    heat_off: bool = False
    lid_off: bool = False
    at_zero: bool = False
    last_psi: float | None = None
    last_psi_t: float | None = None
    processed_t: float | None = None
    cooling_t: float | None = None
    given_up_t: float | None = None
    tally: tuple[int, int] = (0, 0)
    asked_t: float | None = None
    asks: int = 0
    same: int = 0
    recheck_t: float | None = None
    doubts: tuple[Doubt, ...] = ()
    remarks: tuple[Remark, ...] = ()
    kept: tuple[Doubt, ...] = ()
    faults: tuple[Fault, ...] = ()
    waiting_t: float = 0.0
    reminded: int = 0

    def timer(self, name: str) -> Timer | None:
        """Return the running timer of that name, if any."""
        return next((timer for timer in self.timers if timer.name == name), None)

    def with_timer(self, timer: Timer) -> Load:
        """Return the load with this timer set, in place of one of the same name."""
        return replace(self, timers=(*(x for x in self.timers if x.name != timer.name), timer))

    def without_timer(self, *names: str) -> Load:
        """Return the load without these timers."""
        return replace(self, timers=tuple(x for x in self.timers if x.name not in names))

    @property
    def jars(self) -> int:
        """Jars that the load has: loaded if reported, else packed, else planned; corrected by a later count."""
        loaded = self.loaded if self.loaded is not None else self.packed or self.planned
        return loaded + self.adjusted

    @property
    def standing(self) -> int:
        """Jars loaded and not broken."""
        return max(0, self.jars - self.broken)

    @property
    def hold(self) -> Hold | None:
        """The latest try at the hold."""
        return self.holds[-1] if self.holds else None

    @property
    def holding(self) -> bool:
        """True while a hold is counting."""
        return self.hold is not None and self.hold.running

    @property
    def heard_t(self) -> float | None:
        """When it was last reported that the hold holds; its start is such a report."""
        if self.hold is None:
            return None
        return max(self.hold.started_t, self.last_psi_t or 0.0)

    @property
    def restarts(self) -> int:
        """How often the hold was lost."""
        return sum(1 for hold in self.holds if hold.lost_t is not None)

    def fault(self, kind: str) -> Fault | None:
        """Return the fault of that kind, if it was told."""
        return next((fault for fault in self.faults if fault.kind == kind), None)

    @property
    def by_other_numbers(self) -> bool:
        """True while it runs by numbers that aren't its own."""
        return any(fault.kind in OTHER_NUMBERS for fault in self.faults)

    @property
    def unfit(self) -> int:
        """Jars that sealed or may have, and weren't processed as tested: they aren't for the shelf."""
        if self.processed_t is None or not self.faults:
            return 0
        sound = self.standing - (self.failed or 0)
        if any(fault.jars is None for fault in self.faults):
            return sound
        return min(sound, sum(fault.jars or 0 for fault in self.faults))

    @property
    def spoiled(self) -> int:
        """Jars told to be spoiled that aren't thrown out yet."""
        fault = self.fault("spoiled")
        jars = 0 if fault is None else self.standing if fault.jars is None else fault.jars
        return max(0, jars - self.outcomes.get("discard", 0))

    @property
    def all_unfit(self) -> bool:
        """Tell whether no jar that sealed, or may have, was processed as tested."""
        return self.unfit > 0 and self.unfit == self.standing - (self.failed or 0)

    @property
    def shelved(self) -> int:
        """Sealed jars that are for the shelf. One that is gone isn't, even if it was fit after all."""
        gone = max(self.unfit, self.decided - (self.failed or 0))
        return max(0, (self.sealed or 0) - gone)

    @property
    def decided(self) -> int:
        """Jars of which it was said what becomes of them."""
        return sum(self.outcomes.values())

    @property
    def undecided(self) -> int:
        """Jars that failed, or are unfit, whose outcome hasn't been said; none before the count."""
        if self.failed is None:
            return 0
        return max(0, self.failed + self.unfit - self.decided)

    @property
    def doubt(self) -> bool:
        """True while something that may contradict its vent or hold isn't settled."""
        return bool(self.doubts)

    def doubted(self, kind: str) -> Doubt | None:
        """Return the open doubt of that kind, if any."""
        return next((doubt for doubt in self.doubts if doubt.kind == kind), None)

    @property
    def may_go_back(self) -> bool:
        """True while a hold that is done can still be lost: the lid hasn't been off since, and nobody gave it up."""
        return self.processed_t is not None and not self.lid_off and self.given_up_t is None

    @property
    def stands(self) -> bool:
        """True while a hold that is done is claimed of its jars: it can be contradicted until the load is closed."""
        return self.processed_t is not None and self.given_up_t is None

    @property
    def over_t(self) -> float | None:
        """When its heat had to go off: the hold was done, or it was given up."""
        return self.processed_t if self.given_up_t is None else self.given_up_t

    @property
    def claims(self) -> bool:
        """True while a hold counts, or a vent that counts or is over waits for the weight."""
        return self.holding or (self.stage is Stage.VENT and (self.timer("vent") is not None or self.vented_s > 0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """An urgent call that waits for somebody to answer it or do what it asks.

    `unsure` tells that time went by that nobody could count: it has waited since then or longer.
    """

    key: str
    load: int | None
    since_t: float
    reminders: int = 0
    unsure: bool = False

    @property
    def name(self) -> str:
        """What it calls for: `vent_done`, `hold_done`, `hold_lost` ..."""
        return self.key.split(":")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crock:
    """A food that ferments: since when, and when it was last spoken of. A number tells it from others of its food.

    `unsure` tells that time went by that nobody could count: it is as old as that, or older.
    """

    food: str
    started_t: float
    told_t: float
    number: int = 1
    unsure: bool = False

    def days(self, t: float) -> int:
        """Whole days since its start."""
        return max(0, int((t - self.started_t) // DAY_S))


@dataclass(frozen=True, slots=True, kw_only=True)
class Kitchen:
    """Everything that the events so far amount to."""

    t: float = 0.0
    seq: int = 0
    loads: tuple[Load, ...] = ()
    timers: tuple[Timer, ...] = ()
    calls: tuple[Call, ...] = ()
    crocks: tuple[Crock, ...] = ()
    focus: int | None = None
    last_load: int = 0

    def crock(self, food: str | None, number: int = 1) -> Crock | None:
        """Return the crock of that food with that number, if there is one."""
        return next((crock for crock in self.crocks if (crock.food, crock.number) == (food, number)), None)

    def load(self, load_id: int | None) -> Load | None:
        """Return the load with that number, if it is open or closed in this history."""
        return next((load for load in self.loads if load.id == load_id), None)

    @property
    def open_loads(self) -> tuple[Load, ...]:
        """Loads that are not closed, oldest first."""
        return tuple(load for load in self.loads if load.stage is not Stage.CLOSED)

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Every open doubt once, oldest first."""
        return tuple(sorted({x.id: x for load in self.open_loads for x in load.doubts}.values(), key=lambda x: x.id))

    def in_doubt(self, doubt: int) -> tuple[Load, ...]:
        """Return the loads that the doubt may still touch."""
        return tuple(load for load in self.open_loads if any(each.id == doubt for each in load.doubts))

    def with_load(self, load: Load) -> Kitchen:
        """Return the kitchen with this load in place of the one with its number, or added."""
        if self.load(load.id) is None:
            return replace(self, loads=(*self.loads, load))
        return replace(self, loads=tuple(load if x.id == load.id else x for x in self.loads))

    def busy(self, canner: int) -> Load | None:
        """Return the load that is in, or on its way into, that canner."""
        inside = (Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)
        return next((x for x in self.open_loads if x.canner == canner and x.stage in inside), None)

    def in_the_way_of(self, load: Load) -> Load | None:
        """Return the load that is in the canner this one is meant for.

        Number 0 is a vessel without a name: one pressure canner, and any number of pots for boiling water.
        """
        inside = (Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)
        others = (x for x in self.open_loads if x.id != load.id and x.canner == load.canner and x.stage in inside)
        if load.canner == 0:
            others = (x for x in others if load.process.is_pressure and x.process.is_pressure)
        return next(others, None)
