"""Planning by voice: from what is on hand to jars and loads, by the published yields, ranges as ranges."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.language import sentence
from kitchenvoice.reference import find_food, food_name
from kitchenvoice.reference.plan import plan

__all__ = ["plan_by_voice"]


@dataclass(frozen=True, slots=True)
class _Have:
    amount: float
    unit: str
    food: str | None
    jar: str | None


def plan_by_voice(talk: Talk, heard: Heard) -> None:
    """Answer what an amount of food will make; the food and the jars are asked for where they are missing."""
    slots = heard.slots
    have = _Have(float(slots["amount"]), str(slots["unit"]), slots.get("food"), slots.get("jar"))
    _go_on(talk, have, str(slots.get("food_group") or ""))


def _go_on(talk: Talk, have: _Have, group: str = "") -> None:
    if have.food is None:
        names = [food_name(each) or each.replace("_", " ") for each in find_food(group).candidates]
        _ask(talk, have, "food", talk.language.say("start", "ask_which", choices=talk.language.listed(names)))
    elif have.jar is None and talk.profile.usual_jar is None:
        choices = talk.language.listed([talk.language.jars("pint"), talk.language.jars("quart")])
        _ask(talk, have, "jar", talk.language.say("start", "ask_jar", choices=choices))
    else:
        _answer(talk, replace(have, jar=have.jar or talk.profile.usual_jar))


def _ask(talk: Talk, have: _Have, slot: str, prompt: str) -> None:
    def answer(heard: Heard) -> bool:
        if heard.intent != "choice" or not heard.slots.get(slot):
            return False
        talk.question = None
        change: dict[str, Any] = {slot: heard.slots[slot]}
        _go_on(talk, replace(have, **change))
        return True

    talk.ask(Question(slot, prompt, answer, intents=frozenset({"choice"}), keep=True))


def _answer(talk: Talk, have: _Have) -> None:
    plural = "" if have.amount == 1 else "s"
    told = plan(have.food, f"{have.amount:g} {have.unit}{plural}", have.jar, _capacity(talk, have.jar or ""))
    if told.status == "ok":
        talk.speak(sentence(talk.language.in_words(told.text or "")))
    else:
        talk.say("answers", "plan_refused", reason=talk.language.in_words(told.reason or ""))


def _capacity(talk: Talk, jar: str) -> int:
    """How many jars her largest canner holds; the published seven quarts or nine pints where none is given."""
    holds = [canner.capacity.get(jar, 0) for canner in talk.profile.canners]
    return max(holds, default=0) or (7 if jar in ("quart", "pint-and-half") else 9)
