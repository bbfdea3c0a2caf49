"""Reports from the stove and counts of jars: to which load they belong, what speaks against them, what is read back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import filling, render
from kitchenvoice.dialogue.choosing import ask_which_load, load_list, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.refusing import over_the_canner, refuse_other_numbers
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Event, Load, Objection, Stage, apply, loads_for, object_to, step_of

__all__ = ["HANDLERS", "count_text", "just_named", "refuse_stage", "take_for_id", "told_apart"]

_CHOSEN_S = 60.0
_TAKEN, _AFTER_YES, _NOTHING, _REFUSED = 1, 2, 3, 4
_STEAM = ("lid_locked", "heat_on", "steam_steady", "steam_stopped", "weight_on", "weight_rocking", "weight_quiet")
_REST = ("boiling", "boil_lost", "heat_off", "lid_off", "load_close")
_PLAIN = (*_STEAM, *_REST)
_LOSSES = frozenset({"heat_off", "boil_lost", "pressure_low", "weight_quiet", "steam_stopped"})
_FAMILIES = (frozenset({"pressure_low", "pressure_is", "weight_quiet", "boil_lost"}),)
_BEGINNINGS = frozenset({"steam_steady", "weight_on", "weight_rocking", "pressure_is", "boiling"})
_BY_WEIGHT = frozenset({"weight_rocking", "weight_quiet"})
_BY_DIAL = frozenset({"pressure_is", "pressure_low"})
_AFTER_HEAT = frozenset({"gauge_zero", "lid_off", "jars_out"})
_AWAITED = frozenset({"weight_on", "heat_off", "heat_on", "lid_locked", "gauge_zero", "lid_off", "jars_out"})


def take(talk: Talk, heard: Heard, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load it belongs to: the only one it can, the one just chosen, or the one she names.

    Once she reports something of another load, the one that she named before isn't meant any more.
    """
    _settle_by(talk, report, heard.of)
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
        lapse = (lambda _: _take_for_each(talk, heard, loads, report, data)) if report in _LOSSES else None
        ask_which_load(talk, loads, lambda load: _take_chosen(talk, heard, load, report, data), lapse, report)


def _settle_by(talk: Talk, report: str, named: int | None) -> None:
    """Forget what a report answers: whose loss it was, if it names the load."""
    family = next((each for each in _FAMILIES if report in each), frozenset({report}))

    def settled(question: Question) -> bool:
        return question.expects == "load" and named in question.at_stake and question.report in family

    talk.drop_questions(settled)


def _take_named(talk: Talk, heard: Heard, load_id: int, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load that its sentence named, and for no other, whatever speaks against it."""
    load = talk.kitchen.load(load_id)
    if load is not None and report in _AFTER_HEAT and _waits_for_heat_off(load):
        _ask_heat_off(talk, heard, load, report, data)
    elif load is not None:
        _take_for(talk, heard, load, report, data)


def _take_for_each(talk: Talk, heard: Heard, loads: Sequence[Load], report: str, data: Mapping[str, Any]) -> None:
    """Nobody said whose hold or vent is lost: it counts for each, since the other mistake would end one too soon.

    Where the time is up nothing is lost by it, and taken for each it would leave one canner on the heat without a call.
    """
    waiting = [load for load in loads if _waits_for_heat_off(load)]
    if report == "heat_off" and waiting:
        names = load_list(talk, waiting, "and")
        talk.say("talk", "nobody_said_whose_heat", urgency=Urgency.CAUTION, loads=names)
        return
    talk.say("talk", "nobody_said_which", urgency=Urgency.CAUTION)
    for load in loads:
        talk.record(report, load.id, heard.text, {**data, "asked": ("hold_not_done",)})


def _changes(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> bool:
    """Tell whether the report would do anything to the load. The engine is pure, so it can simply be tried."""
    event = Event(seq=talk.last_seq + 1, t=talk.t, kind=report, load=load.id, data=dict(data))
    after, facts = apply(talk.kitchen, event)
    return bool(facts) or after.load(load.id) != load


def _take_chosen(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Take a report for the load she named; jars packed after it go there too, for a while."""
    if report == "packed":
        talk.record("load_select", load.id, heard.text)
        talk.selected_t = talk.t
    _take_for(talk, heard, load, report, data)


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
    fitting = tuple(load for load in loads if trouble[load.id] == min(trouble.values()))
    by_dial = report in _BY_DIAL and "pressure" in data
    gauge = "weighted" if report in _BY_WEIGHT else "dial" if by_dial else None
    return tuple(load for load in fitting if gauge in (None, load.process.gauge)) or fitting


def _trouble(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> int:
    """Rank: awaited by the step the load is at, taken, taken after a yes, without effect, refused.

    What ends one too soon ranks alike for a hold that asks first and a vent that doesn't: she is asked whose it is.
    What starts a hold is never given to the load that waits for it while another one can have reported it, and jars
    that are in without a count can be those of any load being packed, however many it has.
    """
    if report in _BY_DIAL and _waits_for_heat_off(load) and data.get("pressure") != 0:
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
    return 0 if awaited else _TAKEN


def take_for_id(talk: Talk, load_id: int, report: str, data: Mapping[str, Any], heard: Heard) -> None:
    """Take a report for a load that is known already, as the answer to a question of ours."""
    load = talk.kitchen.load(load_id)
    if load is not None:
        _take_for(talk, heard, load, report, data)


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
    if intent == "gauge_zero" and _is_down_only(slots) and _under_pressure(talk):
        _gauge_zero(talk, Heard(intent, slots, text, talk.t, of=named[0].id if len(named) == 1 else None))
        return
    waiting = [each for each in named or talk.kitchen.open_loads if _waits_for_heat_off(each)]
    if intent in _AFTER_HEAT and len(waiting) == 1:
        _ask_heat_off(talk, Heard(intent, {}, text, talk.t), waiting[0], intent, {})
    elif load is None:
        talk.refuse_without_load()
    elif intent in ("seal_count", "all_sealed") and load.stage is Stage.KEEP:
        counted = count_text(talk, load)
        hers = (event for event in reversed(talk.history) if event.heard)
        last = next((event for event in hers if event.kind not in ("answer_call", "load_select")), None)
        just_now = last is not None and (last.kind, last.load) == ("seal_count", load.id)
        failed_jar = talk.language.say("answers", "failed_jar")
        talk.say("answers", "count_logged" if just_now else "count_logged_before", count=counted, failed_jar=failed_jar)
    else:
        talk.say("objections", "wrong_stage", where=where(talk, load))


def _waits_for_heat_off(load: Load) -> bool:
    return load.stage is Stage.HOLD and load.processed_t is not None


def _ask_heat_off(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Ask for the report that was left out; after a yes both are taken, in their order."""

    def yes() -> None:
        talk.record("heat_off", load.id, heard.text, before=True)
        take_for_id(talk, load.id, report, data, heard)

    prompt = talk.language.say("talk", "heat_off_first", load=filling.load_name(talk, load))
    talk.ask_yes_no(prompt, yes, lambda: talk.speak(where(talk, load)))


def _take_for(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    if report == "pressure_is" and _waits_for_heat_off(load) and data.get("pressure") == 0:
        _ask_heat_off(talk, heard, load, report, data)
        return
    too_many = over_the_canner(talk, load, data) if report == "jars_in" else ""
    if too_many:
        _ask_how_many(talk, heard, load.id, too_many)
        return
    if report in _BEGINNINGS and refuse_other_numbers(talk, load):
        return
    if load.doubt and report in ("pressure_is", "weight_rocking", "boiling") and talk.question is not None:
        if not _is_below(load, report, data):
            return  # what was asked about the gap is asked again; what is so now doesn't answer it
        talk.drop_questions(lambda question: load.id in question.at_stake)
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if objection is not None:
        _object(talk, heard, load, report, data, objection)
    elif report == "seal_count":
        _confirm_count(talk, heard, load, data)
    elif heard.rival is not None and not (
        _loses_anyway(load, report, data, heard.rival) or _cannot_be(talk, load, report, data, heard.rival)
    ):
        _confirm_heard(talk, heard, load, report, data)
    else:
        _accept(talk, heard, load, report, data)


def _is_below(load: Load, report: str, data: Mapping[str, Any]) -> bool:
    target = load.process.target_psi
    return report == "pressure_is" and load.process.is_dial and target is not None and data["pressure"] < target


def _ask_how_many(talk: Talk, heard: Heard, load_id: int, text: str) -> None:
    """Ask how many jars are in; a bare number will do."""

    def answer(said: Heard) -> bool:
        value = said.slots.get("value")
        if said.intent != "number" or not isinstance(value, int | float) or value != int(value):
            return False
        talk.question = None
        take_for_id(talk, load_id, "jars_in", {"count": int(value)}, replace(heard, text=said.text, rival=None))
        return True

    talk.ask(Question("count", text, answer, frozenset({"number"})))


def _loses_anyway(load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """Tell whether a fall below the target is reported either way: that is taken at once."""
    said, other, target = data.get("pressure"), rival.get("pressure"), load.process.target_psi
    falls = report in ("pressure_is", "pressure_low") and load.holding and target is not None
    return falls and said is not None and other is not None and max(said, other) < (target or 0)


def _cannot_be(talk: Talk, load: Load, report: str, data: Mapping[str, Any], rival: Mapping[str, Any]) -> bool:
    """Tell whether the number that sounds alike can't be meant: seventy jars of seven."""
    return rival.keys() <= data.keys() and object_to(talk.kitchen, load, report, {**data, **rival}, talk.t) is not None


def _confirm_heard(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    """Ask back what sounds like something else, with the number that tells them apart."""
    said = heard.text.removeprefix(talk.profile.attention).strip()
    told = said + told_apart(talk, heard.slots, heard.rival or {})
    sure = replace(heard, rival=None)
    talk.ask_yes_no(
        talk.language.say("talk", "did_you_say", said=told),
        lambda: take_for_id(talk, load.id, report, data, sure),
        lambda: talk.say("declined", "any"),
        heard=said,
    )


def told_apart(talk: Talk, slots: Mapping[str, Any], rival: Mapping[str, Any]) -> str:
    """Return the digits of the number that differs from the rival's, to be said after it; nothing if none does."""
    pairs = ((value, rival.get(name)) for name, value in slots.items() if rival.get(name) not in (None, value))
    return next((talk.language.code(value, other) for value, other in pairs if isinstance(value, int | float)), "")


def _accept(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any]) -> None:
    facts = talk.record(report, load.id, heard.text, data)
    if report == "tally":
        _finish_tally(talk, heard, load.id)
    if load.id != talk.kitchen.focus and any(fact.kind in ("hold_lost", "vent_stopped") for fact in facts):
        talk.record("load_select", load.id)  # what she asks next is of the one in trouble
    if any(fact.kind == "hold_lost" and fact.data.get("why") != "gap" for fact in facts):
        _doubt_the_loss(talk, load.id)
    elif not facts:
        talk.speak(where(talk, load))


def _doubt_the_loss(talk: Talk, load_id: int) -> None:
    """A loss counts at once; a no within the window takes the report back."""
    of_it = (event for event in reversed(talk.history) if event.load == load_id)
    event = next(event for event in of_it if event.kind not in ("hold_lost", "load_select"))

    def wrong() -> None:
        what = render.undone(talk, event)
        talk.take_back(event)
        talk.say("talk", "taken_back", what=what)
        load = talk.kitchen.load(load_id)
        if load is not None:
            talk.speak(where(talk, load))

    prompt = talk.language.say("talk", "confirm_or_scratch")
    stands = talk.language.say("talk", "loss_stands")
    talk.ask_yes_no(prompt, lambda: talk.speak(stands), wrong, lapse=lambda _: None, prompted=1, stands=stands)


def _object(talk: Talk, heard: Heard, load: Load, report: str, data: Mapping[str, Any], objection: Objection) -> None:
    values = filling.values_of(talk, objection.data, load)
    if objection.kind == "window_shut":
        values["hours"] = talk.language.duration(float(objection.data["hours"]) * 3600)  # type: ignore[arg-type]
    if "other" in objection.data:
        other = talk.kitchen.load(int(objection.data["other"]))  # type: ignore[arg-type]
        values["other"] = other.food_name if other is not None else ""
    if "where" in talk.language.gaps("objections", objection.kind):
        values["where"] = where(talk, load)
    if objection.kind == "hold_not_done" and not objection.data["left_s"]:
        objection, asked = Objection("hold_over", override=True), objection.kind
    else:
        asked = objection.kind
    text = talk.language.say("objections", objection.kind, values)
    talk.reason = text
    if not filling.names_load(talk, "objections", objection.kind):
        text = filling.named(talk, load, text)
    if objection.kind == "broke_packing":
        _ask_how_many(talk, heard, load.id, text)
        return
    if not objection.override:
        talk.speak(text, Urgency.CAUTION)
        return
    sure = {**data, "asked": (*data.get("asked", ()), asked)}
    no = lambda: _decline(talk, heard, load.id, report, objection)  # noqa: E731
    if report in _LOSSES:
        _ask_for_loss(talk, heard, load.id, report, sure, text, no)
    else:
        talk.ask_yes_no(text, lambda: _overrule(talk, heard, load.id, report, sure), no)


def _ask_for_loss(
    talk: Talk, heard: Heard, load_id: int, report: str, sure: Mapping[str, Any], text: str, no: Callable[[], None]
) -> None:
    """Ask about what ends a hold too soon. Only a no lets it go on: no answer counts as a yes, and a command on the way
    doesn't end the question."""

    def unanswered(_: float) -> None:
        talk.say("talk", "nobody_said_no", urgency=Urgency.CAUTION)
        _overrule(talk, heard, load_id, report, sure)

    def heat_is_on(said: Heard) -> bool:
        if said.intent == "heat_on":  # it is lit again: it was off meanwhile
            talk.question = None
            _overrule(talk, heard, load_id, report, sure)
        return False

    def again() -> None:
        load = talk.kitchen.load(load_id)
        if load is not None:
            talk.question = None
            _take_for(talk, heard, load, report, {name: sure[name] for name in sure if name != "asked"})

    talk.ask_yes_no(
        text,
        lambda: _overrule(talk, heard, load_id, report, sure),
        no,
        lapse=unanswered,
        instead=heat_is_on,
        dropped=talk.language.say("talk", "cancelled"),
        keep=True,
        again=again,
        at_stake=frozenset({load_id}),
        report=report,
    )


def _decline(talk: Talk, heard: Heard, load_id: int, report: str, objection: Objection) -> None:
    """After a no: say what stands, and ask for what is so where that is a number of jars."""
    load = talk.kitchen.load(load_id)
    key = objection.kind if talk.language.has("declined", objection.kind) else "any"
    values = filling.values_of(talk, objection.data, load)
    text = talk.language.say("declined", key, {**values, **filling.values_of(talk, {}, load)})
    text = text if load is None else filling.named(talk, load, text)
    if report == "jars_in" and objection.kind == "jars_in_differ":
        _ask_how_many(talk, heard, load_id, text)
    else:
        talk.speak(text, Urgency.READBACK)


def _overrule(talk: Talk, heard: Heard, load_id: int, report: str, data: Mapping[str, Any]) -> None:
    """Take a report after a yes, unless something else still speaks against it."""
    load = talk.kitchen.load(load_id)
    if load is None:
        return
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if objection is not None:
        _object(talk, heard, load, report, data, objection)
    else:
        _accept(talk, heard, load, report, data)


# ---------------------------------------------------------------- counts


def _confirm_count(talk: Talk, heard: Heard, load: Load, data: Mapping[str, Any]) -> None:
    counts = {name: data[name] for name in ("sealed", "failed")}
    key = "count_heard" if counts["failed"] else "count_heard_all"
    prompt = talk.language.say("answers", key, filling.values_of(talk, counts, load))
    values = filling.values_of(talk, {}, load)
    talk.ask_yes_no(
        filling.named(talk, load, prompt),
        lambda: _overrule(talk, heard, load.id, "seal_count", data),
        lambda: talk.speak(filling.named(talk, load, talk.language.say("declined", "seal_count", values))),
    )


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
        ask_which_load(talk, chosen, lambda load: _whole_of(talk, heard, load))
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
    take(talk, heard, "jar_outcome", {"outcome": heard.slots["outcome"], "count": heard.slots.get("count", 1)})


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
    """Tell whether it was only said that the pressure is down: at zero in a canner that cools, too low in one that
    holds."""
    return slots.get("reading") == "down"


def _under_pressure(talk: Talk) -> list[Load]:
    return [load for load in talk.kitchen.open_loads if load.holding and load.process.is_pressure]


def _gauge_zero(talk: Talk, heard: Heard) -> None:
    """Take a zero. "The pressure is down" is a loss for a load that holds; which one is asked if another one cools."""
    holding = _under_pressure(talk)
    if not holding or not _is_down_only(heard.slots):
        take(talk, heard, "gauge_zero", {})
        return
    fitting = [*holding, *(load for load in loads_for(talk.kitchen, "gauge_zero") if not load.at_zero)]
    meant = heard.of if heard.of is not None else talk.kitchen.focus if just_named(talk) else None
    chosen = [load for load in fitting if load.id == meant] or fitting

    def down(load: Load) -> None:
        _take_for(talk, heard, load, "pressure_low" if load.holding else "gauge_zero", {})

    if len(chosen) == 1:
        down(chosen[0])
    else:
        lapse = lambda _: _take_for_each(talk, heard, _under_pressure(talk), "pressure_low", {})  # noqa: E731
        ask_which_load(talk, chosen, down, lapse, "pressure_low")


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
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
