"""Season statistics: jars by food and month, seal rates with confidence intervals, restarted holds."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from math import sqrt

from kitchenvoice.logbook.report.measured_yield import Made, yields_of
from kitchenvoice.logbook.report.records import LoadRecord

__all__ = ["LEAST_COUNTED", "Rate", "Season", "season_of", "wilson"]

LEAST_COUNTED = 30
"""Jars from which on a rate is given with its interval: one of fewer says more than the eye can tell from it.
Common practice, no source."""

_Z = 1.959963984540054
"""The 97.5 % point of the normal distribution: intervals of 95 %."""


def wilson(successes: int, trials: int) -> tuple[float, float]:
    """Return Wilson's 95 % interval of a rate; 0 to 1 for no trials.

    Source, from memory: E. B. Wilson, Probable inference, J. Am. Stat. Assoc. 22 (1927), 209.
    """
    if trials <= 0:
        return 0.0, 1.0
    share, z2 = successes / trials, _Z * _Z
    middle = share + z2 / (2 * trials)
    spread = _Z * sqrt(share * (1 - share) / trials + z2 / (4 * trials * trials))
    whole = 1 + z2 / trials
    low = 0.0 if successes <= 0 else (middle - spread) / whole
    high = 1.0 if successes >= trials else (middle + spread) / whole
    return max(0.0, low), min(1.0, high)


@dataclass(frozen=True, slots=True)
class Rate:
    """A seal rate: jars sealed out of jars counted."""

    name: str
    sealed: int
    counted: int

    @property
    def share(self) -> float:
        """The rate, 0 for none counted."""
        return self.sealed / self.counted if self.counted else 0.0

    @property
    def interval(self) -> tuple[float, float] | None:
        """95 % confidence interval of the rate; None of fewer than `LEAST_COUNTED` jars."""
        return wilson(self.sealed, self.counted) if self.counted >= LEAST_COUNTED else None


@dataclass
class Season:
    """Totals of one year's loads. Months are 1..12 in local time."""

    year: int
    records: list[LoadRecord] = field(default_factory=list)
    uncounted: int = 0
    broken: int = 0
    restarts: int = 0
    with_restart: int = 0
    jars: dict[str, Counter[int]] = field(default_factory=lambda: defaultdict(Counter))
    by_food: list[Rate] = field(default_factory=list)
    by_lids: list[Rate] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    made: list[Made] = field(default_factory=list)

    @property
    def loads(self) -> int:
        """Number of loads."""
        return len(self.records)

    @property
    def sealed(self) -> Rate:
        """The whole season's seal rate."""
        return Rate("all", sum(x.sealed for x in self.by_food), sum(x.counted for x in self.by_food))


def season_of(loads: Iterable[LoadRecord], year: int) -> Season:
    """Add up the loads that were started in `year` (local time)."""
    season = Season(year)
    mine = season.records
    for load in loads:
        started = datetime.fromtimestamp(load.opened_t).astimezone()
        if started.year != year:
            continue
        mine.append(load)
        season.broken += load.broken
        season.restarts += load.restarts
        season.with_restart += load.restarts > 0
        season.outcomes.update(load.outcomes)
        if load.sealed is None:
            season.uncounted += 1
        else:
            season.jars[load.food_name][started.month] += load.shelved
    season.by_food = _rates(mine, lambda load: load.food_name)
    season.by_lids = _rates(mine, lambda load: f"box {load.lids}" if load.lids.isdigit() else load.lids)
    season.made = yields_of(mine)
    return season


def _rates(loads: Iterable[LoadRecord], name: Callable[[LoadRecord], str]) -> list[Rate]:
    sealed, counted = Counter[str](), Counter[str]()
    for load in loads:
        if load.sealed is not None and name(load):
            sealed[name(load)] += load.sealed
            counted[name(load)] += load.sealed + (load.failed or 0)
    return [Rate(each, sealed[each], counted[each]) for each in sorted(counted)]
