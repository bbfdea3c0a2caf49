"""Objections of the kitchen's profile to a report, whatever the load says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_name, named
from kitchenvoice.dialogue.now import needs_more, other_numbers
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Fact, Load

__all__ = [
    "note_settings",
    "over_the_canner",
    "refuse_other_numbers",
    "tell_other_numbers",
    "tell_remarks",
    "withhold_numbers",
]

_TOLD_AT = frozenset({"hold_done", "cooling", "seals_counted", "load_closed"})


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
    note_settings(talk)
    loads = [load for load in talk.kitchen.open_loads if load.canner == canner and load.processed_t is None]
    names = [load_name(talk, load) for load in loads if other_numbers(talk, load)]
    if names:
        talk.say("refusing", "loads_of_other_numbers", loads=capital(talk.language.listed(names, "and")))


def tell_remarks(talk: Talk, facts: Sequence[Fact]) -> None:
    """Say what was doubted of a hold, and by which settings it ran, at its end, at the count and when it is closed."""
    for fact in facts:
        load = talk.kitchen.load(fact.load) if fact.kind in _TOLD_AT else None
        if load is None or load.hold is None:
            continue
        if load.unfit:
            jars = talk.language.number(load.unfit)
            key = "unfit" if load.all_unfit else "unfit_some"
            talk.say("refusing", key, urgency=Urgency.CAUTION, load=capital(load_name(talk, load)), count=jars)
        kinds = [remark.kind for remark in load.remarks if remark.kind != "settings"]
        known = [kind if talk.language.has("refusing", kind) else "loss" for kind in dict.fromkeys(kinds)]
        said = [talk.language.phrase("refusing", kind) for kind in known]
        if said:
            remarks = talk.language.listed(said, "and")
            talk.say("refusing", "told", urgency=Urgency.CAUTION, load=load_name(talk, load), remarks=remarks)
        if load.low_liquid and fact.kind in ("seals_counted", "load_closed"):
            jars = talk.language.number(load.low_liquid)
            talk.say("refusing", "low_liquid", urgency=Urgency.CAUTION, load=capital(load_name(talk, load)), count=jars)
        if other_numbers(talk, load):
            _tell_done_by_others(talk, load)
        elif any(remark.kind == "settings" for remark in load.remarks):
            talk.say("refusing", "settings_back", urgency=Urgency.CAUTION, load=capital(load_name(talk, load)))


def _tell_done_by_others(talk: Talk, load: Load) -> None:
    text = talk.language.say("refusing", "done_by_other_numbers")
    talk.speak(named(talk, load, text), Urgency.CAUTION)


def note_settings(talk: Talk) -> None:
    """Note on the loads that were begun by other settings, until they are closed, that these have changed."""
    begun = [load for load in talk.kitchen.open_loads if load.holds and other_numbers(talk, load)]
    fresh = tuple(load.id for load in begun if all(remark.kind != "settings" for remark in load.remarks))
    if fresh:
        talk.record("doubt", None, loads=fresh, kind="settings")
    for load in begun:
        if load.id in fresh and load.processed_t is not None:
            _tell_done_by_others(talk, load)
    for load in talk.kitchen.open_loads:
        known = load.fault("settings") is not None
        if load.holds and needs_more(talk, load) is not known:
            talk.record("fault_mended" if known else "fault", load.id, fault="settings")


def over_the_canner(talk: Talk, load: Load, data: Mapping[str, Any]) -> str:
    """Say that the canner doesn't hold so many, by the profile; nothing if it does."""
    canner = talk.profile.canner(load.canner)
    holds = None if canner is None else canner.capacity.get(load.jar)
    if holds is None or data.get("count", load.jars) <= holds:
        return ""
    capacity = talk.language.jars(load.jar, holds)
    return talk.language.say("refusing", "over_canner", canner=load.canner_name, capacity=capacity)
