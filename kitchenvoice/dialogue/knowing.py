"""General questions of canning, answered in the fixed, sourced sentences of the reference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Literal

from kitchenvoice.dialogue import contradicting, denying, doubting, forms, frames, reports, statements
from kitchenvoice.dialogue.choosing import called_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import left_on
from kitchenvoice.dialogue.now import only_out_is_left
from kitchenvoice.dialogue.overheard import SPOKEN_IN, without_name
from kitchenvoice.dialogue.recorded import recorded
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.errors import TablesDamaged
from kitchenvoice.grammar import Grammar
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Stage, canner_state, maybe_shut
from kitchenvoice.reference.ferments import ferment_of
from kitchenvoice.reference.folding import folded
from kitchenvoice.reference.food_talk import ways
from kitchenvoice.reference.knowledge import Asked, Situation, alarm, asked, families, family, is_calm, reply
from kitchenvoice.reference.library import product
from kitchenvoice.reference.nearness import asks, is_beside, question_in
from kitchenvoice.reference.senses import speaks_against

__all__ = [
    "BY_FOOD",
    "Asked",
    "answer",
    "answer_first",
    "answer_question",
    "is_of_the_canner",
    "is_question",
    "of_another_canner",
    "speak_family",
]

_OPEN_IT = "open_it"
"""The family that asks when the lid may come off: where a canner stands at zero, that depends on its wait."""
BY_FOOD = MappingProxyType(
    {
        "time_of_a_food": "ask_hold",
        "hold_how_long": "ask_hold",
        "pressure_how_much": "ask_pressure",
        "headspace_how_much": "ask_headspace",
        "leave_out_acid": "ask_acid",
        "acid_how_much": "ask_acid",
        "leave_out_salt": "ask_salt",
        "salt_how_much": "ask_salt",
    }
)
"""Families that know no figure of a food, and the command that does: the load and the look-up are asked first."""
_ON_SHEET: Mapping[str, str] = MappingProxyType(
    {
        "headspace_how_much": "headspace",
        "salt_how_much": "salt",
        "acid_how_much": "acid",
        "yield_of_what": "yield",
        **dict.fromkeys(("add_water_in_process", "blanch_first", "raw_meat_liquid", "which_liquid"), "packing"),
    }
)
"""Families that the sheet of the food answers which is begun or packed, and the part of it that does."""
_HOLDS = "how_many_fit"
"""The family that asks how many jars fit, which the profile knows of its own canners."""
_TOO_HIGH, _TOO_LOW = "pressure_high", "lower_pressure_longer_time"
_OF_PRESSURE = frozenset({_TOO_HIGH, _TOO_LOW})
_LEFT: Mapping[str, str] = MappingProxyType({"rest_left": "rest", "save_left": "window"})
"""Slots that say what is left of a time, and its timer."""
_RUNS = frozenset({Stage.VENT, Stage.COME_UP, Stage.HOLD})


def answer_question(talk: Talk, text: str, grammar: Grammar) -> bool:
    """Answer a question of the knowledge base, in the numbers of the load in focus; False if it is none in any words.

    A question that implies a loss or a fault ("the weight fell off, what now") is that too; one that may imply one puts
    every running hold in doubt.
    """
    if talk.language.tag != SPOKEN_IN:
        return False
    said = without_name(talk, text)
    found = asked(said) or asked(folded(said))
    worded = filter(None, (asked(each.text) for each in grammar.other_words(said)))
    found = found or next((each for each in worded if not speaks_against(said, each.family, talk.under_way)), None)
    if found is None:
        return False
    answer(talk, text, found)
    return True


def answer_first(talk: Talk, text: str) -> bool:
    """Answer what comes before all else: what tells of an emergency, in any words and whoever listens, and what asks
    what happened, which is no report of it; tell whether it was either."""
    if talk.language.tag != SPOKEN_IN:
        return False
    said = without_name(talk, text)
    try:
        name = "" if statements.is_over(talk, said) else alarm(said)
        exact = asked(said) if name or asks(said) else None
    except TablesDamaged:
        return False
    if exact is None and not name:
        return False
    found = exact or Asked(name, doubt=not asks(said))
    known = family(found.family)
    if not known.words and (talk.asleep or not known.record):
        return False
    answer(talk, text, found)
    if talk.question is not None and talk.question.about == "setup":
        frames.again(talk, talk.question)
    return True


def is_question(talk: Talk, text: str) -> bool:
    """True if a text is a question of the knowledge base, word by word, and none for the numbers of one food."""
    found = asked(without_name(talk, text)) if talk.language.tag == SPOKEN_IN else None
    return found is not None and found.family not in BY_FOOD


def speak_family(talk: Talk, name: str, urgency: Urgency | None = None, *, first: bool = False, text: str = "") -> None:
    """Say the answer of a family, in the numbers of the load in focus; `first`: before all else. What may be done for
    a day is not said after it."""
    if family(name).within_day and only_out_is_left(talk):
        talk.say("asking", "failed_jar_late")
        return
    told = reply(name, _situation(talk, text))
    say = talk.lead if first else talk.speak
    say(told.text, urgency or (Urgency.CAUTION if told.hazard else Urgency.READBACK))


def answer(talk: Talk, text: str, found: Asked) -> None:
    """Say the answer of a family, and do what its question implies."""
    found = _by_target(talk, text, found)
    if _read_from_sheet(talk, text, found):
        return
    told = reply(found.family, _situation(talk, text))
    talk.misses = 0
    named = called_in(text.lower(), talk.kitchen.open_loads)
    asked_about, load = family(found.family), named[0] if len(named) == 1 else talk.focus or _last_closed(talk)
    if asked_about.record and load is not None:
        told = replace(told, text=recorded(talk, asked_about.record, load))
    if told.hangs:
        talk.note("hangs")
    talk.note("answered", told.text, family=told.family, source=told.source, doubt=found.doubt, normal=told.normal)
    small_talk, of_thing = is_beside(found), talk.language.hears("thing", text)
    if asked_about.record:
        talk.lead(told.text, Urgency.CAUTION if told.hazard else Urgency.READBACK)
        return
    if found.family == _OPEN_IT and any(load.at_zero and not load.lid_off for load in talk.kitchen.open_loads):
        talk.obey(Heard("ask_open", {}, text, talk.t))
        return
    if found.family == _HOLDS and any(canner.capacity for canner in talk.profile.canners):
        talk.obey(Heard("ask_kitchen", {}, text, talk.t))
        return
    timed = asked_about.clock and any(load.stage in _RUNS for load in talk.kitchen.open_loads)
    if timed:
        talk.obey(Heard("ask_time", {}, text, talk.t))
        talk.speak(told.text, Urgency.CAUTION if told.hazard else Urgency.READBACK)
    if asked_about.words:
        _stop(talk, text, found)
    elif told.normal:
        pass
    elif found.doubt and asked_about.fault:
        reports.take_fault(talk, Heard("fault", {"fault": asked_about.fault}, text, talk.t))
    elif found.doubt and asked_about.ends_hold and talk.question is not None and talk.question.about == "in_question":
        frames.again(talk, talk.question)
    elif found.doubt and asked_about.ends_hold and not talk.language.hears("supposes", text):
        reports.take_loss(talk, text)  # "does it matter if it fell" asks
    elif found.doubt:
        doubting.put_in_question(talk, text)
    elif timed and question_in(text):
        pass  # what stands before it is weighed by itself
    elif not asks(without_name(talk, text)) and (not asked_about.harmless or (small_talk and of_thing)):
        contradicting.contradict(talk, text, kept=not small_talk or of_thing)
    if asked_about.within_day and only_out_is_left(talk):
        talk.say("asking", "failed_jar_late")
    elif not timed:
        talk.lead(told.text, Urgency.CAUTION if told.hazard else Urgency.READBACK)


def _read_from_sheet(talk: Talk, text: str, found: Asked) -> bool:
    """Answer by the sheet of the food that is begun or packed; tell whether it is of that."""
    about, load, said = _ON_SHEET.get(found.family), talk.focus, without_name(talk, text)
    figure = about in ("headspace", "salt", "acid")  # those of a load are its own
    food = forms.food_begun(talk) if load is None else load.food if load.stage is Stage.PACK and not figure else None
    if about is None or food is None or found.doubt or not asks(said) or talk.language.hears("canner", said):
        return False
    talk.misses = 0
    talk.obey(Heard("ask_sheet", {"food": food, "about": about}, text, talk.t))
    return True


def _by_target(talk: Talk, text: str, found: Asked) -> Asked:
    """Return whether the pressure that a question names is asked about as too much or too little, by the target of the
    load: its wordings have the numbers of some load."""
    load = talk.focus if talk.focus is not None and talk.focus.stage in (Stage.COME_UP, Stage.HOLD) else None
    target = None if load is None else load.process.target_psi
    if load is None or target is None or found.family not in _OF_PRESSURE or not asks(without_name(talk, text)):
        return found
    too_low = statements.names_under(talk, text, target)
    if not (too_low or statements.may_be_read(talk, text)):
        return found
    name = _TOO_LOW if too_low else _TOO_HIGH
    return found if found.family == name else Asked(name, doubt=found.doubt or (too_low and load.holding))


def _stop(talk: Talk, text: str, found: Asked) -> None:
    """End what runs, whatever its load, where the heat goes off: nobody is told to heat before that is mended."""
    stops = found.doubt and family(found.family).fault == "stop" and not is_calm(text)
    loads = talk.kitchen.open_loads if stops else ()
    running = [each for each in loads if each.stage in _RUNS and each.processed_t is None]
    for load in running:
        talk.record("fault", load.id, text, fault="stop")
    if not running:
        contradicting.contradict(talk, text)
    if len(running) == 1:
        denying.ask_if_misheard(talk, running[0].id)


def _last_closed(talk: Talk) -> Load | None:
    """Return the load that was closed last, where none is open."""
    return next(reversed(talk.kitchen.loads), None) if not talk.kitchen.open_loads else None


def is_of_the_canner(name: str) -> bool:
    """True if a name is of a question of the canner that is shut, or of what happened to it; of no command."""
    known = families().get(name)
    return known is not None and (known.at_canner or known.shut or known.fault != "")


def of_another_canner(load: Load | None, text: str) -> bool:
    """Tell whether a question names a method or a gauge that isn't the load's: its figures don't hold there."""
    own = {} if load is None else {"method": load.process.method, "gauge": load.process.gauge}
    return any(own[name] != value for name, value in ways(text).items() if name in own)


def _situation(talk: Talk, text: str) -> Situation:
    """Return what is known of the load in focus; of no load where another canner is asked about than its own."""
    load = talk.focus
    about = load or _last_closed(talk)
    loads = talk.kitchen.open_loads
    canners = {canner_state(each) for each in loads if not each.at_zero or each.timer("settle") is not None}
    brines = {ferment.brine for crock in talk.kitchen.crocks if (ferment := ferment_of(crock.food)) is not None}
    here = Situation(
        stage="crock" if load is None and talk.kitchen.crocks else "idle",
        canner=next((state for state in ("shut", "cool", "wait", "vent") if state in canners), ""),
        unfit=_unfit(about),
        slots={"brine": talk.language.in_words(next(iter(brines)))} if len(brines) == 1 else {},
    )
    if load is None or of_another_canner(load, text):
        asked_of = ways(text)
        return replace(here, method=asked_of.get("method"), gauge=asked_of.get("gauge"))
    process = load.process
    slots = {
        "hold_minutes": talk.language.number(process.minutes),
        "headspace": process.headspace,
        "psi": "" if process.target_psi is None else talk.language.number(process.target_psi),
        "salt": talk.language.spoon(process.salt_tsp) if process.salt_tsp else "",
        "acid": process.acid,
        **_left(talk, load),
        "no_vinegar": "" if _takes_vinegar(load.food) else process.acid,
        "water": process.water,
        "own_vent": process.water if process.heat_vent_minutes else "",
    }
    return replace(
        here,
        stage=Stage.COOL.value if maybe_shut(load) and load.stage is Stage.VENT else load.stage.value,
        method=process.method,
        gauge=process.gauge,
        acidity="low" if product(load.food).acidity == "low" else "acid",
        at_zero=load.at_zero and not load.lid_off,
        slots={name: said for name, said in slots.items() if said},
    )


def _left(talk: Talk, load: Load) -> Mapping[str, str]:
    """Say what is left of its rest, and for saving a jar that failed; of none where it may be a jar of another load."""
    others = any(each.processed_t is not None for each in talk.kitchen.open_loads if each.id != load.id)
    timers = {} if others else {slot: load.timer(name) for slot, name in _LEFT.items()}
    return {slot: left_on(talk, each) for slot, each in timers.items() if each is not None and each.left_s(talk.t) > 0}


def _takes_vinegar(food: str) -> bool:
    """True unless the acid of each jar is printed, and none of it is vinegar."""
    acid = product(food).acid
    printed = () if acid is None else acid.per_jar.values()
    return not printed or any(each.vinegar_tbsp is not None for each in printed)


def _unfit(load: Load | None) -> Literal["", "open", "yet", "all", "some"]:
    """Tell whether a load, or some of its jars, weren't processed as tested, are on the way to it, or are in doubt."""
    if load is None or load.stage in (Stage.PACK, Stage.CANNER):
        return ""
    lost = load.hold is not None and load.hold.lost_t is not None
    if load.faults or (not load.processed_t and (lost or load.given_up_t is not None)):
        return "some" if load.processed_t and load.unfit and not load.all_unfit else "all"
    if load.doubt or (load.processed_t and load.kept):
        return "open"
    return "some" if load.unfit and not load.all_unfit else "" if load.processed_t else "yet"
