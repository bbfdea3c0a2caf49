"""Numbers and measures as they are said: "twenty five minutes", "ten and a half", "one and a quarter inches".

Whole numbers 0 to 999,999; fractions are halves, quarters and eighths, otherwise digits after "point".
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from kitchenvoice.language import words_de
from kitchenvoice.language.durations import stretch

__all__ = [
    "CONFUSABLE",
    "altitude",
    "canner",
    "capital",
    "code",
    "counted",
    "digits",
    "duration",
    "in_words",
    "inches",
    "jars",
    "listed",
    "number",
    "plural",
    "pounds_pressure",
    "spoon",
    "twice",
    "use",
]

_TO_NINE = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_ONES = [*_TO_NINE, *_TEENS]
_TENS = ["zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_PARTS = {
    1: "an eighth",
    2: "a quarter",
    3: "three eighths",
    4: "a half",
    5: "five eighths",
    6: "three quarters",
    7: "seven eighths",
}
_ALONE = {**_PARTS, 4: "half a"}

_ODD_PLURALS = {"foot": "feet", "pint and a half": "pint and a half jars"}

_MIXED = re.compile(r"(?<![\d/])(?:(\d+)[- ])?(\d+)/([248])(?![\d/])")
_NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")

_Said = ParamSpec("_Said")
_spoken: list[str] = ["en"]


def use(language: str) -> None:
    """Say numbers and measures in this language from now on, wherever it has a word of its own."""
    _spoken[0] = language


def _in_her_language(english: Callable[_Said, str]) -> Callable[_Said, str]:
    """Let another language's function of the same name speak, if that language is spoken and has one."""

    @wraps(english)
    def say(*args: _Said.args, **kwargs: _Said.kwargs) -> str:
        other = getattr(words_de, english.__name__, None) if _spoken[0] == "de" else None
        return str((other or english)(*args, **kwargs))

    return say


CONFUSABLE = frozenset({*range(13, 20), *range(30, 100, 10)})
"""Teens and tens, which sound alike; they are said twice, as a word and digit by digit."""


@_in_her_language
def number(value: float) -> str:
    """Say a number: 25 -> "twenty five", 10.5 -> "ten and a half", 0.3 -> "zero point three". Raises: ValueError."""
    if not math.isfinite(value) or not 0 <= value < 1_000_000:
        raise ValueError(f"{value} can't be said: 0 to 999,999")
    whole, rest = int(value), value - int(value)
    if rest == 0:
        return _whole(whole)
    eighths = rest * 8
    if eighths == int(eighths):
        part = _PARTS[int(eighths)]
        return part if whole == 0 else f"{_whole(whole)} and {part}"
    decimals = f"{value:.2f}".split(".")[1].rstrip("0")
    return f"{_whole(whole)} point {' '.join(_ONES[int(d)] for d in decimals)}" if decimals else _whole(round(value))


def _whole(value: int) -> str:
    if value < 20:
        return _ONES[value]
    if value < 100:
        return _TENS[value // 10] + (f" {_ONES[value % 10]}" if value % 10 else "")
    if value < 1000:
        return f"{_ONES[value // 100]} hundred" + (f" {_whole(value % 100)}" if value % 100 else "")
    return f"{_whole(value // 1000)} thousand" + (f" {_whole(value % 1000)}" if value % 1000 else "")


@_in_her_language
def digits(value: float) -> str:
    """Say a number digit by digit: 15 -> "one five", 10.5 -> "one zero point five"."""
    text = str(int(value)) if value == int(value) else f"{value:g}"
    return " ".join("point" if sign == "." else _ONES[int(sign)] for sign in text)


def twice(value: float, *, doubt: bool = False) -> str:
    """Say a number, and again digit by digit where it could be taken for another: 15 -> "fifteen, one five"."""
    if doubt or value in CONFUSABLE:
        return f"{number(value)}, {digits(value)}"
    return number(value)


def code(value: float, rival: float | None = None) -> str:
    """Say what tells a number from one that sounds alike: 15 -> ", one five", 9 for 5 -> ", and not five", else ""."""
    if value in CONFUSABLE:
        return f", {digits(value)}"
    return "" if rival is None else f", and not {number(rival)}"


@_in_her_language
def duration(seconds: float) -> str:
    """Say a stretch of time: to the second below a minute, half a minute below thirty, a minute below two days."""
    parts = stretch(seconds)
    said = " and ".join(counted(count, unit) for count, unit in parts)
    return f"about {said}" if parts[0][1] == "day" else said


def plural(noun: str) -> str:
    """Say a noun for more than one: "canner" -> "canners", "bunch" -> "bunches", "entry" -> "entries"."""
    if noun in _ODD_PLURALS:
        return _ODD_PLURALS[noun]
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return f"{noun}es"
    return f"{noun[:-1]}ies" if re.search("[^aeiou]y$", noun) else f"{noun}s"


def counted(count: float, noun: str) -> str:
    """Say how many: 1 -> "one canner", 2 -> "two canners", 0 -> "zero canners", 0.5 -> "half a bushel"."""
    if count == 0.5:
        return f"half {'an' if noun[0] in 'aeiou' else 'a'} {noun}"
    return f"{number(count)} {noun if count == 1 else plural(noun)}"


@_in_her_language
def inches(value: float) -> str:
    """Say a length: 1 -> "one inch", 0.5 -> "half an inch", 1.25 -> "one and a quarter inches"."""
    eighths = value * 8
    if 0 < value < 1 and eighths == int(eighths):
        return (
            "half an inch"
            if value == 0.5
            else f"{_PARTS[int(eighths)]} inch".replace("eighths inch", "eighths of an inch")
        )
    return counted(value, "inch")


@_in_her_language
def spoon(teaspoons: float) -> str:
    """Say an amount of salt: 0.5 -> "half a teaspoon", 1 -> "one teaspoon"."""
    eighths = teaspoons * 8
    if 0 < teaspoons < 1 and eighths == int(eighths):
        part = _ALONE[int(eighths)]
        return (
            f"{part} teaspoon" if part.endswith("half a") or part.startswith(("a", "an")) else f"{part} of a teaspoon"
        )
    return counted(teaspoons, "teaspoon")


@_in_her_language
def pounds_pressure(psi: float) -> str:
    """Say a gauge pressure so that it isn't taken for a weight: 11 -> "eleven pounds pressure"."""
    return f"{number(psi)} {'pound' if psi == 1 else 'pounds'} pressure"


@_in_her_language
def altitude(feet: int) -> str:
    """Say an altitude: 0 -> "sea level", 1200 -> "one thousand two hundred feet"."""
    return "sea level" if feet == 0 else counted(feet, "foot")


@_in_her_language
def canner(number_of_it: int) -> str:
    """Call a canner by its number: 1 -> "canner one"."""
    return f"canner {number(number_of_it)}"


@_in_her_language
def jars(jar: str, count: int | None = None) -> str:
    """Say a jar size, with a count or without: ("quart", 7) -> "seven quarts", ("quart", None) -> "quarts"."""
    name = "pint and a half" if jar == "pint-and-half" else jar.replace("-", " ")
    return plural(name) if count is None else counted(count, name)


@_in_her_language
def listed(items: list[str] | tuple[str, ...], last: str = "or") -> str:
    """Join words as a sentence does: ["a", "b", "c"] -> "a, b or c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def in_words(text: str) -> str:
    """Put the numbers of a written sentence into words: "1-1/2 inches" -> "one and a half inches"."""
    text = _MIXED.sub(lambda m: number(int(m[1] or 0) + int(m[2]) / int(m[3])), text)
    return _NUMBER.sub(lambda m: number(float(m[0].replace(",", ""))), text)


def capital(text: str) -> str:
    """Begin with a capital letter."""
    return text[:1].upper() + text[1:]
