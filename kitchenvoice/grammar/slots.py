"""Slot types: conversion of a slot's words to its value. `None` rejects the reading."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from kitchenvoice.grammar.numbers import NotANumber, mixed, whole
from kitchenvoice.reference import metres_to_feet_up

__all__ = ["CONVERTERS", "Words", "in_feet"]

Words = tuple[str, ...]

_HIGHEST_FT = 20_000
_ALTITUDES = frozenset({"altitude_ft", "value"})

_MINUTE_UNITS = {"hour": 60.0, "hours": 60.0, "minute": 1.0, "minutes": 1.0, "second": 1 / 60, "seconds": 1 / 60}
_ORDINALS = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]


def _count(words: Words) -> float | None:
    kept = tuple(word for word in words if word not in ("dozen", "of"))
    if kept in (("none",), ("no",)):
        return 0
    if "dozen" in words:
        return round(12 * mixed(kept or ("one",)))
    return _within(whole(kept), 0, 99)


def _minus_count(words: Words) -> float | None:
    count = _count(_without(words, "minus", "take", "off"))
    return None if not count else -count


def _pressure(words: Words) -> float | None:
    return _within(mixed(_without(words, "pounds", "pound", "psi", "pressure", "of")), 0, 25)


def _minutes(words: Words) -> float | None:
    """Add up "two hours and ten minutes"; "an hour and a half" has its half after the unit."""
    number: list[str] = []
    total, unit = 0.0, 1.0
    for word in words:
        if word in _MINUTE_UNITS:
            unit = _MINUTE_UNITS[word]
            total += unit * mixed(_number_of(number))
            number = []
        else:
            number.append(word)
    if number:
        total += unit * mixed(_number_of(number))
    return _within(round(total, 6), 1 / 60, 1440)


def _number_of(words: list[str]) -> Words:
    trimmed = words[1:] if words and words[0] == "and" else words
    return tuple(trimmed[:-2] if trimmed[-2:] == ["of", "an"] or trimmed[-2:] == ["of", "a"] else trimmed)


def _inches(words: Words) -> float | None:
    """Read "an inch and a quarter", "one and a quarter inches", "half an inch"."""
    said = list(words)
    unit = next((index for index, word in enumerate(said) if word in ("inch", "inches")), len(said))
    before, after = said[:unit], said[unit + 1 :]
    while len(before) > 1 and before[-1] in ("a", "an", "of"):
        before.pop()
    total = mixed(tuple(before)) + (mixed(tuple(after[1:])) if after else 0.0)
    return _within(total, 0, 20)


def _altitude(words: Words) -> float | None:
    if words[-2:] == ("sea", "level"):
        return 0
    return _within(whole(_without(words, "feet", "foot", "meters", "m")), 0, _HIGHEST_FT)


def in_feet(slots: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Convert an altitude in meters to feet, rounded up; one without a unit stays as it was said.

    `None` for one above 20,000 feet.
    """
    if slots.get("said_in") != "meters":
        return slots
    turned = {name: metres_to_feet_up(value) if name in _ALTITUDES else value for name, value in slots.items()}
    return turned if all(turned.get(name, 0) <= _HIGHEST_FT for name in _ALTITUDES) else None


def _amount(words: Words) -> float | None:
    trimmed = words[:-1] if len(words) > 1 and words[-1] in ("a", "an", "of") and "half" in words else words
    return mixed(trimmed)


def _ordinal(words: Words) -> float | None:
    """Read "load two", "the second load", "canner number one", "crock three"."""
    for word in words:
        if word in _ORDINALS:
            return _ORDINALS.index(word) + 1
    return whole(_without(words, "load", "canner", "crock", "number", "the"))


def _jar(words: Words) -> str | None:
    said = " ".join(words)
    if "gallon" in said:
        return "half-gallon"
    if "pint" not in said:
        return "quart"
    if said.startswith("half"):
        return "half-pint"
    return "pint-and-half" if " and " in said else "pint"


def _pack(words: Words) -> str | None:
    return "raw" if "raw" in words or "cold" in words else "hot"


_UNITS = {
    "pound": "pound",
    "ounce": "ounce",
    "bushel": "bushel",
    "peck": "peck",
    "crate": "crate",
    "lug": "lug",
    "kilogram": "kilogram",
    "kilo": "kilogram",
}


def _unit(words: Words) -> str | None:
    return _UNITS[words[0].removesuffix("s")]


def _without(words: Words, *dropped: str) -> Words:
    return tuple(word for word in words if word not in dropped)


def _within(value: float, least: float, most: float) -> float | None:
    """Return the value if it is in range, as a whole number where it is one."""
    if not least <= value <= most:
        return None
    return int(value) if float(value).is_integer() else value


def _refusing(read: Callable[[Words], Any]) -> Callable[[Words], Any]:
    def convert(words: Words) -> Any:
        try:
            value = read(words)
        except NotANumber:
            return None
        return int(value) if isinstance(value, float) and value.is_integer() else value

    return convert


CONVERTERS: Mapping[str, Callable[[Words], Any]] = {
    name: _refusing(read)
    for name, read in {
        "altitude": _altitude,
        "amount": _amount,
        "count": _count,
        "inches": _inches,
        "jar": _jar,
        "minus_count": _minus_count,
        "minutes": _minutes,
        "ordinal": _ordinal,
        "pack": _pack,
        "pressure": _pressure,
        "unit": _unit,
    }.items()
}
