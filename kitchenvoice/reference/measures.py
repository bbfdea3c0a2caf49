"""Measures that are exact by definition: jars in pints, weights in pounds."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .beside import Container
from .library import conversions
from .quantity import Quantity

__all__ = ["PINTS", "Span", "exact", "pounds"]

PINTS = {
    "half_pint": Fraction(1, 2),
    "twelve_ounce": Fraction(3, 4),
    "pint": Fraction(1),
    "pint_and_half": Fraction(3, 2),
    "quart": Fraction(2),
    "half_gallon": Fraction(4),
}


@dataclass(frozen=True)
class Span:
    """A range, with the average where one is printed."""

    low: float
    high: float
    typical: float | None = None


def exact(number: float) -> Fraction:
    """Return a printed number as the fraction that it is."""
    return Fraction(str(number))


def pounds(have: Quantity, container: Container | None) -> Fraction | str:
    """Return the pounds of an amount, or one sentence saying why they aren't known."""
    units = conversions()
    in_pounds = {
        "pound": Fraction(1),
        "ounce": 1 / exact(units["oz_per_lb"]),
        "kilogram": 1 / exact(units["kg_per_lb"]),
        "gram": 1 / exact(units["kg_per_lb"]) / 1000,
    }
    if have.unit in in_pounds:
        return have.amount * in_pounds[have.unit]
    if container and container.name == have.unit:
        return have.amount * exact(container.weight_lb)
    if have.unit == "peck" and container and container.name == "bushel":
        return have.amount * exact(container.weight_lb) / exact(units["pecks_per_bushel"])
    return f"No yield is published for a {have.unit}"
