"""Number of jars that an amount of food fills, by the published yields only; ranges stay ranges."""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

from .beside import Container, StyleYield, Yields
from .measures import PINTS, Span, exact, pounds
from .models import Product
from .names import food_name
from .quantity import Quantity
from .recipes import batches, filled, recipes_for

__all__ = ["jars_from", "pounds_for", "usual_load"]


def usual_load(jar: str) -> int:
    """Return the jars that the guide counts to a canner load: nine pints or smaller ones, seven larger."""
    return 9 if jar.replace("-", "_") in ("half_pint", "twelve_ounce", "pint") else 7


def jars_from(item: Product, have: Quantity, jar: str, style: str | None = None) -> Span | str:
    """Return the number of whole jars that an amount fills, or one sentence saying why that isn't published."""
    if have.counts_jars:
        return _jars_on_hand(have, jar)
    yields = item.yields
    named = {recipe.name for recipe in item.recipes}
    if style and style not in yields.styles and style not in named:
        return f"No {style} style is printed for {food_name(item.id)}."
    if item.recipes and not _by_weight(yields):
        return _by_recipe(item, have, jar, style)
    tables: list[Yields | StyleYield] = [yields.styles[style]] if style else list(yields.styles.values()) or [yields]
    weight = pounds(have, tables[0].container)
    if isinstance(weight, str):
        return f"{weight} of {food_name(item.id)}. Weigh it and say the pounds."
    counted = [weight / per_jar for table in tables for per_jar in _pounds_per_jar(table, jar)]
    if not counted:
        return f"No yield by weight is printed for {food_name(item.id)}. Count the jars instead."
    typical = [weight / load for table in tables if (load := _load_average(table, jar))]
    low, high = min(counted), max(counted)
    if have.unit == _name(tables[0].container) and (printed := _printed(tables, jar, have.amount)):
        low, high = printed
    average = min(max(typical[0], low), high) if len(typical) == 1 else None
    return Span(math.floor(low), math.floor(high), None if average is None else math.floor(average))


def pounds_for(item: Product, count: int, jar: str) -> Span | str:
    """Return the pounds for so many jars by the printed yields, or the reason for none."""
    tables: list[Yields | StyleYield] = list(item.yields.styles.values()) or [item.yields]
    each = [pounds for table in tables for pounds in _pounds_per_jar(table, jar)]
    if not each:
        return f"No yield by weight is printed for {food_name(item.id)}."
    return Span(float(count * min(each)), float(count * max(each)))


def _by_weight(yields: Yields) -> bool:
    return bool(yields.styles or yields.lb_per_7_quarts or yields.lb_per_9_pints or yields.container)


def _by_recipe(item: Product, have: Quantity, jar: str, style: str | None) -> Span | str:
    found = []
    for recipe in recipes_for(item, jar, style):
        times = batches(recipe, have)
        if isinstance(times, str):
            return f"{times}, or count the jars." if "batches" in times else f"{times} of {food_name(item.id)}."
        found.append(filled(recipe, times, jar))
    if not found:
        return f"No yield is printed for {food_name(item.id)}. Count the jars instead."
    return Span(math.floor(min(low for low, _ in found)), math.floor(max(high for _, high in found)))


def _jars_on_hand(have: Quantity, jar: str) -> Span | str:
    """Empty jars are as many as they are; one size isn't counted as another."""
    if have.amount.denominator != 1:
        return "Jars are counted in whole numbers."
    if have.unit not in ("jar", jar):
        return f"The {have.unit.replace('_', ' ')}s on hand aren't {jar.replace('_', ' ')} jars."
    return Span(int(have.amount), int(have.amount), int(have.amount))


def _pounds_per_jar(table: Yields | StyleYield, jar: str) -> Iterable[Fraction]:
    """Yield every printed ratio of pounds to a jar; other sizes go by their volume, which is exact."""
    size = PINTS[jar]
    yield from _loads(table, jar)
    if table.lb_per_quart and jar != "pint":
        yield from (exact(pounds) * size / 2 for pounds in table.lb_per_quart)
    per_pint = getattr(table, "lb_per_pint", None)
    if per_pint:
        yield from (exact(pounds) * size for pounds in per_pint)
    box = table.container
    if box:
        yield from (exact(box.weight_lb) * size / (2 * exact(quarts)) for quarts in box.quarts or ())
        yield from (exact(box.weight_lb) * size / exact(pints) for pints in box.pints or ())


def _load_average(table: Yields | StyleYield, jar: str) -> Fraction | None:
    loads = list(_loads(table, jar))
    return loads[0] if len(loads) == 1 else None


def _loads(table: Yields | StyleYield, jar: str) -> Iterable[Fraction]:
    """Yield the pounds to a jar by the printed canner load: one average, or the two ends of a printed range."""
    quarts, pints = _ends(table.lb_per_7_quarts), _ends(table.lb_per_9_pints)
    half_pints = _ends(getattr(table, "lb_per_9_half_pints", None))
    if jar in ("quart", "pint_and_half", "half_gallon"):
        yield from (load / 7 * PINTS[jar] / 2 for load in quarts)
    elif jar == "half_pint" and half_pints:
        yield from (load / 9 for load in half_pints)
    else:
        yield from (load / 9 * PINTS[jar] for load in pints)


def _ends(load: float | tuple[float, float] | None) -> tuple[Fraction, ...]:
    if load is None:
        return ()
    return tuple(exact(end) for end in (load if isinstance(load, tuple) else (load,)))


def _printed(tables: list[Yields | StyleYield], jar: str, count: Fraction) -> tuple[Fraction, Fraction] | None:
    pints = []
    for box in (table.container for table in tables):
        if box:
            pints += [2 * exact(quarts) for quarts in box.quarts or ()] + [exact(pints) for pints in box.pints or ()]
    return (count * min(pints) / PINTS[jar], count * max(pints) / PINTS[jar]) if pints else None


def _name(container: Container | None) -> str | None:
    return container.name if container else None
