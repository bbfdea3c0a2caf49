"""A sentence about both loads ("they're both at eleven"), or the other one: the same of each load by its number.

What was just told may be told of another load as well, in a few words ("so are the carrots").
"""

from __future__ import annotations

import re
from dataclasses import replace

from kitchenvoice.dialogue.choosing import find_loads, named_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.sayable import anywhere
from kitchenvoice.dialogue.taking_back import standing
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.dialogue.whose import reported
from kitchenvoice.grammar import Grammar, intents_that, normalise
from kitchenvoice.ports import Utterance
from kitchenvoice.process import ON_HEAT, Load

__all__ = ["of_another_too", "of_each"]

_REPORTS = intents_that("report")
_JUST_S = 60.0
"""For so long what is so of another load too is what was told last. Common practice, no source."""


def of_each(talk: Talk, utterance: Utterance, *, typed: bool) -> tuple[Utterance, ...]:
    """Return what was typed of both loads on the heat, or of the other one, as said of each; else it as it is.

    A text is left alone that answers which load is meant, or is no sentence without that word.
    """
    loads = [load for load in talk.kitchen.open_loads if load.stage in ON_HEAT]
    asked = talk.question is not None and talk.question.kind == "which"
    if not typed or len(loads) != 2 or asked:
        return (utterance,)
    text, others = normalise(utterance.alternatives[0]), [load for load in loads if load.id != talk.kitchen.focus]
    text, known = without_name(talk, text), anywhere(talk, typed=True)
    for pattern, instead in talk.language.table("several").items():
        kind, _, words = instead.partition(" ")
        left = re.sub(pattern, words, text)
        meant = loads if kind == "both" else others
        said = left.split("|") if kind == "each" else [f"{_name(talk, load)} {left}".strip() for load in meant]
        if left != text and all(_is_known(known, each, worded=kind == "each") for each in said):
            return tuple(Utterance((each,)) for each in said)
    return (utterance,)


def _is_known(known: Grammar, text: str, *, worded: bool) -> bool:
    """True for a sentence, as it is or, of a load that it names, in other words."""
    return bool(known.parse(text)) or (worded and any(known.parse(each.text) for each in known.other_words(text)))


def _name(talk: Talk, load: Load) -> str:
    return talk.language.phrase("names", "load", number=talk.language.number(load.number))


def of_another_too(talk: Talk, said: Understanding) -> Understanding | None:
    """Return the report that was told last, of another load that it is so of as well; `None` if that isn't said."""
    text = without_name(talk, normalise(said.text))
    found = next(filter(None, (re.fullmatch(each, text) for each in talk.language.table("same"))), None)
    told = None if found is None else _told(talk)
    if found is None or told is None:
        return None
    loads = [load for load in _named(talk, found["whose"]) if load.id != told.of]
    if len(loads) != 1:
        return None
    slots = {**told.slots, "load": loads[0].number}
    return replace(said, intent=told.intent, slots=slots, reject_reason=None, unsure=None)


def _told(talk: Talk) -> Heard | None:
    """Return the report of one load that is asked about, else the one that was told last, or answered with a yes."""
    asked = talk.question
    if asked is not None and not asked.passive and asked.kind not in ("stands", "check"):
        report = reported(talk, asked, "")
        return None if report is None or asked.load is None else replace(report, of=asked.load)
    last = next((each for each in standing(talk) if each.heard and each.kind not in ("load_select", "doubt")), None)
    if last is None or talk.t - last.t > _JUST_S:
        return None
    slots = {name: value for name, value in last.data.items() if name not in ("asked", "answered")}
    lost = last.kind == "doubt_settled" and last.data["lost"]
    doubt = next((each for each in talk.history if lost and each.seq == last.data["doubt"]), None)
    kind = last.kind if doubt is None else str(doubt.data["kind"])
    if doubt is not None:
        kind, slots = kind if kind in _REPORTS else "pressure_low", {}
    return Heard(kind, slots, last.heard, talk.t, of=last.load) if kind in _REPORTS and last.load is not None else None


def _named(talk: Talk, name: str) -> tuple[Load, ...]:
    if talk.language.hears("another", name):
        return tuple(load for load in talk.kitchen.open_loads if load.stage in ON_HEAT)
    loads = {load.number: load.food for load in talk.kitchen.open_loads}
    grammar = talk.book.grammar((), attention="optional", question="load", loads=loads, typed=True)
    names = (named_in(Heard("choice", each.slots, name, talk.t)) for each in grammar.parse(name))
    return next((find_loads(talk, each) for each in names if each is not None), ())
