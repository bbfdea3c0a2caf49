"""The day of the amount that was planned last: when its loads are out, from now or by the clock. All is estimated."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from kitchenvoice.dialogue.now import time_of_day, until_clock
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.reference import MOST_CANNERS, DayPlan, day_plan, lookup

if TYPE_CHECKING:
    from kitchenvoice.dialogue.context import Talk
    from kitchenvoice.reference.plans import Plan

__all__ = ["METHOD", "how_long", "tell_day"]

METHOD = "boiling-water"
"""What a day is planned with where it is one of the methods: the guide recommends it for them, as the faster (1-17)."""
_MOST_TOLD = 3
"""Of more loads only the first and the last are told: nobody keeps more times in mind. Common practice, no source."""
_HEAT = 1
_DAY_S = 86400.0


def how_long(talk: Talk, made: Plan) -> str:
    """Say after how long the first load is out and the last one, however it is packed; "" where that isn't known."""
    days = _days(talk, made)
    if not days:
        return ""
    first, last = (_span(talk, *_out(days, load)) for load in (0, -1))
    key = "day_one" if len(days[0].windows) == 1 else "day"
    by = max(window.canner for window in days[0].windows)
    canners = talk.language.phrase(
        "plan_day", "one_canner" if by == 1 else "several_canners", count=talk.language.number(by)
    )
    return talk.language.say("plan_day", key, first=first, last=last, pack=_packing(talk, days), canners=canners)


def tell_day(talk: Talk, heard: Heard) -> None:
    """Say when the heat goes on under each load and when it is out, if packing begins now, or when it was said."""
    if talk.kitchen.open_loads:
        talk.obey(Heard("ask_time", {"clock": 1}, heard.text, talk.t))
        return
    days = () if talk.planned is None else _days(talk, talk.planned)
    if talk.planned is None or not days:
        talk.say("plan_day", "none" if talk.planned is None else "no_day")
        return
    wait_s = _begins(talk, heard, days)
    if wait_s is None or not (start := time_of_day(talk, talk.t + wait_s)):
        talk.speak(how_long(talk, talk.planned))
        return
    talk.say("plan_day", "start_by" if "by" in heard.slots else "start", start=start)
    loads = len(days[0].windows)
    for load in range(loads) if loads <= _MOST_TOLD else (0, loads - 1):
        talk.say("plan_day", _key(talk.planned, load, loads), _times(talk, days, load, wait_s))
    talk.say("plan_day", "estimate", pack=_packing(talk, days))


def _days(talk: Talk, made: Plan) -> tuple[DayPlan, ...]:
    """Return the day for every pack, and every gauge of the kitchen, the canners that hold as much by turns."""
    asked = lookup(made.food, jar=made.jar)
    method = METHOD if METHOD in asked.choices["method"] else "pressure"
    gauges = {canner.gauge for canner in talk.profile.canners if canner.gauge} if method == "pressure" else {None}
    ways = ((pack, gauge) for pack in asked.choices["pack"] for gauge in gauges)
    feet, loads = talk.profile.altitude_ft, int(made.loads.high) if made.loads else 0
    holds = [
        each.capacity.get(made.jar or "", 0)
        for each in talk.profile.canners
        if bool(each.gauge) == (method == "pressure")
    ]
    canners = min(max(1, holds.count(max(holds, default=0))), MOST_CANNERS)
    answers = (lookup(made.food, pack=p, jar=made.jar, method=method, gauge=g, altitude_ft=feet) for p, g in ways)
    return tuple(day for answer in answers if (day := day_plan(answer, loads, canners)))


def _begins(talk: Talk, heard: Heard, days: Iterable[DayPlan]) -> float | None:
    """Return in how many seconds packing begins: at once, when it was said, or in time for the latest end to fit."""
    if heard.slots.get("hour") is None:
        return 0.0
    hour, minute = int(heard.slots["hour"]), int(heard.slots.get("minute") or 0)
    until_s = until_clock(talk, hour, minute, heard.slots.get("part"))
    if until_s is None or "by" not in heard.slots:
        return until_s
    return (until_s - 60 * _out(days, -1)[1]) % _DAY_S


def _key(made: Plan, load: int, loads: int) -> str:
    if loads == 1:
        return "only_load"
    return "clock_load" if made.loads is None or load < made.loads.low else "clock_load_maybe"


def _times(talk: Talk, days: Iterable[DayPlan], load: int, wait_s: float) -> dict[str, str]:
    heat = [day.windows[load].stages[_HEAT] for day in days]
    on = (min(stage.starts_low for stage in heat), max(stage.starts_high for stage in heat))
    ends = {"on": on, "out": _out(days, load)}
    told = {
        name: _either(talk, *(time_of_day(talk, talk.t + wait_s + 60 * minutes) for minutes in span))
        for name, span in ends.items()
    }
    return {**told, "load": capital(talk.language.phrase("plan_day", "load", number=talk.language.number(load + 1)))}


def _out(days: Iterable[DayPlan], load: int) -> tuple[float, float]:
    windows = [day.windows[load] for day in days]
    return min(each.ends_low for each in windows), max(each.ends_high for each in windows)


def _packing(talk: Talk, days: tuple[DayPlan, ...]) -> str:
    return _span(talk, days[0].stages[0].low, days[0].stages[0].high)


def _span(talk: Talk, low: float, high: float) -> str:
    return _either(talk, *(talk.language.duration(60 * minutes) for minutes in (low, high)))


def _either(talk: Talk, low: str, high: str) -> str:
    return low if low == high else talk.language.phrase("sheets", "span", low=low, high=high)
