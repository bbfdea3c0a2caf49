"""The first words of a session: what this is, the first time; after that what is going and what waits."""

from __future__ import annotations

from kitchenvoice.dialogue.choosing import stage_text
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import left_on, load_name, timer_name
from kitchenvoice.dialogue.setup import wanted
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import ON_HEAT, Load, Timer

__all__ = ["SHORT_GAP_S", "greet", "what_runs"]

SHORT_GAP_S = 10.0
"""A shorter gap is nothing that pressure or boil would notice, and isn't spoken. Common practice, no source."""

_TIMERS = ("hold", "vent", "settle", "bath_rest", "rest")


def greet(talk: Talk, *, first: bool, off_s: float | None, typed: bool = False, by_clock: bool = False) -> None:
    """Say hello, in full only the very first time; tell the gap (`None`: of unknown length), and where each load is."""
    loads = talk.kitchen.open_loads
    if typed:
        talk.say("greeting", "typed", urgency=Urgency.GUIDANCE)
    if first and wanted(talk.profile, typed=typed, second_voice=talk.second_voice):
        return  # the first evening says its own hello
    if first:
        talk.say("greeting", "hello", urgency=Urgency.GUIDANCE, attention=talk.profile.attention)
    elif not loads and not talk.kitchen.timers:
        talk.say("greeting", "hello_short", urgency=Urgency.GUIDANCE)
    else:
        talk.say("greeting", "hello_open", urgency=Urgency.GUIDANCE)
        if off_s is None:
            talk.say("greeting", "gap_unknown")
        elif off_s > 0:
            talk.say("greeting", "gap_by_clock" if by_clock else "gap", off=talk.language.duration(off_s))
    for load in loads:
        _tell_load(talk, load)


def what_runs(talk: Talk) -> str:
    """Name the loads on the heat, cooling or resting, and the timers that run; nothing if none does."""
    running = [load for load in talk.kitchen.open_loads if _running(talk, load) is not None or load.stage in ON_HEAT]
    names = [load_name(talk, load) for load in running]
    names += [timer_name(talk, timer.name, timer.seconds / 60) for timer in talk.kitchen.timers]
    return talk.language.listed(names, "and") if names else ""


def _tell_load(talk: Talk, load: Load) -> None:
    stage = stage_text(talk, load)
    name = capital(load_name(talk, load))
    timer = _running(talk, load)
    if timer is None or load.doubt:
        talk.say("greeting", "left_off", load=name, stage=stage)
    else:
        talk.say("greeting", "left_off_time", load=name, stage=stage, left=left_on(talk, timer))


def _running(talk: Talk, load: Load) -> Timer | None:
    timers = (load.timer(name) for name in _TIMERS)
    return next((timer for timer in timers if timer is not None and timer.left_s(talk.t) > 0), None)
