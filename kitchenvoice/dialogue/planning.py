"""Planning by voice: from what is on hand to jars and loads, by the published yields, ranges as ranges."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital, sentence
from kitchenvoice.reference import find_food, food_name
from kitchenvoice.reference.library import product
from kitchenvoice.reference.plans import plan
from kitchenvoice.reference.yields import pounds_for

__all__ = ["PLAN", "plan_by_voice"]


def plan_by_voice(talk: Talk, heard: Heard) -> None:
    """Answer what an amount of food will make; the food and the jars are asked for where they are missing."""
    _go_on(talk, None, {name: value for name, value in heard.slots.items() if value is not None})


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    if values.get("food") is None:
        found = find_food(str(values.get("food_group") or "")).candidates
        names = talk.language.listed([food_name(each) or each.replace("_", " ") for each in found])
        _ask(talk, values, "food", talk.language.say("start", "ask_which", choices=names))
    elif values.get("jar") is None and talk.profile.usual_jar is None:
        choices = talk.language.listed([talk.language.jars("pint"), talk.language.jars("quart")])
        _ask(talk, values, "jar", talk.language.say("start", "ask_jar", choices=choices))
    else:
        _answer(talk, {**values, "jar": values.get("jar") or talk.profile.usual_jar})


def _ask(talk: Talk, values: Mapping[str, Any], slot: str, prompt: str) -> None:
    forms.ask(talk, "plan", slot, values, prompt, slot, kept=False)


def _fill(_: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    said = forms.chosen(heard, "food", "food_group", "jar")
    return None if said is None else {**frame.values, **said}


PLAN = Form(_fill, _go_on, lambda talk, _: talk.language.say("talk", "cancelled"))
"""What an amount of food will make."""


def _answer(talk: Talk, values: Mapping[str, Any]) -> None:
    jar = str(values["jar"])
    if "count" in values:
        _answer_pounds(talk, values["food"], int(values["count"]), jar)
        return
    amount = float(values["amount"])
    plural = "" if amount == 1 else "s"
    told = plan(values["food"], f"{amount:g} {values['unit']}{plural}", jar, _capacity(talk, jar))
    if told.status == "ok":
        talk.speak(sentence(talk.language.in_words(told.text or "")))
    else:
        talk.say("answers", "plan_refused", reason=talk.language.in_words(told.reason or ""))


def _answer_pounds(talk: Talk, food: str, count: int, jar: str) -> None:
    """Say how many pounds so many jars take, as a range."""
    pounds = pounds_for(product(food), count, jar.replace("-", "_"))
    if isinstance(pounds, str):
        talk.say("answers", "plan_refused", reason=talk.language.in_words(pounds))
        return
    low, high = math.floor(pounds.low), math.ceil(pounds.high)
    told = f"{high} pounds" if low == high else f"{low} to {high} pounds"
    jars = capital(talk.language.in_words(f"{count} {talk.language.jars(jar)}"))
    talk.say("answers", "pounds_for", count=jars, food=food_name(food) or "", pounds=talk.language.in_words(told))


def _capacity(talk: Talk, jar: str) -> int:
    """How many jars her largest canner holds; the published seven quarts or nine pints where none is given."""
    holds = [canner.capacity.get(jar, 0) for canner in talk.profile.canners]
    return max(holds, default=0) or (7 if jar in ("quart", "pint-and-half") else 9)
