"""Counts of seals, whole or jar by jar, what became of the jars, and those that broke."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import frames
from kitchenvoice.dialogue.belonging import just_named
from kitchenvoice.dialogue.choosing import ask_which
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.reports import refuse_stage, take
from kitchenvoice.dialogue.taking import DROPPED, take_for
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Load, loads_for

__all__ = ["HANDLERS"]


def _seal_count(talk: Talk, heard: Heard) -> None:
    slots, counted = heard.slots, _counted(talk, heard)
    if counted is not None and "bare" in slots:
        refuse_stage(talk, heard.intent, heard.text, (counted,))
    elif counted is not None:
        _count_again(talk, heard, counted)
    elif "sealed" in slots and "failed" in slots:
        take(talk, heard, "seal_count", {"sealed": slots["sealed"], "failed": slots["failed"]})
    elif "rest" in slots or slots.get("failed") == 0 or slots.get("sealed") == 0:
        _whole_count(talk, heard)
    else:
        take(talk, heard, "tally", {name: slots[name] for name in ("sealed", "failed") if name in slots})


def _counted(talk: Talk, heard: Heard) -> Load | None:
    """Return the load that was counted already and is meant, if no other one waits for its count."""
    loads = [load for load in loads_for(talk.kitchen, "seal_count") if heard.of in (None, load.id)]
    if "seal_count" in heard.asked or any(load.sealed is None for load in loads):
        return None
    named = [load for load in loads if load.id == talk.kitchen.focus]
    return loads[0] if len(loads) == 1 else named[0] if named else None


def _count_again(talk: Talk, heard: Heard, load: Load) -> None:
    """Void the count of a load by a failure that it didn't have, and ask for the new one."""
    slots = heard.slots
    if slots.get("more") and "sealed" in slots:
        refuse_stage(talk, heard.intent, heard.text, (load,))
        return
    sealed = slots.get("sealed", load.standing)
    failed = int(slots.get("failed", load.standing - int(sealed)))
    failed += (load.failed or 0) if slots.get("more") else 0
    if failed <= (load.failed or 0):
        refuse_stage(talk, heard.intent, heard.text, (load,))
        return
    talk.record("tally", load.id, heard.text, failed=failed)
    now = talk.kitchen.load(load.id) or load
    failed = min(failed, now.standing)
    take_for(talk, heard, now, "seal_count", {"sealed": now.standing - failed, "failed": failed})


def _whole_count(talk: Talk, heard: Heard) -> None:
    """Take a count that follows from the jars in the load: all sealed, none sealed, all but so many, the rest."""
    counted = _counted(talk, heard)
    if counted is not None:
        _count_again(talk, heard, counted)
        return
    loads = loads_for(talk.kitchen, "seal_count")
    open_ones = tuple(load for load in loads if load.sealed is None) or loads
    named = tuple(load for load in open_ones if load.id == talk.kitchen.focus and just_named(talk))
    chosen = tuple(load for load in talk.kitchen.open_loads if load.id == heard.of) or named or open_ones
    if len(chosen) > 1:
        ask_which(talk, chosen, heard)
    elif chosen:
        _whole_of(talk, heard, chosen[0])
    else:
        refuse_stage(talk, "seal_count")


def _whole_of(talk: Talk, heard: Heard, load: Load) -> None:
    """Work out both numbers; what is said back has to be confirmed anyway."""
    slots = heard.slots
    if "rest" in slots:
        failed = min(load.standing, int(slots.get("failed", load.tally[1])))
    elif slots.get("sealed") == 0:
        failed = load.standing
    else:
        failed = load.tally[1]
    take_for(talk, heard, load, "seal_count", {"sealed": load.standing - failed, "failed": failed})


def _jar_outcome(talk: Talk, heard: Heard) -> None:
    slots, unfit = heard.slots, [load for load in talk.kitchen.open_loads if load.unfit and load.undecided]
    if "all" in slots:
        unfit = [load for load in talk.kitchen.open_loads if load.undecided]
    counted = loads_for(talk.kitchen, "jar_outcome")
    if heard.of is None and len(counted) > 1 and not just_named(talk) and not any(load.undecided for load in counted):
        ask_which(talk, counted, heard)
        return
    all_alike = slots.get("count") is None and len(unfit) == 1 and heard.of in (None, unfit[0].id)
    count = unfit[0].undecided if all_alike else slots.get("count", 1)
    waiting = [load for load in loads_for(talk.kitchen, "seal_count") if load.sealed is None]
    if "all" not in slots and len(waiting) == 1 == len(talk.kitchen.open_loads) and not unfit:
        talk.say("counting", "count_first")
        failed = min(waiting[0].standing, max(count, waiting[0].tally[1]))
        _whole_of(talk, replace(heard, intent="seal_count", slots={"failed": failed, "rest": "sealed"}), waiting[0])
        return
    take(talk, heard, "jar_outcome", {"outcome": slots["outcome"], "count": count})


def _jar_broke(talk: Talk, heard: Heard) -> None:
    """Count what broke; of a jar that was only dropped it is asked."""
    if DROPPED not in heard.asked and talk.language.hears("only_dropped", heard.text):
        frames.ask_yes_no(talk, DROPPED, talk.language.say("counting", "did_it_break"), heard)
    else:
        take(talk, heard, "jar_broke", {"count": heard.slots.get("count", 1)})


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {"seal_count": _seal_count, "all_sealed": _whole_count, "jar_outcome": _jar_outcome, "jar_broke": _jar_broke}
)
"""What is done with each count."""
