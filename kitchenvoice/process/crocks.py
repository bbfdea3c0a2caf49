"""Fermenting crocks: silent timers of days. Each has a start, a mention a day, and an end.

That it is through is what the cook says; the printed weeks only tell when to expect it. It is spoken of a day after it
was last, which is when somebody was there: at the hour it was begun, or at a start of the program. Nothing of it calls
again, so that no night is disturbed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event
from kitchenvoice.process.changing import replace
from kitchenvoice.process.state import DAY_S, Crock, Kitchen
from kitchenvoice.process.tools import Fact, as_float, as_int, as_text

__all__ = ["CROCKS", "unsure_crocks"]

Result = tuple[Kitchen, tuple[Fact, ...]]


def _named(event: Event) -> tuple[str, int]:
    """Return the food and the number of a crock; without a number it is the first."""
    return as_text(event.data["food"]), as_int(event.data.get("crock") or 1)


def _start(kitchen: Kitchen, event: Event) -> Result:
    """Begin a crock, so many days ago; one that is going already isn't begun again."""
    food, number = _named(event)
    if kitchen.crock(food, number) is not None:
        return kitchen, ()
    started_t = event.t - DAY_S * as_float(event.data.get("days_ago") or 0)
    crock = Crock(food=food, number=number, started_t=started_t, told_t=event.t)
    return replace(kitchen, crocks=(*kitchen.crocks, crock)), ()


def _check(kitchen: Kitchen, event: Event) -> Result:
    crock = kitchen.crock(*_named(event))
    if crock is None or event.t < crock.told_t + DAY_S:
        return kitchen, ()
    told = _put(kitchen, crock, replace(crock, told_t=event.t))
    return told, (Fact("crock_check", None, {"food": crock.food, "crock": crock.number}),)


def _cared(kitchen: Kitchen, event: Event) -> Result:
    """The cook was there and saw to it: it is spoken of a day later."""
    crock = kitchen.crock(*_named(event))
    if crock is None:
        return kitchen, ()
    return _put(kitchen, crock, replace(crock, told_t=event.t, care=as_text(event.data["care"]), care_t=event.t)), ()


def _put(kitchen: Kitchen, crock: Crock, after: Crock) -> Kitchen:
    return replace(kitchen, crocks=tuple(after if each is crock else each for each in kitchen.crocks))


def _end(kitchen: Kitchen, event: Event) -> Result:
    ended = kitchen.crock(*_named(event))
    return replace(kitchen, crocks=tuple(each for each in kitchen.crocks if each is not ended)), ()


def unsure_crocks(kitchen: Kitchen, t: float) -> tuple[Crock, ...]:
    """Return the crocks after time that nobody could count, also since their care; somebody is there now."""
    return tuple(replace(crock, unsure=True, told_t=t, care="") for crock in kitchen.crocks)


CROCKS: Mapping[str, Callable[[Kitchen, Event], Result]] = MappingProxyType(
    {"crock_start": _start, "crock_check": _check, "crock_care": _cared, "crock_end": _end}
)
"""What each event does to the crocks."""
