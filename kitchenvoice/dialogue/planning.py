"""Planning by voice: from what is on hand to jars and loads, by the published yields, ranges as ranges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.form import food_by_jar, foods_named
from kitchenvoice.dialogue.plan_day import METHOD, how_long
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.sheets import part_in_words
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import Noun, capital, sentence
from kitchenvoice.reference import Quantity, Span, find_food, food_name, lookup
from kitchenvoice.reference.library import product
from kitchenvoice.reference.plans import Plan, plan
from kitchenvoice.reference.recipes import style_in
from kitchenvoice.reference.yields import pounds_for, usual_load

__all__ = ["PLAN", "plan_by_voice"]


def plan_by_voice(talk: Talk, heard: Heard) -> None:
    """Answer what an amount of food will make; the food and the jars are asked for where they are missing."""
    _go_on(talk, None, {name: value for name, value in heard.slots.items() if value is not None} | {"said": heard.text})


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    load = talk.focus
    if load is not None and load.food in find_food(str(values.get("food_group") or "")).candidates:
        values = {"jar": load.jar, **values, "food": load.food}
    if food := food_by_jar(str(values.get("food_group") or ""), values.get("jar")):
        values = {**values, "food": food}
    if values.get("food") is None:
        names = talk.language.listed(foods_named(str(values.get("food_group") or "")))
        _ask(talk, values, "food", talk.language.say("starting", "ask_which", choices=names))
    elif (asked := lookup(str(values["food"]))).status == "refused":
        talk.say("planning", "plan_refused", reason=talk.language.in_words(asked.reason or ""))
    elif values.get("jar") is None and talk.profile.usual_jar is None:
        jars = asked.choices.get("jar", ("pint", "quart"))
        choices = talk.language.listed([talk.language.jars(jar) for jar in jars])
        _ask(talk, values, "jar", talk.language.say("starting", "ask_jar", choices=choices))
    else:
        _answer(talk, {**values, "jar": values.get("jar") or talk.profile.usual_jar})


def _ask(talk: Talk, values: Mapping[str, Any], slot: str, prompt: str) -> None:
    forms.ask(talk, "plan", slot, values, prompt, slot, kept=False)


PLAN = Form(forms.adding("food", "food_group", "jar"), _go_on)
"""What an amount of food will make."""


def _answer(talk: Talk, values: Mapping[str, Any]) -> None:
    food, jar = str(values["food"]), str(values["jar"])
    if "amount" in values:
        have = Quantity(Fraction(float(values["amount"])), str(values["unit"]))
    else:  # jars, or a canner load
        have = Quantity(Fraction(int(values.get("count", _capacity(talk, food, jar)))), jar.replace("-", "_"))
        if "planned" not in values:
            _answer_pounds(talk, food, int(have.amount), jar)
            return
    style = style_in(product(food), str(values.get("said")))
    told = plan(food, have, jar, _capacity(talk, food, jar), style=style)
    if told.status == "ok":
        talk.planned = told
        made = sentence(talk.language.in_words(told.text or ""))
        talk.speak(" ".join(filter(None, (made, _takes(talk, told), how_long(talk, told)))))
    else:
        talk.say("planning", "plan_refused", reason=talk.language.in_words(told.reason or ""))


def _takes(talk: Talk, told: Plan) -> str:
    """Say how many lids it takes at most, how much acid and salt, and what the recipe wants exactly."""
    if not told.lids or told.lids.high < 2:
        return ""
    language = talk.language

    def amount(span: Span | None, key: str, noun: Noun) -> str:
        return language.phrase("planning", key, amount=language.counted(span.high, noun)) if span else ""

    acid = (amount(told.lemon_juice_tbsp, "lemon", "tablespoon"), amount(told.citric_acid_tsp, "citric", "teaspoon"))
    parts = [
        language.phrase("planning", "lids", amount=language.number(told.lids.high)),
        language.listed([each for each in acid if each]),
        amount(told.salt_tsp, "salt", "teaspoon"),
    ]
    exact = (each for each in told.recipe if each.keep not in ("main", "free"))
    parts += [part_in_words(talk, each.what, each.high, each.unit, each.keep) for each in exact]
    return language.say("planning", "takes", needs=language.listed([part for part in parts if part], "and"))


def _answer_pounds(talk: Talk, food: str, count: int, jar: str) -> None:
    """Say how many pounds so many jars take, as a range."""
    pounds = pounds_for(product(food), count, jar.replace("-", "_"))
    if isinstance(pounds, str):
        talk.say("planning", "plan_refused", reason=talk.language.in_words(pounds))
        return
    low, high = math.floor(pounds.low), math.ceil(pounds.high)
    told = talk.language.counted(high, "pound")
    if low != high:
        told = talk.language.phrase("sheets", "span", low=talk.language.number(low), high=told)
    jars = capital(talk.language.jars(jar, count))
    talk.say("planning", "pounds_for", count=jars, food=food_name(food), pounds=told)


def _capacity(talk: Talk, food: str, jar: str) -> int:
    """How many jars the largest canner holds, a kettle for boiling water; where none is known, the guide's own load."""
    boils = METHOD in lookup(food, jar=jar).choices.get("method", ())
    holds = [canner.capacity.get(jar, 0) for canner in talk.profile.canners if canner.gauge is None or not boils]
    return max(holds, default=0) or usual_load(jar)
