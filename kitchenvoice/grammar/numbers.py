"""Conversion of spoken numbers. Only what the grammars accept comes here, so the forms are few.

Whole numbers are read by their words' values: below a hundred they add up, "hundred" and "thousand" multiply, a row of
single digits or of two-digit groups is read as figures ("five two zero zero", "fifty two eighty").
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any

from kitchenvoice.grammar.grammar_folder import grammar_folder

__all__ = ["NotANumber", "mixed", "number_words", "slot_words", "whole"]

_MOST_GROUPS = 6
"""Most groups in a row: the number of digits of the largest number."""


@cache
def slot_words() -> Mapping[str, Mapping[str, Any]]:
    """Return the tables of `slots.toml`: words of values. Raises: BadGrammar if the file is missing."""
    with (grammar_folder() / "slots.toml").open("rb") as file:
        tables: dict[str, dict[str, Any]] = tomllib.load(file)
    tables["parts"] = {word: Fraction(1, of) for word, of in tables["parts"].items()}
    tables["values"] = tables["numbers"] | tables["numbers_beside_others"]
    return tables


def number_words() -> frozenset[str]:
    """Return the words below a hundred that are numbers by themselves."""
    return frozenset(slot_words()["numbers"])


def _at(words: list[str] | tuple[str, ...], of: str) -> int:
    """Return the place of the first word of a kind, -1 without one."""
    kind = slot_words()["words"][of]
    return next((place for place, word in enumerate(words) if word in kind), -1)


class NotANumber(ValueError):
    """Raised for words in a number's place that aren't one."""


def whole(words: tuple[str, ...]) -> int:
    """Read a whole number: 0 to 999,999, with or without "and"."""
    said = [word for word in words if word not in slot_words()["words"]["and"]]
    if not said:
        raise NotANumber("nothing said")
    if (at := _at(said, "thousand")) >= 0:
        rest = said[at + 1 :]
        return 1000 * (_below_thousand(said[:at]) if at else 1) + (_below_thousand(rest) if rest else 0)
    return _below_thousand(said)


def _below_thousand(said: list[str]) -> int:
    """Read up to 99 hundreds and a rest."""
    at = _at(said, "hundred")
    if at < 0:
        return _figures(said)
    return 100 * (_figures(said[:at]) if at else 1) + (_figures(said[at + 1 :]) if said[at + 1 :] else 0)


def _figures(said: list[str]) -> int:
    """Read one number below a hundred, or a row of digits, or two numbers below a hundred side by side."""
    groups: list[tuple[int, int]] = []
    ty = False
    for word in said:
        value = _value(word)
        if ty and 1 <= value <= 9:
            groups[-1] = (groups[-1][0] + value, 2)
            ty = False
        else:
            groups.append((value, 1 if value < 10 else 2))
            ty = value >= 20
    if len(groups) > _MOST_GROUPS:
        raise NotANumber("too many numbers in a row")
    figures = "".join(f"{value:0{width}d}" for value, width in groups)
    return int(figures)


def _value(word: str) -> int:
    try:
        return int(slot_words()["values"][word])
    except KeyError:
        raise NotANumber(f"{word} is no number") from None


def mixed(words: tuple[str, ...]) -> float:
    """Read a number with a fraction: "ten and a half", "nine point five", "three quarters", "half a"."""
    if (at := _at(words, "point")) >= 0:
        figures = "".join(str(_value(word)) for word in words[at + 1 :])
        return float(f"{whole(words[:at]) if at else 0}.{figures}")
    parts = slot_words()["parts"]
    at = next((index for index, word in enumerate(words) if word in parts), -1)
    if at < 0:
        return float(whole(words))
    before = words[:at]
    if (after := _at(before[::-1], "and")) >= 0:
        split = len(before) - 1 - after
        return float(whole(before[:split]) + _times(before[split + 1 :]) * parts[words[at]])
    return float(_times(before) * parts[words[at]])


def _times(words: tuple[str, ...]) -> int:
    return whole(words) if words else 1
