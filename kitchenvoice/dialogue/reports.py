"""Reports from the stove and of jars: taken for the load they belong to, or refused with where that load is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import denying, doubting, filling, losses, overheard
from kitchenvoice.dialogue.belonging import (
    cooling,
    ends_hold,
    is_moot,
    just_named,
    lost_to_pressure,
    under_pressure,
    viable,
)
from kitchenvoice.dialogue.catching_up import catch_up, drop, had_already
from kitchenvoice.dialogue.choosing import ask_of_closed, ask_which, last_closed, refuse_without_load, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.how_many import of_jars_named
from kitchenvoice.dialogue.now import window_shut
from kitchenvoice.dialogue.statements import is_of_other_matters
from kitchenvoice.dialogue.taking import ask_heat_off, overruling, take_for
from kitchenvoice.dialogue.taking_back import told_zero
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import (
    OF_STEAM,
    Load,
    Stage,
    canner_state,
    ends_late,
    is_shut,
    loads_for,
    spoils_start,
    waits_at_zero,
    waits_for_heat_off,
)

__all__ = ["HANDLERS", "count_text", "refuse_stage", "take", "take_fault", "take_loss"]

_LOSSES, _AFTER_HEAT = intents_that("loss"), intents_that("after_heat")
_GOES_WITH_THE_HEAT = frozenset({"heat_off", "steam_seen", "weight_quiet", "boil_lost", "steam_stopped"})
_SHUT = frozenset({"shut", "cool"})
_FAMILY = frozenset({"pressure_low", "weight_quiet", "boil_lost"})
_CONTRADICT = _AFTER_HEAT | _LOSSES | {"steam_seen"}
"""Reports that no load makes whose hold counts as it should: one that fits nowhere is a doubt on each such hold."""


def take(talk: Talk, heard: Heard, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load it belongs to: the only one it can, the one just chosen, or the one that is named.

    Once something of another load is reported, the one that was named before isn't meant any more. What may have ended
    the hold of one of several loads is a doubt over all of them.
    """
    data = overruling(heard, data)
    if heard.of is not None and _names_whose(talk, heard, report):
        return
    if heard.of is not None:
        _take_named(talk, heard, heard.of, report, data)
        return
    loads = viable(talk, report, data)
    if heard.among:
        loads = tuple(load for load in loads if load.id in heard.among)
    if not loads and heard.among:
        refuse_stage(talk, report, heard.text, [load for load in talk.kitchen.open_loads if load.id in heard.among])
    elif not loads:
        refuse_stage(talk, report, heard=replace(heard, intent=report, slots=data))
    elif len(loads) == 1:
        if loads[0].id != talk.kitchen.focus:
            talk.selected_t = float("-inf")
        take_for(talk, heard, loads[0], report, data)
    else:
        kind = "pressure_low" if report in ("pressure_is", "gauge_zero") else report
        doubted = [x for x in loads if spoils_start(x, kind, data) or ends_hold(x, report, data, talk.t)]
        if doubted:
            doubting.raise_doubt(talk, kind, doubted, heard, data, among=loads)
        else:
            ask_which(talk, loads, heard)


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


def _take_named(talk: Talk, heard: Heard, load_id: int, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load that its sentence named, and for no other, whatever speaks against it."""
    load = talk.kitchen.load(load_id)
    if load is not None and report == "packed":
        talk.record("load_select", load.id, heard.text)
        talk.selected_t = talk.t
    if load is not None and report in _AFTER_HEAT and waits_for_heat_off(load):
        ask_heat_off(talk, heard, load, report, data)
    elif load is not None and load not in loads_for(talk.kitchen, report):
        refuse_stage(talk, report, heard.text, [load], heard=replace(heard, intent=report, slots=data))
    elif load is not None:
        take_for(talk, heard, load, report, data)
        if report in _LOSSES and load.stage is Stage.PACK:  # it isn't on the stove: it was of another
            doubting.put_in_question(talk, heard.text, [each for each in talk.kitchen.open_loads if each.claims])


def refuse_stage(
    talk: Talk,
    intent: str = "",
    text: str = "",
    named: Sequence[Load] = (),
    slots: Mapping[str, Any] = MappingProxyType({}),
    heard: Heard | None = None,
) -> None:
    """Say that it doesn't fit here, the stage, and what is waited for: of the load that was named, if one was.

    What can only be with the heat off is asked about where the time is up and nobody said that the heat is off.
    """
    load = named[0] if len(named) == 1 else talk.focus
    lost = loads_for(talk.kitchen, "gauge_zero") or under_pressure(talk) or lost_to_pressure(talk)
    if intent == "gauge_zero" and _is_down_only(slots) and lost:
        _gauge_zero(talk, Heard(intent, slots, text, talk.t, of=named[0].id if len(named) == 1 else None))
        return
    loads = named or talk.kitchen.open_loads
    shut = [x for x in loads if x.process.is_pressure and (canner_state(x) in _SHUT or waits_for_heat_off(x))]
    steaming = [each for each in loads if each.process.is_steam and each.holding]
    if intent == "lid_off" and len(steaming) == 1:  # the air is in: no answer about the column makes that good
        take(talk, Heard("steam_stopped", {}, text, talk.t, of=steaming[0].id), "boil_lost", {"steam": True})
        return
    venting = [each for each in loads if each.stage is Stage.VENT]
    if intent == "lid_off" and len(venting) == 1 and shut in ([], venting):
        _lid_off_in_vent(talk, text, venting[0])
        return
    if intent == "lid_off" and shut:
        ended = [each for each in shut if each.stands]
        talk.say("objecting", "off_so_soon" if ended == shut else "not_at_zero", urgency=Urgency.CAUTION)
        doubting.raise_doubt(talk, "opened", ended if len(shut) == 1 else [], Heard(intent, slots, text, talk.t), {})
    waiting = [each for each in named or talk.kitchen.open_loads if waits_for_heat_off(each)]
    if intent == "gauge_zero" and len(waiting) == 1 and ends_late(waiting[0], talk.t):
        take_for(talk, Heard(intent, slots, text, talk.t), waiting[0], intent, {})
    elif intent in _AFTER_HEAT and len(waiting) == 1:
        ask_heat_off(talk, Heard(intent, {}, text, talk.t), waiting[0], intent, {})
    elif load is None and intent == "seal_count" and slots.get("failed") and (closed := last_closed(talk)) is not None:
        talk.record("tally", closed.id, text, failed=slots["failed"])
        rest = {"failed": slots["failed"], "rest": "sealed"}
        talk.obey(Heard(intent, rest, text, talk.t, of=closed.id))
    elif load is None and _was_lost(intent, slots) and ask_of_closed(talk, heard.text if heard else text):
        return
    elif load is None:
        refuse_without_load(talk, text)
    elif intent == "heat_on" and overheard.warn_of_the_heat(talk):
        return
    elif intent in ("seal_count", "all_sealed") and load.sealed is not None:
        counted = count_text(talk, load)
        told = (event for event in reversed(talk.history) if event.heard)
        last = next((event for event in told if event.kind not in ("answer_call", "load_select")), None)
        just_now = last is not None and (last.kind, last.load) == ("seal_count", load.id)
        failed_jar = talk.language.say("asking", "failed_jar_late" if window_shut(load, talk.t) else "failed_jar")
        talk.say("reports", "count_logged" if just_now else "count_logged_before", count=counted, failed_jar=failed_jar)
    else:
        heard = heard or Heard(intent, slots, text, talk.t)
        if not catch_up(talk, heard, *(named or talk.kitchen.open_loads)):
            drop(talk)
            if load.doubt and load.stage is Stage.VENT and load.vented_s:  # its weight may be on by now
                doubting.ask(talk, load.doubts[0], load)
            else:
                key = "had_already" if had_already(talk, load, heard) else "wrong_stage"
                talk.say("objecting", key, where=where(talk, load))
        pot = intent == "boil_lost" and is_of_other_matters(talk, heard.text)  # of its own, where no boil is watched
        if intent in _CONTRADICT and not (pot or is_moot(talk, intent, slots)):
            falls = intent == "pressure_low" and not talk.language.hears("past", text)
            over = intent not in _AFTER_HEAT | _GOES_WITH_THE_HEAT  # those contradict no hold that is over
            late = intent == "heat_off"
            cold = all(each.stage is Stage.PACK for each in named)  # no loss can be of one that isn't on the stove
            of = talk.kitchen.open_loads if cold else named
            meant = [x for x in of if not (falls and x.heat_off)]  # as it has to then
            meant = [x for x in meant if over or x.claims or (late and x.may_go_back) or ends_late(x, talk.t)]
            doubting.put_in_question(talk, text, meant, told=intent in _LOSSES | {"gauge_zero"})


def _lid_off_in_vent(talk: Talk, text: str, load: Load) -> None:
    """Let the lid go back on: what vented counts no more. Over pressure it mustn't come off at all."""
    shut = load.step in ("under_pressure", "vent_again")
    key = "lid_back" if not shut else "zero_before" if told_zero(talk, load) else "not_at_zero"
    talk.say("objecting", key, urgency=Urgency.CAUTION)
    if shut:
        talk.speak(where(talk, load))
    else:
        take(talk, Heard("steam_stopped", {}, text, talk.t, of=load.id), "steam_stopped", {})


def count_text(talk: Talk, load: Load) -> str:
    """Say the count of seals that is logged."""
    data = {"sealed": load.sealed or 0, "failed": load.failed or 0}
    return talk.language.say("reports", "count_sealed", filling.values_of(talk, data, load))


def take_loss(talk: Talk, text: str) -> None:
    """Take what ends a hold, of each kind of canner that holds."""
    holding = [load for load in talk.kitchen.open_loads if load.holding]
    if not holding:
        doubting.put_in_question(talk, text)
    for report in sorted({"pressure_low" if load.process.is_pressure else "boil_lost" for load in holding}):
        take(talk, Heard(report, {}, text, talk.t), report, {})


def take_fault(talk: Talk, heard: Heard) -> None:
    """Take what no gauge shows for the load that it is of."""
    slots = {name: heard.slots[name] for name in ("fault", "jars") if heard.slots.get(name) is not None}
    early = heard.slots.get("fault") in ("gear", "numbers", "acid")
    fitting = [x for x in loads_for(talk.kitchen, "fault") if early or x.stage not in (Stage.PACK, Stage.CANNER)]
    closed = None if fitting or (early and talk.kitchen.open_loads) else last_closed(talk)
    if closed is not None:
        take_for(talk, heard, closed, "fault", slots)
    elif talk.kitchen.open_loads:
        take(talk, heard, "fault", slots)
        given_up = tuple(x.id for x in talk.kitchen.open_loads if x.given_up_t is not None)
        if given_up and not fitting:  # in case that is taken back
            talk.record("doubt", None, heard.text, {**slots, "kind": "fault", "loads": given_up})


def _was_lost(intent: str, slots: Mapping[str, Any]) -> bool:
    return intent in _LOSSES - {"heat_off"} or (intent == "gauge_zero" and _is_down_only(slots))


def _counted(report: str, default: int | None = None) -> Callable[[Talk, Heard], None]:
    def handle(talk: Talk, heard: Heard) -> None:
        told = of_jars_named(talk, heard) if report in ("packed", "jars_in") else heard
        if told is not None:
            count = told.slots.get("count", default)
            take(talk, told, report, {} if count is None else {"count": count})

    return handle


def _plain(report: str) -> Callable[[Talk, Heard], None]:
    return lambda talk, heard: take(talk, heard, report, {})


def _steam(report: str) -> Callable[[Talk, Heard], None]:
    """Take what is told of steam: of a steam canner it is its boil, kept or lost, of any other its vent."""

    def handle(talk: Talk, heard: Heard) -> None:
        meant = heard.of if heard.of is not None else talk.kitchen.focus if just_named(talk) else None
        vents, columns = loads_for(talk.kitchen, report), loads_for(talk.kitchen, OF_STEAM[report])
        columns = tuple(load for load in columns if load.process.is_steam)
        one = tuple(load for load in (*vents, *columns) if load.id == meant)
        vents, columns = (tuple(load for load in loads if not one or load in one) for loads in (vents, columns))
        if not columns:
            take(talk, heard, report, {})
        elif not vents:
            take(talk, heard, OF_STEAM[report], {"steam": True})
        elif report == "steam_steady":
            ask_which(talk, (*vents, *columns), heard)
        else:
            doubting.put_in_question(talk, heard.text, columns)
            take(talk, heard, report, {})

    return handle


def _pressure(report: str) -> Callable[[Talk, Heard], None]:
    def handle(talk: Talk, heard: Heard) -> None:
        psi = heard.slots.get("pressure")
        left = [load for load in cooling(talk) if not load.at_zero]
        was = report == "pressure_low" and talk.language.hears("was_read", heard.text)
        above = [x for x in under_pressure(talk) if was and psi is not None and psi >= (x.process.target_psi or 0)]
        if above:
            doubting.put_in_question(talk, heard.text, [x for x in above if heard.of in (None, x.id)])
        elif psi == 0 and len(left) == 1 and left[0].stage is Stage.COOL and _may_be_told_again(talk, heard):
            denying.ask_zero(talk, left[0])
        elif psi == 0 and left and (cold := _cold(talk, heard)):
            ask_which(talk, [*left, *cold], heard)
        else:
            take(talk, heard, report, {} if psi is None else {"pressure": psi})

    return handle


def _may_be_told_again(talk: Talk, heard: Heard) -> bool:
    """True if a zero may be that of a canner that was told to be there: no other one is named."""
    named = heard.of is not None or heard.asked or just_named(talk)
    lost = [load for load in loads_for(talk.kitchen, "gauge_zero") if load.stage is Stage.VENT]  # waits for its own
    return not named and (bool(lost) or any(waits_at_zero(load) for load in talk.kitchen.open_loads))


def _cold(talk: Talk, heard: Heard) -> list[Load]:
    """Return the lost loads whose heat is off, if none is named: a zero can be of one of them as well."""
    named = heard.of is not None or just_named(talk)
    return [] if named else [load for load in lost_to_pressure(talk) if load.heat_off]


def _is_down_only(slots: Mapping[str, Any]) -> bool:
    """Tell whether only pressure or lock was said to be down: zero in a canner that cools, lost in one that holds."""
    return slots.get("reading") in ("down", "fell", "gone", "lock")


def _only_falls(load: Load, heard: Heard) -> bool:
    """True if it is no zero yet: a pressure falls while it cools. Without a dial, its words are asked for."""
    return heard.slots.get("reading") == "fell" or (heard.slots.get("reading") == "down" and load.process.is_dial)


def _gauge_zero(talk: Talk, heard: Heard) -> None:
    """Take a zero. "The pressure is down" can be of any that was under pressure: which one is asked where one cools.

    A lock that has dropped in a hold, or pressure that is all gone, tells that air is back.
    """
    cools = cooling(talk)
    if cools and talk.language.hears("partly", heard.text) and not under_pressure(talk):
        talk.speak(where(talk, cools[0]))  # down a bit, or off zero by a hair, is no zero
        return
    open_vents = [load for load in talk.kitchen.open_loads if load.timer("vent") and heard.of in (None, load.id)]
    if open_vents and heard.slots.get("reading") in ("down", "fell") and not (cools or under_pressure(talk)):
        doubting.put_in_question(talk, heard.text, open_vents)  # it may be the steam
        return
    by_lock = heard.slots.get("reading") == "lock"
    zero = {"lock": True} if by_lock else {}
    low = {"air": True} if heard.slots.get("reading") in ("lock", "gone") else {}
    vents = [load for load in loads_for(talk.kitchen, "gauge_zero") if load.stage is Stage.VENT]
    if vents and heard.of is None and not cools:
        doubting.put_in_question(talk, heard.text, under_pressure(talk))
    if vents and not by_lock and _is_down_only(heard.slots) and not cooling(talk):
        talk.speak(where(talk, vents[0]))  # down is not yet at zero
        return
    holding = under_pressure(talk)
    shut = [load for load in talk.kitchen.open_loads if is_shut(load) and (load in holding or load.processed_t is None)]
    shut = [load for load in shut if load not in loads_for(talk.kitchen, "gauge_zero")]
    left = [load for load in cools if not load.at_zero and heard.of in (None, load.id)]
    falls = [load for load in left if _may_be_told_again(talk, heard) or _only_falls(load, heard)]
    if not shut and len(falls) == 1:
        denying.ask_zero(talk, falls[0])
        return
    if left and (cold := _cold(talk, heard)):
        ask_which(talk, [*left, *cold], heard)  # either may be there by now
        return
    if not shut or not _is_down_only(heard.slots):
        take(talk, heard, "gauge_zero", zero)
        return
    fitting = [*shut, *(load for load in cooling(talk) if not load.at_zero)]
    fitting = [load for load in fitting if load.id in heard.among] or fitting
    holding = [load for load in holding if load.id in heard.among] or holding
    meant = heard.of if heard.of is not None else talk.kitchen.focus if just_named(talk) else None
    chosen = [load for load in fitting if load.id == meant] or fitting
    if len(chosen) == 1 and is_shut(chosen[0]):
        take_for(talk, heard, chosen[0], "pressure_low", overruling(heard, low))
    elif len(chosen) == 1 and chosen[0] in falls:
        denying.ask_zero(talk, chosen[0])
    elif len(chosen) == 1:
        take_for(talk, heard, chosen[0], "gauge_zero", overruling(heard, zero))
    elif touched := [load for load in chosen if load in holding or spoils_start(load, "pressure_low", low)]:
        doubting.raise_doubt(talk, "pressure_low", touched, heard, low, among=chosen)
    else:
        ask_which(talk, chosen, heard)


def _heat_down(talk: Talk, heard: Heard) -> None:
    """Ask what each hold does that the heat may be too low for now."""
    if loads := [load for load in talk.kitchen.open_loads if load.holding and heard.of in (None, load.id)]:
        doubting.raise_doubt(talk, "unheard", loads, heard, {"lower": True})
    else:
        talk.obey(Heard("where_are_we", {}, heard.text, heard.t, of=heard.of))


def _liquid_lost(talk: Talk, heard: Heard) -> None:
    """Note it; a jar that may have lost more than half of it is asked about before its load is closed."""
    _counted("liquid_lost", 1)(talk, heard)
    if "half" in heard.slots:
        loads = [x for x in loads_for(talk.kitchen, "liquid_lost") if x.stands and heard.of in (None, x.id)]
        doubting.keep(talk, "of_jars", loads, overheard.without_name(talk, heard.text))


def _acid_forgotten(talk: Talk, heard: Heard) -> None:
    take_fault(talk, replace(heard, intent="fault", slots={"fault": "acid", "jars": heard.slots.get("count")}))


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        **{name: _plain(name) for name in intents_that("report")},
        **{name: _steam(name) for name in OF_STEAM},
        "heat_down": _heat_down,
        "fault": take_fault,
        "acid_forgotten": _acid_forgotten,
        "pressure_is": _pressure("pressure_is"),
        "pressure_low": _pressure("pressure_low"),
        "gauge_zero": _gauge_zero,
        "jars_in": _counted("jars_in"),
        "jars_out": _counted("jars_out"),
        "liquid_lost": _liquid_lost,
        "packed": _counted("packed", 1),
    }
)
"""What is done with each report; the counts of seals are in `counting`."""
