"""The sheet of a food read aloud: its recipe with the amounts that make the process valid, or how it is packed."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Literal

from kitchenvoice.dialogue import forms, knowing
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import food_begun
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import Noun, capital
from kitchenvoice.reference import asked, find_food, food_name, lookup, sheet
from kitchenvoice.reference.beside import Ingredient, Preparation, Recipe
from kitchenvoice.reference.folding import folded, stemmed
from kitchenvoice.reference.food_talk import particulars, ways
from kitchenvoice.reference.names import refused_entry
from kitchenvoice.reference.nearness import says_little
from kitchenvoice.reference.sheets import Sheet, SheetJar, told_by_jar

__all__ = ["SHEET", "part_in_words", "read_sheet", "tell_added", "tell_part"]

_MOST_RECIPES = 2
_ADDED = "add_onions"
"""The family that asks whether another food may go in."""
_USUAL = ("pint", "quart")
_PRINTED = 0.02  # of a twelfth: 0.33 of a cup is a third of it
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
    question = asked(heard.text) if heard.slots.get("food_group") else None
    if question is not None:
        knowing.answer(talk, heard.text, question)
        return
    said = {name: value for name, value in heard.slots.items() if value is not None}
    food = talk.focus.food if talk.focus is not None else food_begun(talk)
    about = {"about": said.pop("about", None), "jar": said.pop("jar", None)}
    if not said or food in find_food(str(said.get("food_group") or "")).candidates:
        said = {"food": food}
    _go_on(talk, None, {**said, **about})


def tell_part(talk: Talk, said: str) -> bool:
    """Say how much of an ingredient the recipe of the food spoken of has, if that is asked; tell whether it is."""
    food = food_begun(talk) if talk.focus is None else talk.focus.food
    if food is None or not talk.language.hears("amount_asked", said):
        return False
    asked_of, told = _stems(folded(said)) - _stems(talk.language.jars("jar")), list[str]()
    for recipe in sheet(food).recipes[:_MOST_RECIPES]:
        alike = [(len(asked_of & _stems(item.what)), item.keep == "main", item) for item in recipe.ingredients]
        most = max(each[:2] for each in alike)
        parts = [_part(talk, item) for *number, item in alike if tuple(number) == most > (0, True)]
        jars = _jars(talk, recipe)
        key = "sheet_part" if jars else "sheet_part_plain"
        told += (
            [talk.language.say("sheets", key, jars=jars, parts=capital(". ".join(map(capital, parts))))]
            if parts
            else []
        )
    if told:
        talk.note("answered", said, family="ask_sheet", obeyed=True)
        talk.speak(" ".join(told))
    return bool(told)


def tell_added(talk: Talk, said: str) -> bool:
    """Say whether another food may go into the one that is begun or packed, if that is asked; tell whether it is."""
    food, named = food_begun(talk) if talk.focus is None else talk.focus.food, particulars(said)
    other = named.get("food") or named.get("food_group")
    if food is None or other in (None, food) or asked(said) is not None or ways(said):
        return False
    if (refused_entry(str(other)) or {"kind": "food"})["kind"] != "food":  # a canner, or a jar
        return False
    if not talk.language.hears("asks_to_add", said):
        return False
    answer = lookup(named.get("food"))
    if answer.status == "refused":
        talk.refuse(talk.language.in_words(answer.reason or ""))
    knowing.answer(talk, said, knowing.Asked(_ADDED, doubt=False))
    return True


def _stems(text: str) -> frozenset[str]:
    """Return the stems of the words of a text that name something."""
    words = re.findall(r"[a-z]+", text.lower())
    return frozenset(stemmed(word) for word in words if not says_little(word))


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    kinds = find_food(str(values.get("food_group") or "")).candidates
    if values.get("food") is None and kinds and _tell_alike(talk, kinds, values):
        return
    if values.get("food") is None:
        names = [food_name(each) for each in kinds]
        key = "ask_which" if names else "ask_food"
        prompt = talk.language.say("starting", key, choices=talk.language.listed(names) if names else "")
        forms.ask(talk, "sheet", "food", values, prompt, "food", kept=False)
        return
    made = sheet(str(values["food"]))
    if made.food is None:
        talk.refuse(talk.language.in_words(lookup(str(values["food"])).reason or ""))
        return
    about = values.get("about")
    recipes = made.recipes[:_MOST_RECIPES] if about in (None, *([] if made.preparations else ["packing"])) else ()
    if recipes:
        talk.speak(" ".join(_recipe(talk, made.name, recipe) for recipe in recipes))
    elif about == "yield":
        made_of = talk.language.listed([jars for recipe in made.recipes if (jars := _jars(talk, recipe))])
        if made_of:
            talk.say("sheets", "sheet_yield", food=capital(made.name), jars=made_of)
        else:
            jar = values.get("jar") or (talk.focus.jar if talk.focus is not None else None)
            talk.obey(Heard("ask_yield", {"food": made.food, "jar": jar}, "", talk.t))
    elif about in ("headspace", "salt", "acid"):
        key, told = _each_jar(talk, made, about, values.get("jar"))
        name = talk.language.table("foods").get(made.food, made.name)
        told = told or talk.language.phrase("sheets", "nothing")
        talk.say("sheets", key, food=_named(talk, name, (made,), values), told=told)
    else:
        load = talk.focus
        own = load.pack.replace("-", "_") if load is not None and load.food == made.food else None
        packs = [each for each in made.preparations if each.pack == own] or made.preparations
        first = about == "order" and packs[0].order if packs else None
        packing = first or " ".join(_packing(talk, each) for each in packs)
        talk.say("sheets", "sheet_packing", food=capital(made.name), packing=talk.language.in_words(packing))


def _tell_alike(talk: Talk, kinds: Sequence[str], values: Mapping[str, Any]) -> bool:
    """Say what goes in where the foods that a name may mean all get the same; tell whether they do."""
    about = values.get("about")
    if about not in ("headspace", "salt", "acid"):
        return False
    sheets = [sheet(each) for each in kinds]
    found = {_each_jar(talk, each, about, values.get("jar")) for each in sheets}
    key, told = found.pop()
    if found or not told:
        return False
    food = _named(talk, str(values["food_group"]).replace("_", " "), sheets, values)
    talk.say("sheets", key, food=food, told=told)
    return True


def _named(talk: Talk, food: str, sheets: Sequence[Sheet], values: Mapping[str, Any]) -> str:
    """Name the food, and the jar if that is what is told."""
    jar = str(values.get("jar") or "")
    if not all(_of_jar(each, jar) for each in sheets):
        return capital(food)
    return capital(talk.language.phrase("names", "shelf_jars", jars=talk.language.jars(jar), food=food))


def _of_jar(made: Sheet, jar: str) -> tuple[SheetJar, ...]:
    return tuple(each for each in made.jars if each.jar.replace("-", "_") == jar.replace("-", "_"))


def _each_jar(
    talk: Talk, made: Sheet, about: Literal["headspace", "salt", "acid"], asked_jar: str | None = None
) -> tuple[str, str]:
    """Return what the jar gets, and the sentence for it: pints and quarts if none is named, others where the food has
    neither; figures alone in the cook's language, else the published words, no sentence twice.
    """
    both = tuple(jar for jar in made.jars if jar.jar in _USUAL)
    usual = _of_jar(made, asked_jar or "") or (both if len(both) == len(_USUAL) else made.jars)
    figures = {jar.jar: jar.salt_tsp if about == "salt" else jar.headspace_in for jar in usual}
    amount = talk.language.spoon if about == "salt" else talk.language.inches
    amounts = {jar: amount(figure) for jar, figure in figures.items() if figure is not None}
    if about != "acid" and amounts and len(amounts) == len(usual):
        one = len(set(amounts.values())) == 1
        each = (text if one else f"{capital(talk.language.jar(jar))}: {text}" for jar, text in amounts.items())
        return "sheet_salt_free" if about == "salt" else "sheet_headspace", ". ".join(dict.fromkeys(each))
    told = " ".join(f"{text.rstrip('.')}." for text in told_by_jar(replace(made, jars=usual), about))
    published = " ".join(dict.fromkeys(re.split(r"(?<=\.) ", told))).rstrip(".")
    return f"sheet_{about}", talk.language.in_words(published)


def _packing(talk: Talk, preparation: Preparation) -> str:
    pack = talk.language.phrase("names", f"pack_{preparation.pack.replace('_', '-')}")
    return f"{capital(pack)}: {preparation.text}"


def _jars(talk: Talk, recipe: Recipe) -> str:
    """Say how many jars a recipe makes; "" if that isn't printed."""
    if recipe.jars is None:
        return ""
    low, high = recipe.jars
    jars = talk.language.jars((recipe.jar or "jar").replace("_", "-"), round(high))
    return jars if low == high else talk.language.phrase("sheets", "span", low=talk.language.number(low), high=jars)


def _recipe(talk: Talk, food: str, recipe: Recipe) -> str:
    jars = _jars(talk, recipe)
    parts = ". ".join(capital(_part(talk, item)) for item in recipe.ingredients)
    key = "sheet_recipe" if jars else "sheet_recipe_plain"
    name = f"{food}, {recipe.name}" if recipe.name else food
    return talk.language.say("sheets", key, food=capital(name), jars=jars, parts=parts)


def _part(talk: Talk, item: Ingredient) -> str:
    if item.keep == "free":
        return talk.language.phrase("sheets", "free", what=talk.language.in_words(item.what))
    return part_in_words(talk, item.what, item.most or item.amount, item.unit, item.keep, least=item.amount)


def part_in_words(talk: Talk, what: str, most: float, unit: str, keep: str, *, least: float | None = None) -> str:
    """Say how much of what, and whether it may be less or more: "four cups of vinegar, never less"."""
    given = ((most if least is None else least), most)
    low, high = (_amount(talk, *_in_a_cup(amount, unit, keep)) for amount in given)
    amount = low if low == high else talk.language.phrase("sheets", "span", low=low, high=high)
    told = talk.language.in_words(what)
    told = talk.language.phrase("sheets", "each" if unit == "each" else "of", amount=amount, what=told)
    return talk.language.phrase("sheets", keep, part=told)


def _in_a_cup(amount: float, unit: str, keep: str) -> tuple[float, str]:
    """Return an amount as it is measured where no cup has it: in quarters of a cup, under one in half tablespoons.

    What may never be less is rounded up, what may never be more down; what may be neither stays.
    """
    rounded = {"never_less": math.ceil, "never_more": math.floor}.get(keep)
    if unit != "cup" or rounded is None or abs(12 * amount - round(12 * amount)) < _PRINTED:
        return amount, unit
    return (rounded(4 * amount) / 4, unit) if amount > 1 else (rounded(32 * amount) / 2, "tbsp")


def _amount(talk: Talk, amount: float, unit: str) -> str:
    """Say an amount in its unit."""
    if unit == "each":
        return talk.language.number(amount)
    noun = _NOUNS[unit]
    if amount >= 1 or amount == 1 / 2:
        return talk.language.counted(amount, noun)
    return talk.language.phrase("sheets", "part", part=talk.language.number(amount), noun=noun)


SHEET = Form(forms.adding("food", "food_group"), _go_on)
"""Whose sheet is read."""
