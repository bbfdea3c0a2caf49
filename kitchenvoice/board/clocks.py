"""Clocks of the board: which one a load has, and its format.

A clock is shown only while the engine runs that timer. Without one, or where it is unknown whether the time counts,
words stand in its place; after its end it stays at zero until the engine says what that means.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kitchenvoice.board.texts import Labels
from kitchenvoice.language import nights
from kitchenvoice.process import Crock, Kitchen, Load, Stage, Timer, is_named_timer
from kitchenvoice.reference import food_name

__all__ = ["ClockFace", "clocks_of", "face", "timers_of"]

_IN_MINUTES_S = 3 * 3600.0
"""Up to three hours a time is in minutes and seconds, as in the tables; above in hours and minutes."""
_LEADING = ("hold", "vent", "settle", "bath_rest", "rest")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockFace:
    """A countdown: `left_s` of `total_s` seconds; `left_s` is None where `note` stands in its place.

    `sure` is False where less may be left: then it has no end by the clock.
    """

    id: str
    label: str
    left_s: float | None = None
    total_s: float = 0.0
    note: str = ""
    sure: bool = True


def face(left_s: float) -> tuple[tuple[str, str], ...]:
    """Format a time as figures with units: 1499.2 -> (("25:00", "min"),), 43140 -> (("11", "h"), ("59", "min")).

    Rounded up: never less than the time left, and zero only at the end.
    """
    seconds = max(0, math.ceil(left_s))
    if seconds <= _IN_MINUTES_S:
        return ((f"{seconds // 60}:{seconds % 60:02d}", "min"),)
    hours, minutes = divmod(math.ceil(seconds / 60), 60)
    return ((str(hours), "h"), (f"{minutes:02d}", "min"))


def clocks_of(load: Load, t: float, labels: Labels) -> tuple[ClockFace, ...]:
    """Return the clocks of a load at `t`: one of its stage, one for failed jars."""
    return (*_leading(load, t, labels), *_window(load, t, labels))


def _leading(load: Load, t: float, labels: Labels) -> Iterator[ClockFace]:
    timer = next((found for name in _LEADING if (found := load.timer(name))), None)
    without = {"bath": "boil", "steam": "steaming"}.get(load.process.watched)
    key = without if timer is not None and timer.name == "hold" else None
    hold = load.hold
    if load.doubt:
        name = timer.name if timer is not None else load.stage.value
        yield ClockFace(
            id=f"{name}-{load.id}", label="", note=labels("clock", "doubt" if load.holds else "doubt_before")
        )
    elif timer is not None:
        yield _running(timer, f"{timer.name}-{load.id}", labels("clock", key or timer.name), t, labels)
    elif load.stage is Stage.HOLD and hold is not None and hold.lost_t is not None:
        note = labels("clock", "stopped", minutes=f"{load.process.minutes:g}")
        yield ClockFace(id=f"hold-{load.id}", label="", note=note)


def _window(load: Load, t: float, labels: Labels) -> Iterator[ClockFace]:
    timer = load.timer("window")
    if timer is not None and load.undecided > 0:
        yield _running(timer, f"window-{load.id}", labels("clock", "window"), t, labels)


def timers_of(kitchen: Kitchen, t: float, labels: Labels) -> tuple[ClockFace, ...]:
    """Return the kitchen timers, soonest first; after them the crocks, by their days."""
    running = sorted(kitchen.timers, key=lambda timer: timer.due_t)
    timers = (_running(each, each.name.replace(" ", "-"), _timer_label(each, labels), t, labels) for each in running)
    foods = [crock.food for crock in kitchen.crocks]
    return (*timers, *(_crock(each, t, labels, twin=foods.count(each.food) > 1) for each in kitchen.crocks))


def _crock(crock: Crock, t: float, labels: Labels, *, twin: bool) -> ClockFace:
    """Clock of a crock: days so far and latest care. Its end is no matter of time."""
    note = labels("clock", "days_or_more" if crock.unsure else "days", days=str(crock.days(t)))
    label = labels("clock", "crock_numbered" if twin else "crock", food=food_name(crock.food), number=str(crock.number))
    if crock.care:
        days = nights(crock.care_t, t)
        when = labels("clock", ("today", "yesterday")[days] if days < 2 else "days_ago", days=str(days))
        label = labels("clock", crock.care, label=label, when=when)
    return ClockFace(id=f"crock-{crock.food}-{crock.number}", label=label, note=note)


def _timer_label(timer: Timer, labels: Labels) -> str:
    if is_named_timer(timer.name):
        return labels("clock", "named", name=timer.name)
    return labels("clock", "timer", minutes=f"{timer.seconds / 60:g}")


def _running(timer: Timer, name: str, label: str, t: float, labels: Labels) -> ClockFace:
    if timer.unsure:
        label = labels("clock", "at_most", label=label)
    return ClockFace(
        id=name, label=label, left_s=max(0.0, timer.left_s(t)), total_s=timer.seconds, sure=not timer.unsure
    )
