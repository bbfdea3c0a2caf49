"""Reports from further on: one question covers what must have come before, and a yes takes all of it in order.

No time is taken for run: where a vent or a hold lies between, it is said what is missing, and what to do.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import filling, frames, step_words
from kitchenvoice.dialogue.choosing import stage_text
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.how_many import ask_size
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import (
    OF_STEAM,
    REPORT_STAGES,
    Event,
    Load,
    Stage,
    apply,
    loads_for,
    object_to,
    step_of,
    waits_for_heat_off,
)

__all__ = ["catch_up", "drop", "go_on", "is_ahead", "leave", "say_missing"]

_SAME: Mapping[str, str] = MappingProxyType({"all_sealed": "seal_count", "sealed_of": "seal_count"})
_AFTER: Mapping[str, str] = MappingProxyType({"lid_locked": "heat_on"})
_AFTER_VENT = frozenset({"weight_on", "weight_rocking", "pressure_is"})
_AFTER_TIME = frozenset({"heat_off", "lid_off", "jars_out", "seal_count"})
_ASKED_FOR = (
    "lid_locked",
    "gauge_zero",
    "steam_steady",
    "weight_on",
    "pressure_is",
    "weight_rocking",
    "heat_on",
    "boiling",
)

Report = tuple[str, Mapping[str, Any]]


def catch_up(talk: Talk, heard: Heard, *loads: Load) -> bool:
    """Ask for what lies between a load and a later report of it, or say which time does; tell whether it is later."""
    missing = {load.id: _missing(talk, load, _report(load, heard.intent)) for load in loads}
    loads = tuple(load for load in loads if missing[load.id]) or loads
    if len(loads) != 1:
        return False
    load, report = loads[0], _report(loads[0], heard.intent)
    between = missing[load.id]
    if between and ask_size(talk, heard, load):
        pass
    elif between:
        _ask(talk, heard, load, report, between)
    elif between is not None and load.stage is Stage.CANNER and report in _AFTER_VENT:
        talk.obey(heard.sure(of=load.id))
    elif report in _AFTER_TIME and load.processed_t is None and not (load.claims or load.doubts):
        say_missing(talk, load)
    else:
        return False
    talk.ahead = (load.id, load.stage, load.step)
    return True


def _report(load: Load, intent: str) -> str:
    return OF_STEAM.get(intent, intent) if load.process.is_steam else _SAME.get(intent, intent)


def _missing(talk: Talk, load: Load, report: str) -> tuple[Report, ...] | None:
    """Return the reports that bring a load to where it takes this one; `None` if others than reports have to."""
    missing: list[Report] = []
    kitchen = talk.kitchen
    while report in REPORT_STAGES:
        told, fits = _awaited(load), load in loads_for(kitchen, report)
        if fits and (told is None or told[0] in (report, _AFTER.get(report)) or load.stage is not Stage.CANNER):
            return tuple(missing)
        if told is None:
            return None
        kitchen, _ = apply(kitchen, Event(seq=talk.last_seq + 1, t=talk.t, kind=told[0], load=load.id, data=told[1]))
        after = kitchen.load(load.id)
        if after is None or after == load:
            return None
        load = after
        missing.append(told)
    return None


def _awaited(load: Load) -> Report | None:
    """Return the report that a load waits for, if a yes can give it."""
    step = step_of(load)
    if load.stage is Stage.PACK:
        return "jars_in", {"count": load.standing or max(0, load.planned - load.broken)}
    if waits_for_heat_off(load):
        return "heat_off", {"before": True}
    if load.stage is Stage.COOL:
        return "jars_out", {}
    if step is not None and load.stage is Stage.CANNER and step.check:
        return "step_done", {"step": step.id}
    awaited = _first_of(("lid_locked", "heat_on"), step.done_by if step is not None else ())
    return (awaited, {}) if awaited and load.stage is Stage.CANNER else None


def _ask(talk: Talk, heard: Heard, load: Load, report: str, missing: tuple[Report, ...]) -> None:
    things = []
    for kind, data in missing:
        values = filling.values_of(talk, data, load)
        things += talk.language.phrase("catching_up", str(data.get("step", kind)), values).split(" | ")
    if report == "steam_steady":
        things.append(talk.language.phrase("catching_up", "weight_off"))
    prompt = talk.language.say("catching_up", "is_it_so", things=talk.language.listed(things, "and"))
    frame = Frame(kind="yes_no", about="catch_up", expects="yes_no", prompt=filling.named(talk, load, prompt))
    frames.ask(talk, replace(frame, load=load.id, said=heard, values={"missing": [list(each) for each in missing]}))


def go_on(talk: Talk, frame: Frame) -> None:
    """Take what was missing, then the report itself; what asks something of its own comes first."""
    said = frame.said
    for kind, data in frame.values["missing"]:
        load = talk.kitchen.load(frame.load)
        if said is None or load is None:
            return
        if kind == "jars_in" or object_to(talk.kitchen, load, kind, data, talk.t) is not None:
            talk.obey(Heard(kind, data, said.text, talk.t, of=load.id))
        else:
            talk.record(kind, load.id, said.text, data)
        if talk.asked or talk.kitchen.load(load.id) == load:
            return
        talk.withhold(Urgency.CAUTION)
    load = talk.kitchen.load(frame.load)
    if said is None or load is None:
        return
    talk.ahead = None
    talk.obey(said.sure(of=load.id))
    now = talk.kitchen.load(load.id)
    if now is not None and not talk.tells_step(now) and not talk.asked:
        talk.speak(filling.named(talk, now, step_words.tell_step(talk, now)))


def drop(talk: Talk) -> None:
    """Ask no more what is so already: something else was told since."""
    if talk.question is not None and talk.question.about == "catch_up":
        talk.question = None


def leave(talk: Talk, _: Frame) -> None:
    """Keep the load at its step: what was reported from further on wasn't so."""
    talk.ahead = None
    talk.say("confirming", "catch_up")


def is_ahead(talk: Talk, load: Load) -> bool:
    """True if a load was last told something from further on, so that a bare number counts none of its jars."""
    return talk.ahead == (load.id, load.stage, load.step)


def say_missing(talk: Talk, load: Load) -> None:
    """Say what hasn't run, and what to do now, the second time in short; an open question about it comes first."""
    if talk.question is not None and talk.question.about == "catch_up":
        frames.again(talk, talk.question)
        return
    step = step_of(load)
    awaited = "jars_in" if load.stage is Stage.PACK else _first_of(_ASKED_FOR, step.done_by if step else ())
    what = "no_vent" if load.process.is_pressure and load.stage in (Stage.PACK, Stage.CANNER) else "no_hold"
    values = filling.values_of(talk, {}, load)
    values["where"] = f"{capital(stage_text(talk, load))}. {step_words.tell_step(talk, load)}"
    if awaited and (load.stage is Stage.PACK or is_ahead(talk, load)):
        values["where"] = talk.language.say(
            "catching_up", "waits", what=talk.language.phrase("catching_up", f"say_{awaited}", values)
        )
    talk.speak(filling.named(talk, load, talk.language.say("catching_up", what, values)), Urgency.READBACK)


def _first_of(order: Sequence[str], these: Collection[str]) -> str:
    return next((each for each in order if each in these), "")
