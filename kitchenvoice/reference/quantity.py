"""Understand what is on hand: "28 lb", "half a bushel", "three pecks", "14 jars", "two rows of seven jars"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from kitchenvoice.errors import BadInput

from .inputs import nearest

__all__ = ["LARGEST", "UNITS", "Quantity", "parse_have"]

_JARS = frozenset({"jar", "half_pint", "twelve_ounce", "pint", "pint_and_half", "quart", "half_gallon"})

_UNITS = {
    "pound": "pound pounds lb lbs",
    "ounce": "ounce ounces oz",
    "kilogram": "kilogram kilograms kilo kilos kg",
    "gram": "gram grams g",
    "bushel": "bushel bushels bu",
    "peck": "peck pecks",
    "crate": "crate crates",
    "lug": "lug lugs",
    "bag": "bag bags",
    "jar": "jar jars",
    "pint": "pint pints",
    "quart": "quart quarts",
    "half_pint": "half-pint half-pints",
    "half_gallon": "half-gallon half-gallons",
    "cup": "cup cups",
    "batch": "batch batches recipe recipes",
}
UNITS = {word: unit for unit, words in _UNITS.items() for word in words.split()}
"""Every word for a unit, with the unit."""
_NUMBERS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_PARTS = {"half": Fraction(1, 2), "quarter": Fraction(1, 4), "three-quarters": Fraction(3, 4)}
_PARTS_OF_ONE = {Fraction(1, 2): "half", Fraction(1, 4): "a quarter of", Fraction(3, 4): "three quarters of"}
_FILLERS = {"and", "a", "an", "of"}
_HELP = 'Say how much there is as a number and a unit, like "28 lb" or "2 bushels".'
LARGEST = 100_000
"""The most of a unit that is taken for an amount on hand."""


@dataclass(frozen=True)
class Quantity:
    """An amount of food: a number, and pound, ounce, kilogram, gram, bushel, peck, crate, lug or bag.

    Or empty jars that stand ready to be filled (jar, pint, quart ...), or what a recipe goes by (cup, batch).
    """

    amount: Fraction
    unit: str

    @property
    def counts_jars(self) -> bool:
        """True of jars that stand ready, false of an amount of food."""
        return self.unit in _JARS

    @property
    def text(self) -> str:
        """Return the quantity as it is read back: half a bushel, 1 pound, 2.5 pounds."""
        if self.amount in _PARTS_OF_ONE:
            return f"{_PARTS_OF_ONE[self.amount]} a {self.unit}"
        plural = "" if self.amount == 1 else "es" if self.unit[-1] == "h" else "s"
        return f"{float(self.amount):g} {self.unit.replace('_', ' ')}{plural}"


def parse_have(text: str) -> Quantity:
    """Understand an amount on hand.

    Raises:
        BadInput: the words aren't a positive number and a known unit.
    """
    said = (
        re.sub(r"(?<=\d),(?=\d{3}(?:\D|$))", "", text.lower())
        .replace("½", " 1/2")
        .replace("three quarters", "three-quarters")
    )
    said = re.sub(r"\bhalf[- ](pint|gallon)", r"half-\1", said)  # two words for one size of jar
    words = re.sub(r"(\d)\s*([a-z])", r"\1 \2", said).split()
    rows = _rows(words)
    if rows is not None:
        return rows
    if words and words[-1] in UNITS:
        amount = _amount(words[:-1])
        if amount is not None and 0 < amount <= LARGEST:
            return Quantity(amount, UNITS[words[-1]])
    meant = nearest(words[-1], UNITS) if len(words) > 1 and words[-1] not in UNITS else None
    raise BadInput(f"I don't know {words[-1]}. Did you mean {meant}?" if meant else _HELP)


def _rows(words: list[str]) -> Quantity | None:
    """Understand "2 rows of 7 jars"."""
    if len(words) not in (4, 5) or words[1] not in ("row", "rows") or words[2] != "of":
        return None
    rows, jars = _value(words[0]), _value(words[3])
    unit = UNITS.get(words[4]) if len(words) == 5 else "jar"
    if rows is None or jars is None or unit not in _JARS or not 0 < rows * jars <= LARGEST:
        return None
    return Quantity(rows * jars, unit)


def _amount(words: list[str]) -> Fraction | None:
    values = [_value(word) for word in words if word not in _FILLERS]
    if not values and words in (["a"], ["an"]):
        return Fraction(1)
    match values:
        case [Fraction() as only]:
            return only
        case [Fraction() as whole, Fraction() as part] if whole.denominator == 1 and part < 1:
            return whole + part
        case _:
            return None


def _value(word: str) -> Fraction | None:
    if word in _PARTS:
        return _PARTS[word]
    if word in _NUMBERS:
        return Fraction(_NUMBERS.index(word))
    if re.fullmatch(r"\d{1,9}(\.\d{1,6})?|\d{1,3}/[1-9]\d{0,2}", word, re.ASCII):
        return Fraction(word)
    return None
