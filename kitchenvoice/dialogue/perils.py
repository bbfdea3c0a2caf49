"""What may be done to a canner under pressure, in words that aren't known: a caution comes before all else.

Lid, weight and jars are to be left, and nothing hurries the cooling. Of which of them a text is, all of its words tell.
"""

from __future__ import annotations

import re

from kitchenvoice.dialogue import doubting, knowing, overheard
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import SPOKEN_IN, without_name
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Stage, may_be_under_pressure
from kitchenvoice.reference.nearness import asks
from kitchenvoice.reference.senses import senses
from kitchenvoice.reference.weighing import likelihood

__all__ = ["HURRIES", "is_of_another", "lead", "let_cool", "sees_in", "warn"]

HURRIES = frozenset({"cold_water", "cool_faster", "cooled_by_force"})
"""Meanings of what hurries the cooling; the answer to each says to leave it."""
_DRAFT = "cool_faster"
"""The meaning of air that is blown at a canner."""
_OPENS = frozenset(
    {
        *("open_it", "open_how", "opened_too_soon", "lid_off", "lid_stuck", "jars_out", "jars_out_when"),
        *("leave_in_canner", "touch_canner", "weight_off", "weight_taken_off", "weight_touched", "nudge_weight"),
    }
)
"""Meanings of what is done to lid and weight, or to the jars under them."""
_SEEN = frozenset({"jars_bubbling", "liquid_lost", "jars_out", "water_on_lids", "floating_food"})
"""Meanings of what nobody sees while the canner is shut."""
_LIKELY, _PERHAPS, _LEAST_TOLD = 0.5, 0.25, 0.25
"""Least likelihood of all these meanings together, and of a text that likely tells of something as well."""
_HOT = frozenset({Stage.COME_UP, Stage.HOLD, Stage.COOL})
_ALL = 1000
_BETWEEN = re.compile("[,.;:]")


def warn(talk: Talk, text: str) -> bool:
    """Warn of what a sentence that isn't understood may be about; tell whether that answered it."""
    of_lid = overheard.is_closed(talk) and (talk.language.hears("lid", text) or _opens(talk, text))
    said = of_lid and overheard.warn_of_the_lid(talk)
    if talk.language.hears("heat_on", text) and not overheard.was_on(talk, talk.question, text):
        said = overheard.warn_of_the_heat(talk) or said
    if said:
        talk.note("warned", text)
    return said


def lead(talk: Talk, text: str) -> None:
    """Put the caution of the lid before whatever was answered, if that has none: it was taken for something else."""
    if not talk.cautions and _opens(talk, text):
        talk.lead(overheard.caution_of_the_lid(talk), Urgency.CAUTION)
    answered = talk.noted("answered")
    if answered is not None and answered.data["family"] in HURRIES and not answered.data.get("doubt"):
        _keep(talk, without_name(talk, text))


def let_cool(talk: Talk, text: str) -> bool:
    """Say that nothing hurries the cooling where a statement likely tells of it; tell whether it does."""
    said = without_name(talk, text)
    blown = _DRAFT if talk.language.hears("draft", said) else ""
    name = "" if asks(said) else _likeliest(talk, text, HURRIES) or blown
    if not name or not any(load.stage is Stage.COOL for load in _shut(talk)):
        return False
    talk.note("warned", said, hurries=True)
    knowing.speak_family(talk, name, Urgency.CAUTION, text=said)
    _keep(talk, said)
    return True


def _keep(talk: Talk, said: str) -> None:
    """Keep what may hurry the cooling, or is announced to: of each canner that cools it is asked before it counts."""
    hears = talk.language.hears
    if asks(said) or (hears("future", said) and not hears("to_come", said)):
        return
    doubting.keep(talk, "of_cooling", [x for x in _shut(talk) if x.stage is Stage.COOL and x.stands], said)


def sees_in(talk: Talk, text: str) -> None:
    """Ask whether a canner that cools has stayed shut, where what is told is seen in an open one alone."""
    if not (asks(without_name(talk, text)) or talk.language.hears("by_ear", text)) and _likeliest(talk, text, _SEEN):
        doubting.opened(talk, text)


def is_of_another(talk: Talk, text: str, family: str) -> bool:
    """True if a text may be about a shut canner, while the family nearest to it is about something else."""
    return family not in (_OPENS | HURRIES) and not knowing.is_of_the_canner(family) and _opens(talk, text)


def _opens(talk: Talk, text: str) -> bool:
    return not asks(without_name(talk, text)) and bool(_likeliest(talk, text, _OPENS))


def _likeliest(talk: Talk, text: str, meant: frozenset[str]) -> str:
    """Return the likeliest of these meanings of a clause of a text, if one of them likely is; else nothing."""
    if not (talk.written and talk.language.tag == SPOKEN_IN and _shut(talk)):
        return ""
    clauses = [without_name(talk, each) for each in (text, *_BETWEEN.split(text))]
    done = (talk.language.unheard("to_come", each) for each in clauses)
    for clause in dict.fromkeys(filter(None, (*clauses, *done))):
        found = [each for each in senses(clause, lambda _: True, talk.under_way, _ALL) if each.name in meant]
        least = _PERHAPS if likelihood(clause) >= _LEAST_TOLD else _LIKELY
        if sum(each.likelihood for each in found) >= least:
            return found[0].name
    return ""


def _shut(talk: Talk) -> list[Load]:
    return [load for load in talk.kitchen.open_loads if load.stage in _HOT and may_be_under_pressure(load)]
