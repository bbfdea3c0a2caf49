"""Reports from the stove and counts of jars: to which load they belong, what speaks against them, what is read back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import denying, doubting, filling, forms, frames, losses
from kitchenvoice.dialogue.choosing import ask_which, spoken_of, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.now import window_shut
from kitchenvoice.dialogue.objecting import objection_text
from kitchenvoice.dialogue.refusing import over_the_canner, refuse_other_numbers
from kitchenvoice.dialogue.turn import Heard, Objected
from kitchenvoice.ports import Urgency
from kitchenvoice.process import (
    MAYBE_SHUT,
    Event,
    Load,
    Objection,
    Stage,
    apply,
    ends_late,
    lets_air_in,
    loads_for,
    object_to,
    raised_by,
    step_of,
)
from kitchenvoice.process.timing import cool_s

__all__ = [
    "HANDLERS",
    "JARS_IN",
    "WITHOUT_ACID",
    "ask_how_many",
    "count_text",
    "just_named",
    "refuse_stage",
    "take_fault",
    "take_loss",
    "told_apart",
]

_CHOSEN_S = 60.0
_TAKEN, _AFTER_YES, _NOTHING, _REFUSED = 1, 2, 3, 4
_STEAM = ("lid_locked", "heat_on", "steam_steady", "steam_stopped", "weight_on", "weight_rocking", "weight_quiet")
_REST = ("boiling", "boil_lost", "heat_off", "lid_off", "load_close")
_PLAIN = (*_STEAM, *_REST)
_LOSSES = frozenset({"heat_off", "boil_lost", "pressure_low", "weight_quiet", "steam_stopped", "fault"})
_FAMILY = frozenset({"pressure_low", "weight_quiet", "boil_lost"})
_HOLDS = frozenset({"pressure_is", "weight_rocking", "boiling"})
_TALKED_OVER = frozenset({"said", "heard", "seal_count"})
"""What a yes was about that isn't an objection to the report."""
_BEGINNINGS = frozenset({"steam_steady", "weight_on", "weight_rocking", "pressure_is", "boiling"})
_BY_WEIGHT = frozenset({"weight_rocking", "weight_quiet"})
_OF_A_GAUGE = frozenset({"pressure_is", "pressure_low"})
_CALLED = frozenset({"hold_done", "call_again"})
_AFTER_HEAT = frozenset({"gauge_zero", "lid_off", "jars_out"})
_CONTRADICT = _AFTER_HEAT | _LOSSES | {"steam_stopped"}
"""Reports that no load makes whose hold counts as it should: one that fits nowhere is a doubt on each such hold."""
_AWAITED = frozenset({"weight_on", "heat_off", "heat_on", "lid_locked", "gauge_zero", "lid_off", "jars_out"})


def take(talk: Talk, heard: Heard, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load it belongs to: the only one it can, the one just chosen, or the one that is named.

    Once something of another load is reported, the one that was named before isn't meant any more. What may have ended
    the hold of one of several loads is a doubt over all of them.
    """
    data = _overruling(heard, data)
    if heard.of is not None and _names_whose(talk, heard, report):
        return
    if heard.of is not None:
        _take_named(talk, heard, heard.of, report, data)
        return
    loads = _viable(talk, report, data)
    if not loads:
        refuse_stage(talk, report)
    elif len(loads) == 1:
        if loads[0].id != talk.kitchen.focus:
            talk.selected_t = float("-inf")
        _take_for(talk, heard, loads[0], report, data)
    else:
        doubted = [load for load in loads if _ends(load, report, data, talk.t)]
        if doubted:
            kind = "pressure_low" if report == "pressure_is" else report
            doubting.raise_doubt(talk, kind, doubted, heard, data, among=loads)
        else:
            ask_which(talk, loads, heard)


def _overruling(heard: Heard, data: Mapping[str, Any]) -> Mapping[str, Any]:
    asked = tuple(each for each in heard.asked if each not in _TALKED_OVER)
    return {**data, "asked": asked} if asked else data


def _ends(load: Load, report: str, data: Mapping[str, Any], t: float) -> bool:
    """Tell whether the report ends what counts of that load, or has just counted, if it is of it."""
    if not load.claims:
        return _is_late(load, report, data, t)
    psi, target = data.get("pressure"), load.process.target_psi or 0.0
    return report in _LOSSES or (load.holding and psi is not None and psi < target)


def _is_late(load: Load, report: str, data: Mapping[str, Any], t: float) -> bool:
    raised = raised_by(load, report, data, t)
    return raised is not None and raised[0] == "late"


def _names_whose(talk: Talk, heard: Heard, report: str) -> bool:
    """Take a whole sentence that names a load for the answer to whose loss it was; tell whether it was one."""
    family = _FAMILY if report in _FAMILY else frozenset({report})
    load = talk.kitchen.load(heard.of)
    if load is None or report not in _LOSSES:
        return False
    for doubt in load.doubts:
        if doubt.kind in family and len(talk.kitchen.in_doubt(doubt.id)) > 1:
            losses.named(talk, doubt, load, heard)
            return True
    return False


def _waits_for_whose(talk: Talk, load: Load) -> bool:
    """Ask again whose loss it was before a hold of one of these loads can start."""
    asked = next((each for each in (talk.question, *talk.parked) if each is not None and each.kind == "which"), None)
    if asked is None or asked.doubt is None or load.id not in asked.values["loads"]:
        return False
    frames.again(talk, asked)
    return True


def _take_named(talk: Talk, heard: Heard, load_id: int, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load that its sentence named, and for no other, whatever speaks against it."""
    load = talk.kitchen.load(load_id)
    if load is not None and report == "packed":
        talk.record("load_select", load.id, heard.text)
        talk.selected_t = talk.t
    if load is not None and report in _AFTER_HEAT and _waits_for_heat_off(load):
        _ask_heat_off(talk, heard, load, report, data)
    elif load is not None:
        _take_for(talk, heard, load, report, data)


def _changes(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> bool:
    """Tell whether the report would do anything to the load. The engine is pure, so it can simply be tried."""
    event = Event(seq=talk.last_seq + 1, t=talk.t, kind=report, load=load.id, data=dict(data))
    after, facts = apply(talk.kitchen, event)
    return bool(facts) or after.load(load.id) != load


def _viable(talk: Talk, report: str, data: Mapping[str, Any]) -> tuple[Load, ...]:
    """Return the load just named if it takes the report, or refuses it: then that is said, and no other one gets it.

    Else those that take it best: awaited, taken, after a yes.
    """
    loads = loads_for(talk.kitchen, report)
    trouble = {load.id: _trouble(talk, load, report, data) for load in loads}
    named = talk.kitchen.focus if just_named(talk) else None
    best = trouble.get(named, _NOTHING) if named is not None else _NOTHING
    if best == _REFUSED or best <= (_TAKEN if "count" in data else _AFTER_YES):
        return tuple(load for load in loads if load.id == named)
    if report in _OF_A_GAUGE:
        return _by_gauge(talk, data) or loads
    if report == "gauge_zero" and loads:
        cooling = [load for load in _cooling(talk) if not load.at_zero]
        return (*cooling, *(load for load in loads if load.stage is Stage.VENT)) or loads
    fitting = tuple(load for load in loads if trouble[load.id] == min(trouble.values()))
    return tuple(load for load in fitting if report not in _BY_WEIGHT or not load.process.is_dial) or fitting


def _by_gauge(talk: Talk, data: Mapping[str, Any]) -> tuple[Load, ...]:
    """Return every load whose gauge may be read: no number tells which one was. Zero is of one that cools, if any."""
    shut = [load for load in talk.kitchen.open_loads if load.process.is_pressure and not load.lid_off]
    shut_vent = [load for load in shut if load.stage is Stage.VENT and load.step in MAYBE_SHUT]
    under = tuple(load for load in shut if load in shut_vent or load.stage in (Stage.COME_UP, Stage.HOLD, Stage.COOL))
    zero = [load for load in _cooling(talk) if not load.at_zero] if data.get("pressure") == 0 else []
    return tuple(zero) or under


def _cooling(talk: Talk) -> tuple[Load, ...]:
    """Return the loads that can be at zero by now, told or not that their heat is off."""
    loads = [load for load in talk.kitchen.open_loads if load.process.is_pressure and load.processed_t is not None]
    return tuple(load for load in loads if (load.stage is Stage.COOL and not load.lid_off) or _is_cold(talk, load))


def _is_cold(talk: Talk, load: Load) -> bool:
    return _waits_for_heat_off(load) and talk.t - (load.processed_t or talk.t) >= cool_s(load.jar)


def _trouble(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> int:
    """Rank: awaited by the step the load is at, taken, taken after a yes, without effect, refused.

    What ends one too soon ranks alike for a hold that asks first and a vent that doesn't: she is asked whose it is.
    What starts a hold is never given to the load that waits for it while another one can have reported it, and jars
    that are in without a count can be those of any load being packed, however many it has.
    """
    if raised_by(load, report, data, talk.t) is not None:
        return 0 if _is_late(load, report, data, talk.t) else _TAKEN
    if report in _BY_WEIGHT and load.process.is_dial:
        return _NOTHING
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if report == "jars_in" and "count" not in data and (objection is None or objection.override):
        return 0 if load.stage is Stage.PACK else _TAKEN
    if objection is not None:
        lost = _TAKEN if report in _LOSSES else _AFTER_YES
        return lost if objection.override else _REFUSED
    if not _changes(talk, load, report, data):
        return _NOTHING
    step = step_of(load)
    awaited = report not in _AWAITED or (step is not None and report in step.done_by)
    return 0 if awaited and not (report == "heat_off" and _called_long_ago(talk, load)) else _TAKEN


def _called_long_ago(talk: Talk, load: Load) -> bool:
    """Tell whether a load was called so long ago that heat that is off can as well be another one's."""
    calls = (event.t for event in reversed(talk.history) if event.load == load.id and event.kind in _CALLED)
    return talk.t - next(calls, talk.t) > _CHOSEN_S


def refuse_stage(
    talk: Talk,
    intent: str = "",
    text: str = "",
    named: Sequence[Load] = (),
    slots: Mapping[str, Any] = MappingProxyType({}),
) -> None:
    """Say that it doesn't fit here, where she is and what is waited for: of the load she named, if she named one.

    What can only be with the heat off is asked about where the time is up and nobody said that the heat is off.
    """
    load = named[0] if len(named) == 1 else talk.focus
    if intent == "gauge_zero" and _is_down_only(slots) and (_under_pressure(talk) or _lost(talk)):
        _gauge_zero(talk, Heard(intent, slots, text, talk.t, of=named[0].id if len(named) == 1 else None))
        return
    shut = [each for each in named or talk.kitchen.open_loads if _is_shut(each)]
    venting = [each for each in named or talk.kitchen.open_loads if each.stage is Stage.VENT]
    if intent == "lid_off" and len(venting) == 1 and not shut:
        _lid_off_in_vent(talk, text, venting[0])
        return
    if intent == "lid_off" and shut:
        talk.say("objections", "not_at_zero", urgency=Urgency.CAUTION)
    waiting = [each for each in named or talk.kitchen.open_loads if _waits_for_heat_off(each)]
    if intent == "gauge_zero" and len(waiting) == 1 and ends_late(waiting[0], talk.t):
        _take_for(talk, Heard(intent, slots, text, talk.t), waiting[0], intent, {})
    elif intent in _AFTER_HEAT and len(waiting) == 1:
        _ask_heat_off(talk, Heard(intent, {}, text, talk.t), waiting[0], intent, {})
    elif load is None:
        talk.refuse_without_load()
    elif intent in ("seal_count", "all_sealed") and load.stage is Stage.KEEP:
        counted = count_text(talk, load)
        hers = (event for event in reversed(talk.history) if event.heard)
        last = next((event for event in hers if event.kind not in ("answer_call", "load_select")), None)
        just_now = last is not None and (last.kind, last.load) == ("seal_count", load.id)
        failed_jar = talk.language.say("answers", "failed_jar_late" if window_shut(load, talk.t) else "failed_jar")
        talk.say("answers", "count_logged" if just_now else "count_logged_before", count=counted, failed_jar=failed_jar)
    else:
        talk.say("objections", "wrong_stage", where=where(talk, load))
        if intent in _CONTRADICT:
            loads = named or talk.kitchen.open_loads
            over = intent not in _AFTER_HEAT  # what follows the heat contradicts no hold that is over
            doubting.put_in_question(talk, text, [each for each in loads if over or each.claims])


def _lid_off_in_vent(talk: Talk, text: str, load: Load) -> None:
    """Let the lid go back on: what vented counts no more. Over pressure it mustn't come off at all."""
    shut = load.step in ("under_pressure", "vent_again")
    talk.say("objections", "not_at_zero" if shut else "lid_back", urgency=Urgency.CAUTION)
    if shut:
        talk.speak(where(talk, load))
    else:
        take(talk, Heard("steam_stopped", {}, text, talk.t, of=load.id), "steam_stopped", {})


def take_loss(talk: Talk, text: str) -> None:
    """Take what ends a hold, of each kind of canner that holds."""
    holding = [load for load in talk.kitchen.open_loads if load.holding]
    for report in sorted({"pressure_low" if load.process.is_pressure else "boil_lost" for load in holding}):
        take(talk, Heard(report, {}, text, talk.t), report, {})


def take_fault(talk: Talk, heard: Heard) -> None:
    """Take what no gauge shows for the load that it is of."""
    slots = {name: heard.slots[name] for name in ("fault", "jars") if heard.slots.get(name) is not None}
    if talk.kitchen.open_loads:
        take(talk, heard, "fault", slots)


def _how_many_without(_: Talk, __: Frame, heard: Heard) -> Mapping[str, Any] | None:
    count = forms.whole(heard.slots.get("value")) if heard.intent == "number" else None
    return None if not count else {"count": count}


def _without_acid(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    """Keep how many jars lack the acid. Until somebody says so, all of them do."""
    if frame is not None and frame.said is not None and "count" in values:
        talk.obey(replace(frame.said, intent="fault", slots={"fault": "acid", "jars": values["count"]}, of=frame.load))
    elif frame is not None:
        frames.ask(talk, frame)


WITHOUT_ACID = Form(_how_many_without, _without_acid, lambda talk, _: talk.language.say("talk", "unfit"))
"""In how many jars the acid was left out."""


def _is_shut(load: Load) -> bool:
    """Tell whether a canner may be under pressure."""
    return load.process.is_pressure and load.stage in (Stage.COME_UP, Stage.HOLD)


def _waits_for_heat_off(load: Load) -> bool:
    return load.stage is Stage.HOLD and load.processed_t is not None


def _ask_heat_off(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Ask for the report that was left out; after a yes both are taken, in their order."""
    prompt = talk.language.say("talk", "heat_off_first", load=filling.load_name(talk, load))
    values = {"report": report, "data": dict(data)}
    frame = Frame(kind="yes_no", about="heat_off_first", expects="yes_no", prompt=prompt, load=load.id, said=heard)
    frames.ask(talk, replace(frame, values=values))


def _take_for(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    raised = raised_by(load, report, data, talk.t)
    if raised is not None:
        doubting.raise_doubt(talk, raised[0], [load], heard, raised[1])
        return
    if report == "pressure_is" and _waits_for_heat_off(load) and data.get("pressure") == 0:
        _ask_heat_off(talk, heard, load, report, data)
        return
    too_many = over_the_canner(talk, load, data) if report == "jars_in" else ""
    if too_many:
        ask_how_many(talk, heard, load.id, too_many)
        return
    below = _is_below(load, report, data)
    if report in _BEGINNINGS and (refuse_other_numbers(talk, load) or (not below and _waits_for_whose(talk, load))):
        return
    says_nothing = report == "pressure_is" and not load.process.is_dial
    if load.doubt and report in _HOLDS and not below and not says_nothing:
        if load.doubted("unheard") is None and load.doubted("low_number") is None:
            return  # what was asked is asked again; what is so now doesn't answer it
        doubting.answered_by_report(talk, load)
        load = talk.kitchen.load(load.id) or load
    lost = lets_air_in(load) and (below or report in _LOSSES)
    if (data.get("pressure") == 0 or lost) and load.stage is Stage.HOLD and load.processed_t is None:
        data = {**data, "air": True}
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if objection is not None:
        _object(talk, heard, load, report, data, objection)
    elif report == "seal_count" and not heard.asked:
        _confirm_count(talk, heard, load, data)
    elif heard.rival is not None and not (
        _loses_anyway(load, report, data, heard.rival) or _cannot_be(talk, load, report, data, heard.rival)
    ):
        _confirm_heard(talk, _as_said(heard, report, data), load, heard)
    else:
        _accept(talk, heard, load, report, data)


def _is_below(load: Load, report: str, data: Mapping[str, Any]) -> bool:
    psi, target = data.get("pressure"), load.process.target_psi
    if report not in ("pressure_is", "pressure_low") or psi is None or target is None:
        return report == "pressure_low"
    return bool(psi < target if load.process.is_dial else psi <= 0)


def ask_how_many(talk: Talk, heard: Heard, load_id: int, text: str) -> None:
    """Ask how many jars are in; a bare number will do."""
    forms.ask(talk, "jars_in", "count", {}, text, "count", load=load_id, said=replace(heard, rival=None, asked=()))


def _how_many(_: Talk, __: Frame, heard: Heard) -> Mapping[str, Any] | None:
    count = forms.whole(heard.slots.get("value")) if heard.intent == "number" else None
    return None if count is None else {"count": count}


def _count_jars_in(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    if frame is not None and frame.said is not None and "count" in values:
        talk.obey(replace(frame.said, intent="jars_in", slots={"count": values["count"]}, of=frame.load))
    elif frame is not None:
        frames.ask(talk, frame)


JARS_IN = Form(_how_many, _count_jars_in, lambda talk, _: talk.language.say("talk", "cancelled"))
"""How many jars are in."""


def _loses_anyway(load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """Tell whether a fall below the target is reported either way: that is taken at once."""
    said, other, target = data.get("pressure"), rival.get("pressure"), load.process.target_psi
    falls = report in ("pressure_is", "pressure_low") and load.holding and target is not None
    return falls and said is not None and other is not None and max(said, other) < (target or 0)


def _cannot_be(talk: Talk, load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """Tell whether the number that sounds alike can't be meant: seventy jars of seven."""
    return rival.keys() <= data.keys() and object_to(talk.kitchen, load, report, {**data, **rival}, talk.t) is not None


def _confirm_heard(talk: Talk, said: Heard, load: Load, heard: Heard) -> None:
    """Ask back what sounds like something else, with the number that tells them apart."""
    text = heard.text.removeprefix(talk.profile.attention).strip()
    text += told_apart(talk, heard.slots, heard.rival or {})
    prompt = talk.language.say("talk", "did_you_say", said=text)
    talk.ask_yes_no("heard", prompt, said, load.id, as_heard=text)


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
    acid = next((fact for fact in facts if fact.kind == "not_as_tested" and fact.data["fault"] == "acid"), None)
    if lost and not heard.answer:
        denying.ask_if_misheard(talk, load.id)
    elif acid is not None and acid.data["jars"] is None:
        prompt = filling.named(talk, load, talk.language.say("talk", "how_many_without"))
        forms.ask(talk, "without_acid", "count", {}, prompt, "count", load=load.id, said=heard)
    elif not facts:
        talk.speak(where(talk, load))
    denying.let_stand(talk, report, load.id, facts)


def _object(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any], objection: Objection) -> None:
    text = objection_text(talk, load, objection.kind, objection.data)
    talk.reason = Objected(load.id, objection.kind, objection.data, talk.t)
    named = filling.names_load(talk, "objections", objection.kind)
    text = text if named else filling.named(talk, load, text)
    if objection.kind == "broke_packing":
        ask_how_many(talk, heard, load.id, text)
    elif not objection.override:
        late = talk.language.table("lasting").get(objection.kind)
        talk.speak(text, Urgency.CAUTION, lasting=None if late is None else filling.named(talk, load, late))
    else:
        said, kept = replace(_as_said(heard, report, data), t=talk.t), report == "seal_count"
        frame = Frame(kind="yes_no", about=objection.kind, expects="yes_no", prompt=text, load=load.id, said=said)
        frames.ask(talk, replace(frame, values={**objection.data}, kept=kept))


def _as_said(heard: Heard, report: str, data: Mapping[str, Any]) -> Heard:
    """Return a report as if it had been said in full: it waits for a yes."""
    slots = {name: value for name, value in data.items() if name != "asked"}
    asked = tuple(map(str, data.get("asked", ())))
    return replace(heard, intent="seal_count" if report == "tally" else report, slots=slots, rival=None, asked=asked)


# ---------------------------------------------------------------- counts


def _confirm_count(talk: Talk, heard: Heard, load: Load, data: Mapping[str, Any]) -> None:
    counts = {name: data[name] for name in ("sealed", "failed")}
    key = "count_heard" if counts["failed"] else "count_heard_all"
    prompt = filling.named(talk, load, talk.language.say("answers", key, filling.values_of(talk, counts, load)))
    talk.ask_yes_no("seal_count", prompt, _as_said(heard, "seal_count", counts), load.id, kept=True)


def count_text(talk: Talk, load: Load) -> str:
    """Say the count of seals that is logged."""
    data = {"sealed": load.sealed or 0, "failed": load.failed or 0}
    return talk.language.say("answers", "count_sealed", filling.values_of(talk, data, load))


def _finish_tally(talk: Talk, heard: Heard, load_id: int) -> None:
    load = talk.kitchen.load(load_id)
    if load is not None and sum(load.tally) == load.standing:
        sealed, failed = load.tally
        _take_for(talk, heard, load, "seal_count", {"sealed": sealed, "failed": failed})


def _seal_count(talk: Talk, heard: Heard) -> None:
    slots = heard.slots
    if "sealed" in slots and "failed" in slots:
        take(talk, heard, "seal_count", {"sealed": slots["sealed"], "failed": slots["failed"]})
    elif "rest" in slots or slots.get("failed") == 0 or slots.get("sealed") == 0:
        _whole_count(talk, heard)
    else:
        take(talk, heard, "tally", {name: slots[name] for name in ("sealed", "failed") if name in slots})


def _whole_count(talk: Talk, heard: Heard) -> None:
    """Take a count that follows from the jars in the load: all sealed, none sealed, all but so many, the rest."""
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
        failed = load.tally[1] if heard.intent == "seal_count" else 0
    _take_for(talk, heard, load, "seal_count", {"sealed": load.standing - failed, "failed": failed})


def just_named(talk: Talk) -> bool:
    """Tell whether she turned to a load by its name a moment ago."""
    return talk.t - talk.selected_t <= _CHOSEN_S


def _jar_outcome(talk: Talk, heard: Heard) -> None:
    slots, unfit = heard.slots, [load for load in talk.kitchen.open_loads if load.unfit and load.undecided]
    all_alike = slots.get("count") is None and len(unfit) == 1 and heard.of in (None, unfit[0].id)
    count = unfit[0].undecided if all_alike else slots.get("count", 1)
    take(talk, heard, "jar_outcome", {"outcome": slots["outcome"], "count": count})


def _counted(report: str, default: int | None = None) -> Callable[[Talk, Heard], None]:
    def handle(talk: Talk, heard: Heard) -> None:
        count = heard.slots.get("count", default)
        take(talk, heard, report, {} if count is None else {"count": count})

    return handle


def _plain(report: str) -> Callable[[Talk, Heard], None]:
    return lambda talk, heard: take(talk, heard, report, {})


def _pressure(report: str) -> Callable[[Talk, Heard], None]:
    def handle(talk: Talk, heard: Heard) -> None:
        psi = heard.slots.get("pressure")
        take(talk, heard, report, {} if psi is None else {"pressure": psi})

    return handle


def _is_down_only(slots: Mapping[str, Any]) -> bool:
    """Tell whether it was only said that the pressure is down, or the lock: at zero in a canner that cools, lost in one
    that holds."""
    return slots.get("reading") in ("down", "lock")


def _under_pressure(talk: Talk) -> list[Load]:
    loads = (load for load in talk.kitchen.open_loads if load.process.is_pressure)
    return [load for load in loads if load.holding or ends_late(load, talk.t)]


def _lost(talk: Talk) -> list[Load]:
    loads = (load for load in talk.kitchen.open_loads if load.process.is_pressure and load.processed_t is None)
    return [load for load in loads if load.stage is Stage.HOLD and not load.holding]


def _gauge_zero(talk: Talk, heard: Heard) -> None:
    """Take a zero. "The pressure is down" can be of any that was under pressure: which one is asked where one cools.

    A lock that has dropped in a hold tells that the pressure is gone altogether.
    """
    by_lock = heard.slots.get("reading") == "lock"
    zero, low = ({"lock": True}, {"air": True}) if by_lock else ({}, {})
    vents = [load for load in loads_for(talk.kitchen, "gauge_zero") if load.stage is Stage.VENT]
    if vents and heard.of is None and not _cooling(talk):
        doubting.put_in_question(talk, heard.text, [load for load in talk.kitchen.open_loads if load.claims])
    if vents and heard.slots.get("reading") == "down" and not _cooling(talk):
        talk.speak(where(talk, vents[0]))  # down is not yet at zero
        return
    holding = _under_pressure(talk)
    shut = [
        load for load in talk.kitchen.open_loads if _is_shut(load) and (load in holding or load.processed_t is None)
    ]
    if not shut or not _is_down_only(heard.slots):
        take(talk, heard, "gauge_zero", zero)
        return
    fitting = [*shut, *(load for load in _cooling(talk) if not load.at_zero)]
    meant = heard.of if heard.of is not None else talk.kitchen.focus if just_named(talk) else None
    chosen = [load for load in fitting if load.id == meant] or fitting

    if len(chosen) == 1 and _is_shut(chosen[0]):
        _take_for(talk, heard, chosen[0], "pressure_low", _overruling(heard, low))
    elif len(chosen) == 1:
        _take_for(talk, heard, chosen[0], "gauge_zero", _overruling(heard, zero))
    elif not holding:
        ask_which(talk, chosen, heard)
    else:
        doubting.raise_doubt(talk, "pressure_low", holding, heard, low, among=chosen)


def _heat_down(talk: Talk, heard: Heard) -> None:
    """Ask what each hold does that the heat may be too low for now."""
    loads = [load for load in talk.kitchen.open_loads if load.holding and heard.of in (None, load.id)]
    if loads:
        doubting.raise_doubt(talk, "unheard", loads, heard, {})
    else:
        talk.say("declined", "any")


def _acid_forgotten(talk: Talk, heard: Heard) -> None:
    count = heard.slots.get("count")
    take_fault(talk, replace(heard, intent="fault", slots={"fault": "acid", "jars": count}))


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "heat_down": _heat_down,
        "fault": take_fault,
        "acid_forgotten": _acid_forgotten,
        **{name: _plain(name) for name in _PLAIN},
        "pressure_is": _pressure("pressure_is"),
        "pressure_low": _pressure("pressure_low"),
        "gauge_zero": _gauge_zero,
        "jars_in": _counted("jars_in"),
        "jars_out": _counted("jars_out"),
        "jar_broke": _counted("jar_broke", 1),
        "liquid_lost": _counted("liquid_lost", 1),
        "packed": _counted("packed", 1),
        "seal_count": _seal_count,
        "all_sealed": _whole_count,
        "jar_outcome": _jar_outcome,
    }
)
"""What is done with each report."""
