"""The sheet of a food read aloud: its recipe with the amounts that make the process valid, or how it is packed."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import Noun, capital
from kitchenvoice.ports import Urgency
from kitchenvoice.reference import find_food, food_name, lookup, sheet
from kitchenvoice.reference.beside import Ingredient, Preparation, Recipe

__all__ = ["SHEET", "read_sheet"]

_MOST_RECIPES = 2
_THIRD = 3
_HALF = Fraction(1, 2)
_NOUNS: Mapping[str, Noun] = MappingProxyType(
    {
        "lb": "pound",
        "oz": "ounce",
        "tbsp": "tablespoon",
        "tsp": "teaspoon",
        "cup": "cup",
        "pint": "pint",
        "quart": "quart",
    }
)


def read_sheet(talk: Talk, heard: Heard) -> None:
    """Read the sheet of a food, where its name or none may mean the load spoken of that of the load; else ask which."""
    said = {name: value for name, value in heard.slots.items() if value is not None}
    begun = talk.question.values.get("food") if talk.question is not None else None
    food = talk.focus.food if talk.focus is not None else begun
    if not said or food in find_food(str(said.get("food_group") or "")).candidates:
        said = {"food": food}
    _go_on(talk, None, said)


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    if values.get("food") is None:
        names = [food_name(each) for each in find_food(str(values.get("food_group") or "")).candidates]
        key = "ask_which" if names else "ask_food"
        prompt = talk.language.say("start", key, choices=talk.language.listed(names) if names else "")
        forms.ask(talk, "sheet", "food", values, prompt, "food", kept=False)
        return
    made = sheet(str(values["food"]))
    if made.food is None:
        talk.reason = talk.language.in_words(lookup(str(values["food"])).reason or "")
        talk.say("start", "refused", urgency=Urgency.CAUTION, reason=talk.reason)
        return
    recipes = made.recipes[:_MOST_RECIPES]
    if recipes:
        talk.speak(" ".join(_recipe(talk, made.name, recipe) for recipe in recipes))
        return
    packing = " ".join(_packing(talk, each) for each in made.preparations)
    talk.say("answers", "sheet_packing", food=capital(made.name), packing=talk.language.in_words(packing))


def _packing(talk: Talk, preparation: Preparation) -> str:
    pack = talk.language.phrase("names", f"pack_{preparation.pack.replace('_', '-')}")
    return f"{capital(pack)}: {preparation.text}"


def _recipe(talk: Talk, food: str, recipe: Recipe) -> str:
    jars = talk.language.jars((recipe.jar or "jar").replace("_", "-"), round(recipe.jars[1])) if recipe.jars else ""
    parts = ". ".join(capital(_part(talk, item)) for item in recipe.ingredients)
    key = "sheet_recipe" if jars else "sheet_recipe_plain"
    name = f"{food}, {recipe.name}" if recipe.name else food
    return talk.language.say("answers", key, food=capital(name), jars=jars, parts=parts)


def _part(talk: Talk, item: Ingredient) -> str:
    what = talk.language.in_words(item.what)
    if item.keep == "free":
        return talk.language.phrase("recipe", "free", what=what)
    low, high = (_amount(talk, amount, item.unit) for amount in (item.amount, item.most or item.amount))
    amount = low if low == high else talk.language.phrase("recipe", "span", low=low, high=high)
    told = talk.language.phrase("recipe", "each" if item.unit == "each" else "of", amount=amount, what=what)
    return talk.language.phrase("recipe", item.keep, part=told)


def _amount(talk: Talk, amount: float, unit: str) -> str:
    """Say an amount in its unit; thirds, which no other measure has, in words of their own."""
    exact = Fraction(amount).limit_denominator(16)
    if unit == "each":
        return talk.language.number(amount)
    noun = _NOUNS[unit]
    whole, rest = divmod(exact, 1)
    if exact.denominator != _THIRD and (whole or exact == _HALF):
        return talk.language.counted(float(exact), noun)
    thirds = exact.denominator == _THIRD
    part = talk.language.phrase("recipe", f"thirds_{rest.numerator}") if thirds else talk.language.number(float(rest))
    if whole:
        return talk.language.phrase("recipe", "and_part", whole=talk.language.counted(int(whole), noun), part=part)
    return talk.language.phrase("recipe", "part", part=part, noun=noun)


def _fill(_: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    said = forms.chosen(heard, "food", "food_group")
    return None if said is None else {**frame.values, **said}


SHEET = Form(_fill, _go_on, lambda talk, _: talk.language.say("talk", "cancelled"))
"""Whose sheet is read."""
