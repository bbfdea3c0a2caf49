"""General questions of canning, answered in the fixed, sourced sentences of the reference."""

from __future__ import annotations

from types import MappingProxyType

from kitchenvoice.dialogue import overheard, reports
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import only_out_is_left
from kitchenvoice.dialogue.overheard import SPOKEN_IN, without_name
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import Grammar
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load
from kitchenvoice.reference.knowledge import Asked, Situation, asked, family, reply
from kitchenvoice.reference.library import product
from kitchenvoice.reference.nearness import asks, is_beside

__all__ = ["BY_FOOD", "Asked", "answer", "answer_question", "is_question", "speak_family"]

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


def answer_question(talk: Talk, text: str, grammar: Grammar) -> bool:
    """Answer a question of the knowledge base, in the numbers of the load in focus; False if it is none in any words.

    A question that implies a loss or a fault ("the weight fell off, what now") is that too; one that may imply one puts
    every running hold in doubt.
    """
    if talk.language.tag != SPOKEN_IN:
        return False
    said = without_name(talk, text)
    found = asked(said) or next(filter(None, (asked(each.text) for each in grammar.other_words(said))), None)
    if found is None:
        return False
    answer(talk, text, found)
    return True


def is_question(talk: Talk, text: str) -> bool:
    """Tell whether a text is a question of the knowledge base, word by word, and none for the numbers of one food."""
    found = asked(without_name(talk, text)) if talk.language.tag == SPOKEN_IN else None
    return found is not None and found.family not in BY_FOOD


def speak_family(talk: Talk, name: str, urgency: Urgency | None = None, *, first: bool = False) -> None:
    """Say the answer of a family, in the numbers of the load in focus; `first`: before all else."""
    told = reply(name, _situation(talk, talk.focus))
    say = talk.lead if first else talk.speak
    say(told.text, urgency or (Urgency.CAUTION if told.hazard else Urgency.READBACK))


def answer(talk: Talk, text: str, found: Asked) -> None:
    """Say the answer of a family, and do what its question implies."""
    told = reply(found.family, _situation(talk, talk.focus))
    talk.misses = 0
    talk.note("answered", told.text, family=told.family, source=told.source, doubt=found.doubt)
    if found.family == _OPEN_IT and any(load.at_zero and not load.lid_off for load in talk.kitchen.open_loads):
        talk.obey(Heard("ask_open", {}, text, talk.t))
        return
    asked_about = family(found.family)
    if told.normal:
        pass
    elif found.doubt and asked_about.fault:
        reports.take_fault(talk, Heard("fault", {"fault": asked_about.fault}, text, talk.t))
    elif found.doubt and asked_about.ends_hold:
        reports.take_loss(talk, text)
    elif found.doubt:
        overheard.contradicted(talk, text)
    elif not asked_about.harmless and not asks(without_name(talk, text)):
        overheard.left_open(talk, text, kept=not is_beside(found))
    if asked_about.within_day and only_out_is_left(talk):
        talk.say("answers", "failed_jar_late")
    else:
        talk.lead(told.text, Urgency.CAUTION if told.hazard else Urgency.READBACK)


def _situation(talk: Talk, load: Load | None) -> Situation:
    if load is None:
        return Situation(stage="idle")
    process = load.process
    slots = {
        "hold_minutes": talk.language.number(process.minutes),
        "headspace": process.headspace,
        "psi": "" if process.target_psi is None else talk.language.number(process.target_psi),
        "salt": talk.language.spoon(process.salt_tsp) if process.salt_tsp else "",
        "acid": process.acid,
    }
    return Situation(
        stage=load.stage.value,
        method=process.method,
        gauge=process.gauge,
        acidity="low" if product(load.food).acidity == "low" else "acid",
        slots={name: said for name, said in slots.items() if said},
    )
