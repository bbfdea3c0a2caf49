"""When each load will be out of the canner: an estimate for planning, from published figures only."""

from __future__ import annotations

from dataclasses import dataclass

from .answer import Answer, tidy
from .rules import Figure, rules

__all__ = ["DayPlan", "LoadWindow", "Stage", "day_plan"]

_ESTIMATE = (
    "An estimate for planning. Minutes count from steady steam, or from the full boil, in each canner. Heating up and"
    " loading have no published figure and are not counted."
)
_COOLING = (
    " Cooling is the printed figure for old heavy canners; a newer one is ready when its lock drops. In the kitchen the"
    " gauge at zero decides, not this plan."
)


@dataclass(frozen=True)
class Stage:
    """Hold one stretch of a load, in minutes."""

    name: str
    low: float
    high: float
    source: tuple[str, ...]


@dataclass(frozen=True)
class LoadWindow:
    """Hold when a load runs, in minutes after the first steady steam or boil of its canner."""

    load: int
    canner: int
    starts_low: float
    starts_high: float
    ends_low: float
    ends_high: float


@dataclass(frozen=True)
class DayPlan:
    """Hold the stages of one load and the window of every load."""

    stages: tuple[Stage, ...]
    windows: tuple[LoadWindow, ...]
    note: str
    source: tuple[str, ...]


def day_plan(answer: Answer, loads: int, canners: int = 1) -> DayPlan | None:
    """Return the windows of up to 100 loads on one or two canners, or None without an answer to go by."""
    if answer.status != "ok" or answer.minutes is None or not 1 <= loads <= 100 or canners not in (1, 2):
        return None
    stages = _pressure(answer) if answer.method == "pressure" else _boiling(answer)
    low, high = sum(s.low for s in stages), sum(s.high for s in stages)
    windows = []
    for number in range(loads):
        before = number // canners
        spans = (before * low, before * high, (before + 1) * low, (before + 1) * high)
        windows.append(LoadWindow(number + 1, number % canners + 1, *(tidy(x) for x in spans)))
    source = tuple(dict.fromkeys(s for stage in stages for s in stage.source))
    note = _ESTIMATE + (_COOLING if answer.method == "pressure" else "")
    return DayPlan(stages, tuple(windows), note, source)


def _pressure(answer: Answer) -> tuple[Stage, ...]:
    book = rules()
    cool = book.old_canner_cool_minutes
    minutes = cool.value["pint" if answer.jar in ("pint", "half-pint") else "quart"]
    low, high = book.come_up_minutes.value
    return (
        _stage("vent", book.vent_minutes),
        Stage("come up", low, high, book.come_up_minutes.source),
        _hold(answer),
        Stage("cool", tidy(minutes), tidy(minutes), cool.source),
        _stage("wait before the lid", book.wait_before_lid_minutes),
    )


def _boiling(answer: Answer) -> tuple[Stage, ...]:
    if answer.method == "atmospheric-steam":
        return (_hold(answer),)
    return (_hold(answer), _stage("rest", rules().boiling_water_rest_minutes))


def _hold(answer: Answer) -> Stage:
    times = {option.minutes for option in answer.options} or {answer.minutes or 0}
    return Stage("hold", min(times), max(times), answer.source)


def _stage(name: str, figure: Figure[float]) -> Stage:
    return Stage(name, tidy(figure.value), tidy(figure.value), figure.source)
