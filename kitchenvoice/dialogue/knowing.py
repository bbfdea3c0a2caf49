"""General questions of canning, answered in the fixed, sourced sentences of the reference."""

from __future__ import annotations

from kitchenvoice.dialogue import overheard, reports
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import only_out_is_left
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import normalise
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load
from kitchenvoice.reference.knowledge import Situation, asked, family, reply
from kitchenvoice.reference.library import product

__all__ = ["answer_question"]

_SPOKEN_IN = "en"
"""The language of the knowledge base."""


def answer_question(talk: Talk, text: str) -> bool:
    """Answer a question of the knowledge base, in the numbers of the load in focus; False if it is none.

    A question that implies a loss or a fault ("the weight fell off, what now") is that too; one that may imply one puts
    every running hold in doubt.
    """
    if talk.language.tag != _SPOKEN_IN:
        return False
    found = asked(normalise(text).removeprefix(normalise(talk.profile.attention)).strip())
    if found is None:
        return False
    told = reply(found.family, _situation(talk, talk.focus))
    talk.misses = 0
    talk.note("answered", told.text, family=told.family, source=told.source)
    asked_about = family(found.family)
    if found.doubt and asked_about.fault:
        reports.take_fault(talk, Heard("fault", {"fault": asked_about.fault}, text, talk.t))
    elif found.doubt and asked_about.ends_hold:
        reports.take_loss(talk, text)
    elif found.doubt:
        overheard.contradicted(talk, text)
    if asked_about.within_day and only_out_is_left(talk):
        talk.say("answers", "failed_jar_late")
        return True
    talk.lead(told.text, Urgency.CAUTION if told.hazard else Urgency.READBACK)
    return True


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
