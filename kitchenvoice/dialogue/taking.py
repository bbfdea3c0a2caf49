"""A report taken for its load: what speaks against it, what is read back, what is asked first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import denying, doubting, filling, frames
from kitchenvoice.dialogue.catching_up import catch_up, is_ahead
from kitchenvoice.dialogue.choosing import spoken_of, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.how_many import SIZE, ask_jars_in, ask_size, ask_unfit, of_other_jars
from kitchenvoice.dialogue.objecting import objection_text
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.refusing import over_the_canner, refuse_other_numbers
from kitchenvoice.dialogue.turn import Heard, Objected
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Objection, Stage, object_to, raised_by, waits_for_heat_off

__all__ = ["DROPPED", "as_said", "ask_heat_off", "overruling", "take_for", "told_apart"]

_HOLDS, _BEGINNINGS = intents_that("holds"), intents_that("begins")
_OF_JARS = frozenset({"packed", "jars_in", "jars_out", "seal_count", "tally"})
_INTO_THE_HEAT = _BEGINNINGS | {"jars_in", "lid_locked"}
_SHUT = frozenset({"settle_not_done", "zero_untold"})
"""What speaks against a lid that is off, and can't undo it."""
DROPPED = "dropped"
"""Whether a jar that was dropped broke."""
_TALKED_OVER = frozenset({"said", "heard", "seal_count", SIZE, DROPPED})
"""What a yes was about that isn't an objection to the report."""


def take_for(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for this load, or ask first about what speaks against it."""
    told = replace(as_said(heard, report, data), asked=heard.asked)
    if report in _OF_JARS and of_other_jars(talk, told, load):
        return
    begins = report in _INTO_THE_HEAT and not load.holding and load.processed_t is None
    if begins and SIZE not in heard.asked and ask_size(talk, told, load):
        return
    raised = raised_by(load, report, data, talk.t)
    if raised is not None:
        doubting.raise_doubt(talk, raised[0], [load], heard, raised[1])
        return
    over = load.may_go_back or load.timed_out(talk.t)
    if report == "heat_off" and over and talk.language.hears("past", heard.text):
        doubting.put_in_question(talk, heard.text, [load])  # it may have been off before the end
    if report == "pressure_is" and waits_for_heat_off(load) and data.get("pressure") == 0:
        ask_heat_off(talk, heard, load, report, data)
        return
    too_many = over_the_canner(talk, load, data) if report == "jars_in" else ""
    if too_many:
        ask_jars_in(talk, heard, load.id, too_many)
        return
    below = _is_below(load, report, data)
    vent = load.timer("vent")
    vented = load.stage is Stage.VENT and load.claims and (vent is None or vent.left_s(talk.t) <= 0)
    if (vented or load.stage is Stage.COME_UP) and (report == "weight_on" or (report in _HOLDS and not below)):
        load = _of_the_vent(talk, load)
        if load.doubt and (vented or load.doubts[0].kind not in doubting.OF_ONE_REPORT):
            doubting.ask(talk, load.doubts[0], load, heard)  # it counts once that is answered
            return
    if report in _BEGINNINGS and refuse_other_numbers(talk, load):
        return
    says_nothing = report == "pressure_is" and not load.process.is_dial
    says_nothing = says_nothing or (load.process.is_steam and data.get("steam") is not True)
    if load.doubt and report in _HOLDS and not below and not says_nothing:
        if load.doubted("unheard") is None and load.doubted("low_number") is None:
            doubting.ask_again(talk, load)  # what is so now doesn't answer it
            return
        doubting.answered_by_report(talk, load)
        load = talk.kitchen.load(load.id) or load
    if data.get("pressure") == 0 and load.stage is Stage.HOLD and load.processed_t is None:
        data = {**data, "air": True}
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if objection is not None:
        _object(talk, heard, load, report, data, objection)
    elif report == "seal_count" and not {*heard.asked} - {SIZE}:
        _confirm_count(talk, heard, load, data)
    elif heard.rival is not None and not (
        _loses_anyway(load, report, data, heard.rival) or _cannot_be(talk, load, report, data, heard.rival)
    ):
        _confirm_heard(talk, as_said(heard, report, data), load, heard)
    else:
        _accept(talk, heard, load, report, data)


def _of_the_vent(talk: Talk, load: Load) -> Load:
    """Open what was kept of a load's vent, before its weight or its pressure counts; return the load as it is then."""
    if load.process.is_pressure and load.kept:
        talk.record("doubt", None, "", {"kind": "kept", "loads": (load.id,), "early": True})
    return talk.kitchen.load(load.id) or load


def overruling(heard: Heard, data: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the data of a report with the objections that a yes has overruled."""
    asked = tuple(each for each in heard.asked if each not in _TALKED_OVER)
    return {**data, "asked": asked} if asked else data


def ask_heat_off(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Ask for the report that was left out; after a yes both are taken, in their order."""
    prompt = talk.language.say("doubting", "heat_off_first", load=filling.load_name(talk, load))
    values = {"report": report, "data": dict(data)}
    frame = Frame(kind="yes_no", about="heat_off_first", expects="yes_no", prompt=prompt, load=load.id, said=heard)
    frames.ask(talk, replace(frame, values=values))


def _is_below(load: Load, report: str, data: Mapping[str, Any]) -> bool:
    psi, target = data.get("pressure"), load.process.target_psi
    if report not in ("pressure_is", "pressure_low") or psi is None or target is None:
        return report == "pressure_low"
    return bool(psi < target if load.process.is_dial else psi <= 0)


def _loses_anyway(load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """True if a fall below the target is reported either way: that is taken at once."""
    said, other, target = data.get("pressure"), rival.get("pressure"), load.process.target_psi
    falls = report in ("pressure_is", "pressure_low") and load.holding and target is not None
    return falls and said is not None and other is not None and max(said, other) < (target or 0)


def _cannot_be(talk: Talk, load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """True if the number that sounds alike can't be meant: seventy jars of seven."""
    return rival.keys() <= data.keys() and object_to(talk.kitchen, load, report, {**data, **rival}, talk.t) is not None


def _confirm_heard(talk: Talk, said: Heard, load: Load, heard: Heard) -> None:
    """Ask back what sounds like something else, with the number that tells them apart."""
    text = heard.text.removeprefix(talk.profile.attention).strip()
    text += told_apart(talk, heard.slots, heard.rival or {})
    prompt = talk.language.say("unmatched", "did_you_say", said=text)
    frames.ask_yes_no(talk, "heard", prompt, said, load.id, as_heard=text)


def told_apart(talk: Talk, slots: Mapping[str, Any], rival: Mapping[str, Any]) -> str:
    """Return the digits of the number that differs from the rival's, to be said after it; nothing if none does."""
    pairs = ((value, rival.get(name)) for name, value in slots.items() if rival.get(name) not in (None, value))
    return next((talk.language.code(value, other) for value, other in pairs if isinstance(value, int | float)), "")


def _accept(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    answered = {"answered": True} if heard.answer else {}
    facts = talk.record(report, load.id, heard.text, {**data, **answered})
    if report == "tally":
        _finish_tally(talk, heard, load.id)
    spoken_of(talk, load, heard.text)
    lost = any(fact.kind == "hold_lost" and fact.data.get("why") not in ("gap", "doubt") for fact in facts)
    if lost and not heard.answer:
        denying.ask_if_misheard(talk, load.id)
    elif lost:
        denying.ask_of_told_before(talk, load.id, heard.text)
    elif report == "seal_count" and load.kept and not load.all_unfit:
        talk.record("doubt", None, "", {"kind": "kept", "loads": (load.id,)})  # before anything is put away
    elif report == "fault" and ask_unfit(talk, load.id, heard.text):
        pass
    elif any(fact.kind in ("not_as_tested", "fault_numbers") for fact in facts):
        denying.ask_if_fault_misheard(talk, load.id)
    elif not facts:
        talk.speak(where(talk, load))
    denying.let_stand(talk, report, load.id, facts)


def _object(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any], objection: Objection) -> None:
    if objection.kind == "wrong_stage" and catch_up(talk, replace(heard, intent=report, slots=data), load):
        return
    text = objection_text(talk, load, objection.kind, objection.data)
    if objection.kind == "in_doubt":
        if not load.doubts:
            talk.record("doubt", None, "", {"kind": "kept", "loads": (load.id,)})
            load = talk.kitchen.load(load.id) or load
        talk.speak(text)
        doubting.ask(talk, load.doubts[0], load)
        return
    came_off = load.doubted("opened")
    if objection.kind == "zero_untold" and came_off is not None and came_off.data.get("off"):
        talk.say("objecting", "not_at_zero", urgency=Urgency.CAUTION)
        doubting.ask(talk, came_off, load, replace(as_said(heard, report, data), t=talk.t).sure("zero_untold", load.id))
        return
    if objection.kind in _SHUT and _is_open(talk, load, report, objection.kind):
        _take_open(talk, replace(heard, intent=report, slots=data), load, objection)
        return
    if objection.kind in _SHUT:
        talk.ahead = (load.id, load.stage, load.step)
    talk.reason = Objected(load.id, objection.kind, objection.data, talk.t)
    text = filling.named_once(talk, load, text, "objecting", objection.kind)
    if objection.kind in ("broke_packing", "jars_untold"):
        ask_jars_in(talk, heard, load.id, text)
    elif not objection.override:
        late = talk.language.table("taking").get(objection.kind)
        talk.speak(text, Urgency.CAUTION, lasting=None if late is None else filling.named(talk, load, late))
        if objection.kind == "not_at_zero" and load.stands:
            doubting.raise_doubt(talk, "opened", [load], heard, {})
    else:
        said, kept = replace(as_said(heard, report, data), t=talk.t), report == "seal_count"
        frame = Frame(kind="yes_no", about=objection.kind, expects="yes_no", prompt=text, load=load.id, said=said)
        frames.ask(talk, replace(frame, values={**objection.data}, kept=kept))


def _is_open(talk: Talk, load: Load, report: str, kind: str) -> bool:
    """True if a lid is off, whatever speaks against it: its zero was told in the same breath, or it was told before."""
    told = any(event.kind == "gauge_zero" and event.load == load.id for event in talk.told)
    again = is_ahead(talk, load) and (report == "jars_out" or kind == "settle_not_done")
    return told or again


def _take_open(talk: Talk, heard: Heard, load: Load, objection: Objection) -> None:
    """Take a lid that came off before its time, with the wait that was left; that all pressure was gone is asked."""
    talk.withhold(Urgency.ALARM)
    asked = talk.question
    if asked is not None and asked.load == load.id and asked.about == objection.kind:
        frames.close(talk, asked)
    wait = {"left_s": round(float(str(objection.data["left_s"])))} if "left_s" in objection.data else {}
    talk.record("lid_off", load.id, heard.text, {**wait, "asked": (objection.kind,)})
    load = talk.kitchen.load(load.id) or load
    if not wait:
        doubting.came_off(talk, heard.text, [load])
    if heard.intent != "lid_off":
        talk.withhold(Urgency.CAUTION)
        take_for(talk, heard, load, heard.intent, heard.slots)
    if wait:
        said = talk.language.say("render", "opened_early", filling.values_of(talk, wait, load))
        talk.lead(filling.named(talk, load, said), Urgency.CAUTION)


def as_said(heard: Heard, report: str, data: Mapping[str, Any]) -> Heard:
    """Return a report as if it had been said in full: it waits for a yes."""
    slots = {name: value for name, value in data.items() if name != "asked"}
    asked = tuple(map(str, data.get("asked", ())))
    return replace(heard, intent="seal_count" if report == "tally" else report, slots=slots, rival=None, asked=asked)


def _confirm_count(talk: Talk, heard: Heard, load: Load, data: Mapping[str, Any]) -> None:
    counts = {name: data[name] for name in ("sealed", "failed")}
    key = "count_heard" if counts["failed"] else "count_heard_all"
    prompt = filling.named(talk, load, talk.language.say("taking", key, filling.values_of(talk, counts, load)))
    frames.ask_yes_no(talk, "seal_count", prompt, as_said(heard, "seal_count", counts), load.id, kept=True)


def _finish_tally(talk: Talk, heard: Heard, load_id: int) -> None:
    load = talk.kitchen.load(load_id)
    if load is not None and sum(load.tally) == load.standing:
        sealed, failed = load.tally
        take_for(talk, heard, load, "seal_count", {"sealed": sealed, "failed": failed})
