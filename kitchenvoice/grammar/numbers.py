"""Conversion of spoken numbers. Only what the grammars accept comes here, so the forms are few.

Whole numbers are read by their words' values: below a hundred they add up, "hundred" and "thousand" multiply, a row of
single digits or of two-digit groups is read as figures ("five two zero zero", "fifty two eighty").
"""

from __future__ import annotations

from fractions import Fraction

__all__ = ["NotANumber", "mixed", "number_words", "whole"]

_ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_VALUES = {
    **{word: value for value, word in enumerate([*_ONES, *_TEENS])},
    **{word: 10 * value for value, word in enumerate(_TENS, 2)},
    "oh": 0,
    "a": 1,
    "an": 1,
}
_PARTS = {"half": Fraction(1, 2), "quarter": Fraction(1, 4), "quarters": Fraction(1, 4), "eighth": Fraction(1, 8)}
_PARTS["eighths"] = _PARTS["eighth"]
_MOST_GROUPS = 6
"""Most groups in a row: the number of digits of the largest number."""


def number_words() -> frozenset[str]:
    """Return the words below a hundred that are numbers by themselves."""
    return frozenset([*_ONES, *_TEENS, *_TENS])


class NotANumber(ValueError):
    """Raised for words in a number's place that aren't one."""


def whole(words: tuple[str, ...]) -> int:
    """Read a whole number: 0 to 999,999, with or without "and"."""
    said = [word for word in words if word != "and"]
    if not said:
        raise NotANumber("nothing said")
    if "thousand" in said:
        at = said.index("thousand")
        rest = said[at + 1 :]
        return 1000 * (_below_thousand(said[:at]) if at else 1) + (_below_thousand(rest) if rest else 0)
    if "hundred" in said:
        return _below_thousand(said)
    return _figures(said)


def _below_thousand(said: list[str]) -> int:
    """Read up to 99 hundreds and a rest."""
    if "hundred" not in said:
        return _figures(said)
    at = said.index("hundred")
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
        return _VALUES[word]
    except KeyError:
        raise NotANumber(f"{word} is no number") from None


def mixed(words: tuple[str, ...]) -> float:
    """Read a number with a fraction: "ten and a half", "nine point five", "three quarters", "half a"."""
    if "point" in words:
        at = words.index("point")
        figures = "".join(str(_value(word)) for word in words[at + 1 :])
        return float(f"{whole(words[:at]) if at else 0}.{figures}")
    at = next((index for index, word in enumerate(words) if word in _PARTS), -1)
    if at < 0:
        return float(whole(words))
    before = words[:at]
    if "and" in before:
        split = len(before) - 1 - before[::-1].index("and")
        return float(whole(before[:split]) + _times(before[split + 1 :]) * _PARTS[words[at]])
    return float(_times(before) * _PARTS[words[at]])


def _times(words: tuple[str, ...]) -> int:
    return whole(words) if words else 1
