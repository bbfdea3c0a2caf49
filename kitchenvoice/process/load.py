"""One canner load, from its start to its place on the shelf. Frozen; made only by folding events.

Units as in `load_parts`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from kitchenvoice.process.changing import replace
from kitchenvoice.process.load_parts import OTHER_NUMBERS, Doubt, Fault, Hold, Process, Remark, Stage, Timer

__all__ = ["Load"]

_NONE: Mapping[str, int] = MappingProxyType({})


@dataclass(frozen=True, kw_only=True)
class Load:
    """One canner load from its start to its place on the shelf.

    `broke_packing` is how many jars broke while it was packed: if none was counted aloud, the cook is asked
    how many are in.
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

    def timed_out(self, t: float) -> bool:
        """True if the time of a hold is over whose end waits for an answer: what the stove does is moot."""
        timer = self.timer("hold")
        return self.holding and timer is not None and timer.left_s(t) <= 0

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
    def gauge_stuck(self) -> bool:
        """True if its gauge was told to be stuck, whatever became of its hold: its zero tells nothing."""
        held = any(remark.kind == "gauge_stuck" for remark in self.remarks)
        return held or self.fault("gauge") is not None or self.doubted("gauge_stuck") is not None

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
        """True if no jar that sealed, or may have, was processed as tested."""
        return self.unfit > 0 and self.unfit == self.standing - (self.failed or 0)

    @property
    def shelved(self) -> int:
        """Sealed jars for the shelf, without those gone, fit or not."""
        gone = max(self.unfit, self.decided - (self.failed or 0))
        return max(0, (self.sealed or 0) - gone)

    @property
    def decided(self) -> int:
        """Number of jars of which it was decided what becomes."""
        return sum(self.outcomes.values())

    @property
    def undecided(self) -> int:
        """Failed or unfit jars without a decision; none before the count."""
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
