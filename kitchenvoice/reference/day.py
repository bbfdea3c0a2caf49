"""When each load will be out of the canner: an estimate, from published figures and the cook's own for the rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .answer import Answer, tidy
from .rules import Figure, rules

__all__ = ["MOST_CANNERS", "DayPhase", "DayPlan", "LoadWindow", "StageWindow", "day_plan"]

OWN_FIGURE = "your own figure"
NO_SOURCE = "common practice, no source"
MOST_CANNERS = 4
_PACK_MINUTES = (30.0, 45.0)
_OTHER_HEAT_MINUTES = (15.0, 30.0)
_COOLING = (
    " Old heavy canners take about 30 minutes to cool with pints and 45 with quarts; a newer one is ready when its lock"
    " drops. In the kitchen the gauge at zero decides, not this plan."
)


@dataclass(frozen=True)
class DayPhase:
    """One stretch of a load, in minutes."""

    name: str
    low: float
    high: float
    source: tuple[str, ...]


@dataclass(frozen=True)
class StageWindow:
    """When one stage of a load runs: it starts and ends within these minutes."""

    name: str
    starts_low: float
    starts_high: float
    ends_low: float
    ends_high: float


@dataclass(frozen=True)
class LoadWindow:
    """When a load runs, in minutes after the first stage of its canner's first load began."""

    load: int
    canner: int
    starts_low: float
    starts_high: float
    ends_low: float
    ends_high: float
    stages: tuple[StageWindow, ...] = ()


@dataclass(frozen=True)
class DayPlan:
    """The stages of one load and the window of every load."""

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

    `pack_minutes` and `heat_minutes` are what packing a load and heating it up take this cook, at least and at most;
    else heating up is as printed, and packing 30 to 45 minutes (common practice, no source), as is heating up where
    none is printed. A load is packed when its canner is free and so is the cook, who packs one load at a time.
    """
    if answer.status != "ok" or answer.minutes is None or not 1 <= loads <= 100 or not 1 <= canners <= MOST_CANNERS:
        return None
    pack = DayPhase("pack", *(pack_minutes or _PACK_MINUTES), (OWN_FIGURE if pack_minutes else NO_SOURCE,))
    heat = DayPhase("heat up", *heat_minutes, (OWN_FIGURE,)) if heat_minutes else _heat(answer)
    stages = (pack, heat, *(_pressure(answer) if answer.method == "pressure" else _boiling(answer)))
    stages = tuple(replace(stage, low=tidy(stage.low), high=tidy(stage.high)) for stage in stages)
    source = tuple(dict.fromkeys(s for stage in stages for s in stage.source))
    note = " ".join(filter(None, map(_told, stages[:2])))
    cooling = _COOLING if answer.method == "pressure" else ""
    return DayPlan(
        stages, tuple(_one_cook(stages, loads, canners)), f"An estimate for planning. {note}{cooling}".strip(), source
    )


def _told(stage: DayPhase) -> str:
    """Name the ground for the time of an unprinted stage."""
    name = "Packing a load" if stage.name == "pack" else "Heating up"
    told = {OWN_FIGURE: "is what you gave", NO_SOURCE: "is common practice, with no source: give your own minutes"}
    known = next((told[source] for source in stage.source if source in told), "")
    span = f"{stage.low:g}" if stage.low == stage.high else f"{stage.low:g} to {stage.high:g}"
    return known and f"{name}, {span} minutes, {known}."


def _one_cook(stages: tuple[DayPhase, ...], loads: int, canners: int) -> list[LoadWindow]:
    """Lay the loads out, the canners by turns; earliest and latest times are reckoned apart."""
    cook, free, windows = (0.0, 0.0), dict.fromkeys(range(canners), (0.0, 0.0)), []
    for number in range(loads):
        canner = number % canners
        low, high = max(free[canner][0], cook[0]), max(free[canner][1], cook[1])
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


def _heat(answer: Answer) -> DayPhase:
    needs = answer.canner
    if needs and needs.heat_minutes:
        return DayPhase("heat up", needs.heat_minutes, needs.heat_minutes, needs.source)
    if answer.method == "pressure":
        return _stage("heat up", rules().heat_to_vent_minutes)
    if answer.method == "boiling-water":
        return _stage("heat up", rules().heat_to_boil_minutes)
    return DayPhase("heat up", *_OTHER_HEAT_MINUTES, (NO_SOURCE,))


def _pressure(answer: Answer) -> tuple[DayPhase, ...]:
    book = rules()
    return (
        _stage("vent", book.vent_minutes),
        _stage("come up", book.come_up_minutes),
        _hold(answer),
        _stage("cool", book.pressure_cool_minutes),
        _stage("wait before the lid", book.wait_before_lid_minutes),
    )


def _boiling(answer: Answer) -> tuple[DayPhase, ...]:
    if answer.method == "atmospheric-steam":
        return (_hold(answer),)
    return (_hold(answer), _stage("rest", rules().boiling_water_rest_minutes))


def _hold(answer: Answer) -> DayPhase:
    times = {minutes for minutes, _ in answer.pairs}
    return DayPhase("hold", min(times), max(times), answer.source)


def _stage(name: str, figure: Figure[float] | Figure[tuple[float, float]]) -> DayPhase:
    low, high = figure.value if isinstance(figure.value, tuple) else (figure.value, figure.value)
    return DayPhase(name, low, high, figure.source)
