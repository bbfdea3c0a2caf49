"""Batches of a recipe from the amount on hand, the jars filled, and the rest of the shopping list."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from .answer import tidy
from .beside import Ingredient, Recipe
from .library import conversions
from .measures import PINTS, Span, exact, pounds
from .models import Product
from .quantity import Quantity

__all__ = ["RecipeAmount", "amounts", "batches", "filled", "main_of", "recipe_for", "recipes_for", "spelt", "style_in"]

_CUPS = {"cup": 1, "pint": 2, "quart": 4}
_SPELT = {"lb": "pound", "oz": "ounce", "tbsp": "tablespoon", "tsp": "teaspoon"}


@dataclass(frozen=True)
class RecipeAmount:
    """How much of one thing the planned jars take, least and most, in the unit that the recipe prints.

    ``keep`` is that of :class:`.beside.Ingredient`: whether it may be less or more.
    """

    what: str
    low: float
    high: float
    unit: str
    keep: str


def recipes_for(item: Product, jar: str, style: str | None = None) -> list[Recipe]:
    """Return the recipes that fill jars: of that name where they have names, and for that jar size where one is.

    Where the guide prints one recipe in two sizes, the larger is the one that a batch means.
    """
    named = [r for r in item.recipes if r.jars and (style is None or r.name == style)]
    fitting = sorted((r for r in named if r.jar == jar), key=_most) or sorted(named, key=_most)
    return list({(r.name, r.jar): r for r in fitting}.values())


def recipe_for(item: Product, jar: str, count: float, style: str | None = None) -> Recipe | None:
    """Return the one recipe to go by for so many jars: the largest that goes into them evenly, else the smallest.

    None where there is none, or where several have names and none of them is given.
    """
    found = recipes_for(item, jar, style)
    if len({r.name for r in found}) != 1:
        return None
    sizes = sorted((r for r in item.recipes if (r.name, r.jar) == (found[-1].name, found[-1].jar)), key=_most)
    even = [r for r in sizes if r.jars and r.jars[0] == r.jars[1] and count and count % r.jars[0] == 0]
    return even[-1] if even else sizes[0]


def style_in(item: Product, line: str) -> str | None:
    """Return the one style or named recipe that a line of words says: thin, peach, strawberry (a berry); else None."""
    called: dict[str, tuple[str, ...]] = {style: (style,) for style in item.yields.styles}
    called |= {r.name: (r.name, *r.also) for r in item.recipes if r.name}
    words = {re.sub("ies$", "y", word) for word in line.lower().split()}
    found = [key for key, names in called.items() if any(words & {name, f"{name}s", f"{name}es"} for name in names)]
    return found[0] if len(found) == 1 else None


def _most(recipe: Recipe) -> float:
    return recipe.jars[1] if recipe.jars else 0


def spelt(item: Ingredient) -> str:
    """Spell an amount as it is said: 8 pounds of cucumbers, 10 to 11 pounds of green tomatoes, 4 jalapeno peppers."""
    number = f"{item.amount:g}" if item.most is None else f"{item.amount:g} to {item.most:g}"
    if item.unit == "each":
        return f"{number} {item.what}"
    unit = _SPELT.get(item.unit, item.unit) + ("" if (item.most or item.amount) <= 1 else "s")
    return f"{number} {unit} of {item.what}"


def main_of(recipe: Recipe) -> list[Ingredient]:
    """Return what the recipe goes by."""
    return [i for i in recipe.ingredients if i.keep == "main"]


def batches(recipe: Recipe, have: Quantity) -> tuple[Fraction, Fraction] | str:
    """Return how often the recipe can be made, least and most, or one sentence saying why that isn't to be told."""
    if have.unit == "batch":
        return have.amount, have.amount
    main = main_of(recipe)
    measured = [i for i in main if i.unit in (_CUPS if have.unit == "cup" else ("lb", "oz"))]
    if len(main) != 1 or not measured:
        return f"The recipe goes by {' and '.join(map(spelt, main))}. Say how many batches"
    amount = have.amount if have.unit == "cup" else pounds(have, None)
    if isinstance(amount, str):
        return amount
    least, most = (
        _in_one_unit(size, measured[0].unit) for size in (measured[0].most or measured[0].amount, measured[0].amount)
    )
    return amount / least, amount / most


def filled(recipe: Recipe, times: tuple[Fraction, Fraction], jar: str) -> tuple[Fraction, Fraction]:
    """Return the jars of a size that so many batches fill, least and most; sizes are carried over by volume."""
    assert recipe.jars is not None
    each = PINTS[recipe.jar or jar] / PINTS[jar]
    return times[0] * exact(recipe.jars[0]) * each, times[1] * exact(recipe.jars[1]) * each


def amounts(recipe: Recipe, have: Quantity, jars: Span, jar: str) -> tuple[RecipeAmount, ...]:
    """Return what it takes of everything in the recipe: for so many batches, or else for so many jars.

    For jars it is as much of everything as surely fills them: in one proportion, or the acid might be too little.
    """
    times = batches(recipe, have)
    if isinstance(times, str):
        if recipe.jars is None:
            return ()
        each = PINTS[recipe.jar or jar] / PINTS[jar]
        times = (exact(jars.high) / (exact(recipe.jars[0]) * each),) * 2
    return tuple(_amount(i, *times) for i in recipe.ingredients)


def _amount(item: Ingredient, low: Fraction, high: Fraction) -> RecipeAmount:
    ends = exact(item.amount) * low, exact(item.most or item.amount) * high
    rounded = [_hundredths(end, item.keep) for end in ends]
    return RecipeAmount(item.what, rounded[0], rounded[1], item.unit, item.keep)


def _hundredths(amount: Fraction, keep: str) -> float:
    """Round to the valid side of the recipe: minimums up, maximums down."""
    way = {"never_less": math.ceil, "never_more": math.floor}.get(keep, round)
    return tidy(way(amount * 100) / 100)


def _in_one_unit(amount: float, unit: str) -> Fraction:
    if unit in _CUPS:
        return exact(amount) * _CUPS[unit]
    return exact(amount) / (exact(conversions()["oz_per_lb"]) if unit == "oz" else 1)
