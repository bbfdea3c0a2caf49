"""What the profile of the kitchen says against a report, whatever the load says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_name, named
from kitchenvoice.dialogue.now import other_numbers
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Fact, Load

__all__ = ["caution_when_done", "over_the_canner", "refuse_other_numbers", "tell_other_numbers", "withhold_numbers"]


def refuse_other_numbers(talk: Talk, load: Load) -> bool:
    """Refuse to begin a vent or hold by numbers that were looked up for another altitude, gauge or dial."""
    return not load.holding and withhold_numbers(talk, load)


def withhold_numbers(talk: Talk, load: Load) -> bool:
    """Say that the numbers of a load that isn't processed yet don't hold any more, if they don't."""
    text = "" if load.processed_t is not None else other_numbers(talk, load)
    talk.speak(named(talk, load, text) if text else "", Urgency.CAUTION)
    return bool(text)


def tell_other_numbers(talk: Talk, canner: int) -> None:
    """Say which open loads of a canner were set by what was known of it before."""
    loads = [load for load in talk.kitchen.open_loads if load.canner == canner and load.processed_t is None]
    names = [load_name(talk, load) for load in loads if other_numbers(talk, load)]
    if names:
        talk.say("start", "loads_of_other_numbers", loads=capital(talk.language.listed(names, "and")))


def caution_when_done(talk: Talk, facts: Sequence[Fact]) -> None:
    """Say it of a hold that ends by numbers that the kitchen's settings don't give any more."""
    for fact in facts:
        load = talk.kitchen.load(fact.load) if fact.kind == "hold_done" else None
        if load is not None and other_numbers(talk, load):
            text = talk.language.say("objections", "done_by_other_numbers")
            talk.speak(named(talk, load, text), Urgency.CAUTION)


def over_the_canner(talk: Talk, load: Load, data: Mapping[str, Any]) -> str:
    """Say that the canner doesn't hold so many, by the profile; nothing if it does."""
    canner = talk.profile.canner(load.canner)
    holds = None if canner is None else canner.capacity.get(load.jar)
    if holds is None or data.get("count", load.jars) <= holds:
        return ""
    capacity = talk.language.jars(load.jar, holds)
    return talk.language.say("objections", "over_canner", canner=load.canner_name, capacity=capacity)
