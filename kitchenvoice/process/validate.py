"""Refuse an event that is written wrong before it reaches the fold: a field missing, a wrong type, out of range.

Whether a report makes sense in its load's state is another question, see `objections`. A kind that isn't known here
(a recorded fact, an opened jar) only has to hold what can be stored.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.errors import BadInput
from kitchenvoice.ports import Event, Value
from kitchenvoice.process.doubts import DOUBT_KINDS
from kitchenvoice.process.faults import FAULT_KINDS
from kitchenvoice.process.objections import REPORT_STAGES
from kitchenvoice.process.state import CROCK_CARE

__all__ = ["validate"]

Allows = Callable[[Value], bool]

_MOST_JARS = 99
_MOST_PSI = 25.0
_WEIGHTS_PSI = (5, 10, 15)
_OUTCOMES = ("reprocess", "refrigerate", "freeze", "discard")
_JARS = ("half-pint", "pint", "pint-and-half", "quart", "half-gallon")


def validate(event: Event) -> Event:
    """Return the event as it is. Raises: BadInput naming the kind and the field that is wrong."""
    if not _is_int(event.seq) or event.seq < 1:
        raise _bad(event, "seq", "has to count from one")
    if not _is_number(event.t) or event.t < 0:
        raise _bad(event, "t", "has to be a time in seconds")
    if event.load is not None and (not _is_int(event.load) or event.load < 1):
        raise _bad(event, "load", "has to be the number of a load")
    if not all(_storable(value) for value in event.data.values()):
        raise _bad(event, "data", "holds something that can't be stored")
    if event.kind in _OF_A_LOAD and event.load is None:
        raise _bad(event, "load", "is missing")
    for name, (needed, check, what) in _FIELDS.get(event.kind, {}).items():
        value = event.data.get(name)
        if value is None and needed:
            raise _bad(event, name, "is missing")
        if value is not None and not check(value):
            raise _bad(event, name, f"has to be {what}")
    if event.kind == "load_start":
        _check_process(event)
    return event


def _bad(event: Event, name: str, why: str) -> BadInput:
    return BadInput(f"The report {event.kind} can't be taken: its {name} {why}. Say it again.")


def _check_process(event: Event) -> None:
    data = event.data
    if data["method"] != "pressure":
        if data.get("psi") is not None or data.get("target_psi") is not None:
            raise _bad(event, "psi", "belongs to a pressure canner only")
        return
    if data.get("psi") is None or data.get("gauge") is None:
        raise _bad(event, "psi" if data.get("psi") is None else "gauge", "is missing")
    if data["gauge"] == "weighted":
        if data["psi"] not in _WEIGHTS_PSI:
            raise _bad(event, "psi", "has to be five, ten or fifteen on a weighted gauge")
        if data.get("target_psi") not in (None, data["psi"]):
            raise _bad(event, "target_psi", "has to be the weight's own pressure")


# ---------------------------------------------------------------- what a value has to be


def _is_int(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _storable(value: object) -> bool:
    if value is None or isinstance(value, str | bool):
        return True
    if isinstance(value, int | float):
        return math.isfinite(value)
    if isinstance(value, Mapping):
        return all(isinstance(key, str) and _storable(each) for key, each in value.items())
    return isinstance(value, tuple | list) and all(_storable(each) for each in value)


def _between(low: float, high: float) -> Allows:
    return lambda value: _is_number(value) and low <= value <= high  # type: ignore[operator]


def _whole(low: int, high: int) -> Allows:
    return lambda value: _between(low, high)(value) and value == int(value)  # type: ignore[arg-type]


def _one_of(*allowed: str) -> Allows:
    return lambda value: value in allowed


def _yes_or_no(value: Value) -> bool:
    return isinstance(value, bool)


def _text(value: Value) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _words(value: Value) -> bool:
    return isinstance(value, str)


def _loads(value: Value) -> bool:
    return isinstance(value, tuple | list) and all(_is_int(each) and each >= 1 for each in value)  # type: ignore[operator]


def _texts(value: Value) -> bool:
    return isinstance(value, str) or (isinstance(value, tuple | list) and all(isinstance(x, str) for x in value))


Field = tuple[bool, Allows, str]


def _need(check: Allows, what: str) -> Field:
    return True, check, what


def _may(check: Allows, what: str) -> Field:
    return False, check, what


_COUNT = (_whole(0, _MOST_JARS), "a whole number of jars up to ninety nine")
_SOME = (_whole(1, _MOST_JARS), "a whole number of jars from one to ninety nine")
_PSI = (_between(0, _MOST_PSI), "a pressure from zero to twenty five pounds")
_MARK = {"timer": _need(_text, "a name"), "mark": _need(_text, "a name")}
_STEAM = {"steam": _may(lambda value: value is True, "true")}
_START = {
    "number": _may(_whole(1, 10**9), "a whole number"),
    **{name: _need(_text, "a name") for name in ("food", "food_name", "pack")},
    "jar": _need(_one_of(*_JARS), "a jar size"),
    "count": _need(*_SOME),
    "canner": _may(_whole(0, 99), "the number of a canner"),
    "method": _need(
        _one_of("pressure", "boiling-water", "atmospheric-steam"), "pressure, boiling-water or atmospheric-steam"
    ),
    "gauge": _may(_one_of("dial", "weighted"), "dial or weighted"),
    "minutes": _need(lambda value: _between(0, 600)(value) and value != 0, "minutes up to ten hours"),
    "altitude_ft": _need(_whole(0, 20_000), "feet up to twenty thousand"),
    "psi": _may(_between(1, _MOST_PSI), "a pressure up to twenty five pounds"),
    "target_psi": _may(_between(1, _MOST_PSI), "a pressure up to twenty five pounds"),
    "heat_vent_minutes": _may(_between(0, 120), "minutes up to two hours"),
    "no_bubbles": _may(lambda value: value is True, "true"),
    "acid_in": _may(_one_of("jar", "recipe", "ferment"), "jar, recipe or ferment"),
    "salt_tsp": _may(_between(0, 20), "teaspoons"),
    **{name: _may(_words, "text") for name in ("headspace", "acid", "water", "canner_name")},
    **{name: _may(_texts, "a list of texts") for name in ("cautions", "source")},
}

_CROCK: Mapping[str, Field] = {
    "food": _need(_text, "a food"),
    "crock": _may(_whole(1, 99), "a crock's number up to ninety nine"),
}

_FIELDS: Mapping[str, Mapping[str, Field]] = MappingProxyType(
    {
        "load_start": _START,
        "packed": {"count": _may(_whole(-_MOST_JARS, _MOST_JARS), "a whole number of jars")},
        "jars_in": {"count": _may(*_SOME)},
        "jars_out": {"count": _may(*_COUNT)},
        "jar_broke": {"count": _may(*_SOME)},
        "liquid_lost": {"count": _may(*_SOME)},
        "fault": {"fault": _may(lambda value: value in FAULT_KINDS, "a known fault"), "jars": _may(*_SOME)},
        "fault_mended": {"fault": _need(lambda value: value in FAULT_KINDS, "a known fault")},
        "pressure_is": {"pressure": _need(*_PSI)},
        "pressure_low": {"pressure": _may(*_PSI)},
        "boiling": _STEAM,
        "boil_lost": _STEAM,
        "doubt": {
            "loads": _need(_loads, "a list of loads"),
            "kind": _need(lambda value: value in DOUBT_KINDS, "a known doubt"),
            "pressure": _may(*_PSI),
            "words": _may(_text, "words"),
            "kept": _may(_yes_or_no, "yes or no"),
            "told": _may(_yes_or_no, "yes or no"),
            "lower": _may(_yes_or_no, "yes or no"),
        },
        "doubt_settled": {
            "doubt": _need(_whole(1, 2**53), "the number of a doubt"),
            "lost": _may(_loads, "a list of loads"),
            "held": _may(_loads, "a list of loads"),
            "by": _may(_text, "an answer"),
        },
        "was_steady": {"ok": _need(_yes_or_no, "yes or no")},
        "seal_count": {"sealed": _need(*_COUNT), "failed": _need(*_COUNT)},
        "tally": {"sealed": _may(*_COUNT), "failed": _may(*_COUNT)},
        "jar_outcome": {"outcome": _need(_one_of(*_OUTCOMES), "a known outcome"), "count": _may(*_SOME)},
        "timer_start": {
            "minutes": _need(lambda value: _between(0, 1440)(value) and value != 0, "minutes up to a day"),
            "name": _may(_text, "a name"),
        },
        "timer_stop": {"name": _may(_text, "a name")},
        "timer_due": _MARK,
        "crock_start": {**_CROCK, "days_ago": _may(_whole(0, 366), "days up to a year")},
        "crock_check": _CROCK,
        "crock_care": {
            **_CROCK,
            "care": _need(_one_of(*CROCK_CARE), "checked, skimmed or topped_up"),
            "degrees": _may(_whole(1, 99), "degrees"),
        },
        "crock_end": _CROCK,
        "call_again": {"key": _need(_text, "a name")},
        "answer_call": {"keys": _may(_texts, "a list of texts")},
        "session_start": {"off_s": _may(_between(0, 10**9), "seconds")},
        "scratched": {"seq": _need(_whole(1, 2**53), "the number of a report")},
    }
)

_OF_A_LOAD = frozenset(REPORT_STAGES) | {"load_start", "load_select", "acid_forgotten"}
