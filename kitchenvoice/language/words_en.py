"""English: "twenty five minutes", "ten and a half", "one and a quarter inches"."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from kitchenvoice.language.durations import stretch
from kitchenvoice.language.language import Joint, Language, Noun

__all__ = ["English", "plural"]

_TO_NINE = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_ONES = (*_TO_NINE, *_TEENS)
_TENS = ("zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_PARTS = ("", "an eighth", "a quarter", "three eighths", "a half", "five eighths", "three quarters", "seven eighths")
_NEAR = 0.001
_JARS: Mapping[str, str] = MappingProxyType({"pint-and-half": "pint and a half", "twelve-ounce": "twelve ounce jar"})
_ODD_PLURALS: Mapping[str, str] = MappingProxyType({"foot": "feet", "pint and a half": "pint and a half jars"})


@dataclass(frozen=True, slots=True, eq=False)
class English(Language):
    """English as it is spoken in the United States."""

    def number(self, value: float) -> str:
        """Say a number: 25 -> "twenty five", 10.5 -> "ten and a half", 0.3 -> "zero point three"."""
        return _number(value)

    def digits(self, value: float) -> str:
        """Say a number digit by digit: 15 -> "one five", 10.5 -> "one zero point five"."""
        text = str(int(value)) if value == int(value) else f"{value:g}"
        return " ".join("point" if sign == "." else _ONES[int(sign)] for sign in text)

    def year(self, year: int) -> str:
        """Say a year: 2026 -> "twenty twenty six", 2005 -> "two thousand five"."""
        century, rest = divmod(year, 100)
        return f"{self.number(century)} {self.number(rest)}" if rest > 9 else self.number(year)

    def counted(self, count: float, noun: Noun) -> str:
        """Say a count with its noun: 1 -> "one check", 2 -> "two checks", 0.5 -> "half a bushel"."""
        return self._counted(count, noun)

    def _counted(self, count: float, noun: str) -> str:
        if count == 0.5:
            return f"half {'an' if noun[0] in 'aeiou' else 'a'} {noun}"
        return f"{self.number(count)} {noun if count == 1 else plural(noun)}"

    def duration(self, seconds: float) -> str:
        """Say a stretch of time: 90 -> "one and a half minutes", 8100 -> "two hours and fifteen minutes"."""
        return _duration(seconds)

    def inches(self, value: float) -> str:
        """Say a length: 1 -> "one inch", 0.5 -> "half an inch", 1.25 -> "one and a quarter inches"."""
        eighths = value * 8
        if value == 0.5 or not 0 < value < 1 or eighths != int(eighths):
            return self.counted(value, "inch")
        return f"{_PARTS[int(eighths)]} inch".replace("eighths inch", "eighths of an inch")

    def spoon(self, teaspoons: float) -> str:
        """Say an amount of salt: 0.5 -> "half a teaspoon", 0.75 -> "three quarters of a teaspoon"."""
        eighths = teaspoons * 8
        if teaspoons == 0.5 or not 0 < teaspoons < 1 or eighths != int(eighths):
            return self.counted(teaspoons, "teaspoon")
        part = _PARTS[int(eighths)]
        return f"{part} teaspoon" if eighths in (1, 2) else f"{part} of a teaspoon"

    def pounds_pressure(self, psi: float) -> str:
        """Say a gauge pressure: 11 -> "eleven pounds pressure"."""
        return f"{self.number(psi)} {'pound' if psi == 1 else 'pounds'} pressure"

    def altitude(self, feet: int) -> str:
        """Say an altitude: 0 -> "sea level", 1200 -> "one thousand two hundred feet"."""
        return "sea level" if feet == 0 else self.counted(feet, "foot")

    def canner(self, number: int) -> str:
        """Call a canner by its number: 1 -> "canner one"."""
        return f"canner {self.number(number)}"

    def jars(self, jar: str, count: int | None = None) -> str:
        """Say a jar size: ("quart", 7) -> "seven quarts", ("quart", None) -> "quarts"."""
        return plural(self.jar(jar)) if count is None else self._counted(count, self.jar(jar))

    def jar(self, jar: str) -> str:
        """Say one jar of a size: "half-pint" -> "half pint"."""
        return _JARS.get(jar) or jar.replace("-", " ")

    def listed(self, items: Sequence[str], last: Joint = "or") -> str:
        """Join words: ["a", "b", "c"] -> "a, b or c"."""
        return f"{', '.join(items[:-1])} {last} {items[-1]}" if len(items) > 1 else "".join(items)


def plural(noun: str) -> str:
    """Return the plural of a noun: "canner" -> "canners", "bunch" -> "bunches", "entry" -> "entries"."""
    if noun in _ODD_PLURALS:
        return _ODD_PLURALS[noun]
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return f"{noun}es"
    return f"{noun[:-1]}ies" if re.search("[^aeiou]y$", noun) else f"{noun}s"


def _part(rest: float) -> str:
    """Say a part of one in eighths, thirds or sixteenths; "" for any other."""
    for size, parts in ((8, _PARTS), (3, ("", "a third", "two thirds")), (16, ("", "a sixteenth"))):
        count = round(rest * size)
        if abs(rest * size - count) < _NEAR and count < len(parts):
            return parts[count]
    return ""


@lru_cache(maxsize=2048)  # of what is said in a day most was said before
def _duration(seconds: float) -> str:
    parts = stretch(seconds)
    said = " and ".join(f"{_number(count)} {unit if count == 1 else plural(unit)}" for count, unit in parts)
    return f"about {said}" if parts[0][1] == "day" else said


@lru_cache(maxsize=2048)
def _number(value: float) -> str:
    if not math.isfinite(value) or not 0 <= value < 1_000_000:
        raise ValueError(f"{value} can't be said: 0 to 999,999")
    whole, rest = int(value), value - int(value)
    if rest == 0:
        return _whole(whole)
    part = _part(rest)
    if part:
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
