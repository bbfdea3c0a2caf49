"""When each load will be out of the canner: an estimate, from published figures and the cook's own for the rest."""

from __future__ import annotations

from dataclasses import dataclass

from .answer import Answer, tidy
from .rules import Figure, rules

__all__ = ["MOST_CANNERS", "DayPhase", "DayPlan", "LoadWindow", "StageWindow", "day_plan"]

_ESTIMATE = "An estimate for planning."
_FROM_STEAM = (
    " Minutes count from steady steam, or from the full boil, in each canner. Packing and heating up have no published"
    " figure; they are counted only where you say how long they take you."
)
_OWN = " Packing and heating up are the minutes you gave."
OWN_FIGURE = "your own figure"
_HANDS_ON = "pack"
MOST_CANNERS = 4
_COOLING = (
    " Cooling is the printed figure for old heavy canners; a newer one is ready when its lock drops. In the kitchen the"
    " gauge at zero decides, not this plan."
)


@dataclass(frozen=True)
class DayPhase:
    """Hold one stretch of a load, in minutes."""

    name: str
    low: float
    high: float
    source: tuple[str, ...]


@dataclass(frozen=True)
class StageWindow:
    """Hold when one stage of a load runs: it starts and ends within these minutes."""

    name: str
    starts_low: float
    starts_high: float
    ends_low: float
    ends_high: float


@dataclass(frozen=True)
class LoadWindow:
    """Hold when a load runs, in minutes after the first stage of its canner's first load began."""

    load: int
    canner: int
    starts_low: float
    starts_high: float
    ends_low: float
    ends_high: float
    stages: tuple[StageWindow, ...] = ()


@dataclass(frozen=True)
class DayPlan:
    """Hold the stages of one load and the window of every load."""

    stages: tuple[DayPhase, ...]
    windows: tuple[LoadWindow, ...]
    note: str
    source: tuple[str, ...]


def day_plan(
    answer: Answer,
    loads: int,
    canners: int = 1,
    *,
    pack_minutes: tuple[float, float] | None = None,
    heat_minutes: tuple[float, float] | None = None,
) -> DayPlan | None:
    """Return the windows of up to 100 loads on up to four canners, or None without an answer to go by.

    `pack_minutes` and `heat_minutes` are what packing and heating up take this cook, at least and at most: nothing is
    published for them. A load is packed when its canner is free and so is the cook, who packs one load at a time.
    """
    if answer.status != "ok" or answer.minutes is None or not 1 <= loads <= 100 or not 1 <= canners <= MOST_CANNERS:
        return None
    given = ((_HANDS_ON, pack_minutes), ("heat up", heat_minutes))
    own = tuple(DayPhase(name, tidy(span[0]), tidy(span[1]), (OWN_FIGURE,)) for name, span in given if span is not None)
    stages = (*own, *(_pressure(answer) if answer.method == "pressure" else _boiling(answer)))
    windows = _one_cook(stages, loads, canners)
    source = tuple(dict.fromkeys(s for stage in stages for s in stage.source))
    note = (
        _ESTIMATE
        + (_OWN if len(own) == len(given) else _FROM_STEAM)
        + (_COOLING if answer.method == "pressure" else "")
    )
    return DayPlan(stages, tuple(windows), note, source)


def _one_cook(stages: tuple[DayPhase, ...], loads: int, canners: int) -> list[LoadWindow]:
    """Lay the loads out, the canners by turns; what is first and what is last possible are reckoned apart."""
    cook, free, windows = (0.0, 0.0), dict.fromkeys(range(canners), (0.0, 0.0)), []
    for number in range(loads):
        canner = number % canners
        low, high = free[canner]
        if stages[0].name == _HANDS_ON:
            low, high = max(low, cook[0]), max(high, cook[1])
        inside = _inside(stages, low, high)
        starts, ends = inside[0], inside[-1]
        cook, free[canner] = (starts.ends_low, starts.ends_high), (ends.ends_low, ends.ends_high)
        edges = (starts.starts_low, starts.starts_high, *free[canner])
        windows.append(LoadWindow(number + 1, canner + 1, *edges, inside))
    return windows


def _inside(stages: tuple[DayPhase, ...], low: float, high: float) -> tuple[StageWindow, ...]:
    """Lay the stages of a load one after the other from its start, which is within these minutes."""
    windows = []
    for stage in stages:
        ends = (low + stage.low, high + stage.high)
        windows.append(StageWindow(stage.name, tidy(low), tidy(high), tidy(ends[0]), tidy(ends[1])))
        low, high = ends
    return tuple(windows)


def _pressure(answer: Answer) -> tuple[DayPhase, ...]:
    book = rules()
    cool = book.old_canner_cool_minutes
    minutes = cool.value["pint" if answer.jar in ("pint", "half-pint") else "quart"]
    low, high = book.come_up_minutes.value
    return (
        _stage("vent", book.vent_minutes),
        DayPhase("come up", low, high, book.come_up_minutes.source),
        _hold(answer),
        DayPhase("cool", tidy(minutes), tidy(minutes), cool.source),
        _stage("wait before the lid", book.wait_before_lid_minutes),
    )


def _boiling(answer: Answer) -> tuple[DayPhase, ...]:
    if answer.method == "atmospheric-steam":
        return (_hold(answer),)
    return (_hold(answer), _stage("rest", rules().boiling_water_rest_minutes))


def _hold(answer: Answer) -> DayPhase:
    times = {minutes for minutes, _ in answer.pairs}
    return DayPhase("hold", min(times), max(times), answer.source)


def _stage(name: str, figure: Figure[float]) -> DayPhase:
    return DayPhase(name, tidy(figure.value), tidy(figure.value), figure.source)
