"""Slot types: conversion of a slot's words to its value. `None` rejects the reading."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from kitchenvoice.grammar.numbers import NotANumber, mixed, slot_words, whole
from kitchenvoice.reference import metres_to_feet_up

__all__ = ["CONVERTERS", "Words", "in_feet"]

Words = tuple[str, ...]

_HIGHEST_FT = 20_000
_ALTITUDES = frozenset({"altitude_ft", "value"})


def _is(kind: str, word: str) -> bool:
    return word in slot_words()["words"][kind]


def _has(kind: str, words: Words) -> bool:
    return any(_is(kind, word) for word in words)


def _bare(kind: str, words: Words) -> Words:
    """Leave out what changes nothing in a value of this kind."""
    dropped = slot_words()["dropped"][kind]
    return tuple(word for word in words if word not in dropped)


def _count(words: Words) -> float | None:
    kept = tuple(word for word in _bare("count", words) if not _is("dozen", word))
    if len(kept) == 1 and _has("none", kept):
        return 0
    if _has("dozen", words):
        return round(12 * (mixed(kept) if kept else 1))
    return _within(whole(kept), 0, 99)


def _minus_count(words: Words) -> float | None:
    count = _count(_bare("minus_count", words))
    return None if not count else -count


def _pressure(words: Words) -> float | None:
    return _within(mixed(_bare("pressure", words)), 0, 25)


def _minutes(words: Words) -> float | None:
    """Add up "two hours and ten minutes"; "an hour and a half" has its half after the unit."""
    number: list[str] = []
    total, unit, units = 0.0, 1.0, slot_words()["seconds"]
    for word in words:
        if word in units:
            unit = units[word] / 60
            total += unit * mixed(_number_of(number))
            number = []
        else:
            number.append(word)
    if number:
        total += unit * mixed(_number_of(number))
    return _within(round(total, 6), 1 / 60, 1440)


def _number_of(words: list[str]) -> Words:
    trimmed = words[1:] if words and _is("and", words[0]) else words
    of_one = len(trimmed) > 1 and _is("of", trimmed[-2]) and _is("article", trimmed[-1])
    return tuple(trimmed[:-2] if of_one else trimmed)


def _inches(words: Words) -> float | None:
    """Read "an inch and a quarter", "one and a quarter inches", "half an inch"."""
    said, inches = list(words), slot_words()["dropped"]["inches"]
    unit = next((index for index, word in enumerate(said) if word in inches), len(said))
    before, after = said[:unit], said[unit + 1 :]
    while len(before) > 1 and (_is("article", before[-1]) or _is("of", before[-1])):
        before.pop()
    total = mixed(tuple(before)) + (mixed(tuple(after[1:])) if after else 0.0)
    return _within(total, 0, 20)


def _altitude(words: Words) -> float | None:
    if list(words[-2:]) == slot_words()["words"]["sea_level"]:
        return 0
    return _within(whole(_bare("altitude", words)), 0, _HIGHEST_FT)


def in_feet(slots: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Convert an altitude in meters to feet, rounded up; one without a unit stays as it was said.

    `None` for one above 20,000 feet.
    """
    if slots.get("said_in") != "meters":
        return slots
    turned = {name: metres_to_feet_up(value) if name in _ALTITUDES else value for name, value in slots.items()}
    return turned if all(turned.get(name, 0) <= _HIGHEST_FT for name in _ALTITUDES) else None


def _amount(words: Words) -> float | None:
    of_one = len(words) > 1 and (_is("article", words[-1]) or _is("of", words[-1])) and _has("half", words)
    return mixed(words[:-1] if of_one else words)


def _ordinal(words: Words) -> float | None:
    """Read "load two", "the second load", "canner number one", "crock three"."""
    ordinals = slot_words()["ordinals"]
    told = next((int(ordinals[word]) for word in words if word in ordinals), None)
    return whole(_bare("ordinal", words)) if told is None else told


def _jar(words: Words) -> str | None:
    if _has("gallon", words):
        return "half-gallon"
    if not _has("pint", words):
        return "quart"
    if _has("half", words[:1]):
        return "half-pint"
    return "pint-and-half" if _has("and", words) else "pint"


def _pack(words: Words) -> str | None:
    return "raw" if _has("raw", words) else "hot"


def _unit(words: Words) -> str | None:
    return str(slot_words()["units"][words[0]])


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
