"""How many jars an amount of food fills, by the published yields only; ranges stay ranges."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from .library import conversions
from .models import Container, Product, StyleYield, Yields
from .names import food_name
from .quantity import Quantity

__all__ = ["Span", "jars_from"]

_PINTS = {
    "half_pint": Fraction(1, 2),
    "pint": Fraction(1),
    "pint_and_half": Fraction(3, 2),
    "quart": Fraction(2),
    "half_gallon": Fraction(4),
}


@dataclass(frozen=True)
class Span:
    """Hold a range, with the average where one is printed."""

    low: float
    high: float
    typical: float | None = None


def jars_from(item: Product, have: Quantity, jar: str, style: str | None = None) -> Span | str:
    """Return how many whole jars an amount fills, or one sentence saying why that isn't published."""
    if have.unit in ("jar", "pint", "quart"):
        return _jars_on_hand(have, jar)
    yields = item.yields
    if style and style not in yields.styles:
        return f"No {style} style is printed for {food_name(item.id)}."
    tables: list[Yields | StyleYield] = [yields.styles[style]] if style else list(yields.styles.values()) or [yields]
    weight = _pounds(have, tables[0].container)
    if isinstance(weight, str):
        return f"{weight} of {food_name(item.id)}. Weigh it and say the pounds."
    if yields.recipe:
        each = [weight / _exact(yields.recipe.lb) * _exact(p) / _PINTS[jar] for p in yields.recipe.pints]
        return Span(math.floor(min(each)), math.floor(max(each)))
    counted = [weight / per_jar for table in tables for per_jar in _pounds_per_jar(table, jar)]
    if not counted:
        return f"No yield by weight is printed for {food_name(item.id)}. Count the jars instead."
    typical = [weight / load for table in tables if (load := _load_average(table, jar))]
    low, high = min(counted), max(counted)
    if have.unit == _name(tables[0].container) and (printed := _printed(tables, jar, have.amount)):
        low, high = printed
    average = min(max(typical[0], low), high) if len(typical) == 1 else None
    return Span(math.floor(low), math.floor(high), None if average is None else math.floor(average))


def _jars_on_hand(have: Quantity, jar: str) -> Span | str:
    """Empty jars are as many as they are; one size isn't counted as another."""
    if have.amount.denominator != 1:
        return "Jars are counted in whole numbers."
    if have.unit not in ("jar", jar):
        return f"The {have.unit}s on hand aren't {jar.replace('_', ' ')} jars."
    return Span(int(have.amount), int(have.amount), int(have.amount))


def _pounds(have: Quantity, container: Container | None) -> Fraction | str:
    units = conversions()
    exact = {
        "pound": Fraction(1),
        "ounce": 1 / _exact(units["oz_per_lb"]),
        "kilogram": 1 / _exact(units["kg_per_lb"]),
        "gram": 1 / _exact(units["kg_per_lb"]) / 1000,
    }
    if have.unit in exact:
        return have.amount * exact[have.unit]
    if container and container.name == have.unit:
        return have.amount * _exact(container.weight_lb)
    if have.unit == "peck" and container and container.name == "bushel":
        return have.amount * _exact(container.weight_lb) / _exact(units["pecks_per_bushel"])
    return f"No yield is published for a {have.unit}"


def _pounds_per_jar(table: Yields | StyleYield, jar: str) -> Iterable[Fraction]:
    """Yield every printed ratio of pounds to a jar; other sizes go by their volume, which is exact."""
    size = _PINTS[jar]
    load = _load_average(table, jar)
    if load:
        yield load
    if table.lb_per_quart and jar != "pint":
        yield from (_exact(pounds) * size / 2 for pounds in table.lb_per_quart)
    per_pint = getattr(table, "lb_per_pint", None)
    if per_pint:
        yield from (_exact(pounds) * size for pounds in per_pint)
    box = table.container
    if box:
        yield from (_exact(box.weight_lb) * size / (2 * _exact(quarts)) for quarts in box.quarts or ())
        yield from (_exact(box.weight_lb) * size / _exact(pints) for pints in box.pints or ())


def _load_average(table: Yields | StyleYield, jar: str) -> Fraction | None:
    quart = table.lb_per_7_quarts and _exact(table.lb_per_7_quarts) / 7
    pint = table.lb_per_9_pints and _exact(table.lb_per_9_pints) / 9
    if jar in ("quart", "pint_and_half", "half_gallon"):
        return quart * _PINTS[jar] / 2 if quart else None
    return pint * _PINTS[jar] if pint else None


def _printed(tables: list[Yields | StyleYield], jar: str, count: Fraction) -> tuple[Fraction, Fraction] | None:
    pints = []
    for box in (table.container for table in tables):
        if box:
            pints += [2 * _exact(quarts) for quarts in box.quarts or ()] + [_exact(pints) for pints in box.pints or ()]
    return (count * min(pints) / _PINTS[jar], count * max(pints) / _PINTS[jar]) if pints else None


def _name(container: Container | None) -> str | None:
    return container.name if container else None


def _exact(number: float) -> Fraction:
    return Fraction(str(number))
