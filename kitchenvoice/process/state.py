"""Present state of the kitchen: loads, timers, calls, crocks. Frozen; made only by folding events.

Units as in `load_parts`.
"""

from __future__ import annotations

from dataclasses import dataclass

from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Doubt, Stage, Timer

__all__ = ["CROCK_CARE", "DAY_S", "Call", "Crock", "Kitchen"]

CROCK_CARE = ("checked", "skimmed", "topped_up")
"""What is done to a crock between its start and its end."""
DAY_S = 86_400.0
_IN_CANNER = (Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """An urgent call, open until somebody answers it or acts on it.

    `unsure` tells that time went by that nobody could count: it has waited since then or longer.
    """

    key: str
    load: int | None
    since_t: float
    reminders: int = 0
    unsure: bool = False

    @property
    def name(self) -> str:
        """Reason of the call: `vent_done`, `hold_done`, `hold_lost` ..."""
        return self.key.split(":")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crock:
    """A food that ferments: since when, and when it was last spoken of. A number tells it from others of its food.

    `unsure` tells that time went by that nobody could count: it is as old as that, or older. `care` is what the cook
    did last (one of `CROCK_CARE`, or nothing), at `care_t`.
    """

    food: str
    started_t: float
    told_t: float
    number: int = 1
    unsure: bool = False
    care: str = ""
    care_t: float = 0.0

    def days(self, t: float) -> int:
        """Whole days since its start."""
        return max(0, int((t - self.started_t) // DAY_S))


@dataclass(frozen=True, kw_only=True)
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
    def claiming(self) -> tuple[Load, ...]:
        """Open loads of which a vent or hold counts."""
        return tuple(load for load in self.open_loads if load.claims)

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
        """Return the load in, or on its way into, that canner."""
        return next((x for x in self.open_loads if x.canner == canner and x.stage in _IN_CANNER), None)

    def in_the_way_of(self, load: Load) -> Load | None:
        """Return the load that is in the canner this one is meant for.

        Number 0 is a vessel without a name: one pressure canner, and any number of pots for boiling water.
        """
        others = (x for x in self.open_loads if x.id != load.id and x.canner == load.canner and x.stage in _IN_CANNER)
        if load.canner == 0:
            others = (x for x in others if load.process.is_pressure and x.process.is_pressure)
        return next(others, None)
