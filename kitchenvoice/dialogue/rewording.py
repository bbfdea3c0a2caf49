"""A typed sentence that isn't one of the grammar's: looked for in other words, and sure or not."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import tells_zero
from kitchenvoice.dialogue.understand import Understanding, meant
from kitchenvoice.grammar import Grammar, Reading, grade, intents_that
from kitchenvoice.grammar.wording import Wording
from kitchenvoice.reference import find_food
from kitchenvoice.reference.nearness import asks

__all__ = [
    "clauses",
    "guessed",
    "has_to_be_sure",
    "later",
    "parts_known",
    "pieces",
    "reworded",
    "spots",
    "without_tails",
]

_STOPS = re.compile(r"[,;:.!?]+\s+")
_MOST_PIECES = 4
_ASKS, _TAIL = "?", 3
"""What ends a question, and the most words of a tail that asks no less without one."""
_BESIDE = ("fine", "checked")
"""What adds nothing to a report that it is said beside."""
_NO_SENTENCE = frozenset({"no_match", "unknown_words", "ambiguous"})
_ALARMS, _LOSSES = intents_that("alarm"), intents_that("loss")
_SURE, _HOLDS, _ENDS = intents_that("sure"), intents_that("holds"), intents_that("ends")
_HARMLESS = frozenset({"not_yet", "load_start", "load_select", "load_given_up"})
_BACK = ("heat_on", "unnamed")
"""What goes again where the heat was off."""
_ANSWERS = intents_that("bare") | intents_that("answer") | {"attention"}
_QUESTIONS, _REPORTS = intents_that("aside"), intents_that("report", "of_load")
_TOLD = intents_that("report")
_GUESSED = _REPORTS - _ALARMS - _HARMLESS


def reworded(understood: Understanding, grammar: Grammar, known: Callable[[str], bool]) -> Understanding:
    """Return the meaning of a typed sentence in other words; unchanged if it means something or is `known` as it is."""
    if understood.intent is not None or understood.reject_reason not in _NO_SENTENCE or known(understood.text):
        return understood
    said = (Wording(understood.text, False),) if understood.reject_reason == "ambiguous" else ()
    for wording in (*said, *grammar.other_words(understood.text)):
        reading = _best(grammar.parse(wording.text))
        begins = reading is not None and reading.intent == "load_start" and "several" not in reading.slots
        if begins and _names_two_foods(understood.text, grammar):
            return understood
        if reading is None or grammar.leaves_out(understood.text, wording.text, reading.intent):
            continue
        if reading.intent != "attention":
            wished = wording.unsure or grammar.is_wished(understood.text, wording.text, reading.intent)
            unsure = wording.text if wished else None
            return replace(understood, intent=reading.intent, slots=reading.slots, reject_reason=None, unsure=unsure)
    return understood


def clauses(
    text: str, grammar: Grammar, meant_by: Callable[[str], Understanding], *, whole: bool = False
) -> tuple[str, ...]:
    """Return the statements that a text is made of, without those that say the same; nothing if one isn't known.

    A loss is taken whatever is said beside it, unless the `whole` text has to be known, by words that join.
    """
    for first, rest in grammar.halves(text, joined=whole):
        told = meant_by(first)
        if told.intent is None or told.intent in _ANSWERS or "bare" in told.slots:
            continue
        second, named = meant_by(rest), f"{rest} {first}"
        if second.intent == "load_select" and meant_by(named).intent == told.intent:
            return (named,)  # "weight's on the beans" is of the beans
        if told.intent in _LOSSES and second.intent == "change_load":
            continue  # "i turned off the carrots instead of the beans" says whose
        known = second.intent is not None and second.intent not in _ANSWERS
        beside = known and second.intent not in _alarms(told)  # then it says for itself when and whether
        if grammar.leaves_out(text.removesuffix(rest) if beside else text, first, told.intent):
            continue
        more = (rest,) if known else clauses(rest, grammar, meant_by, whole=whole)
        if more and second.intent == told.intent and (not second.slots or second.slots == told.slots):
            return (first,)
        if more:
            return tuple(_readings(dict(zip((first, *more), (told, *map(meant_by, more)), strict=True))))
    joined = (half for halves in grammar.halves(text, joined=True) for half in halves if not whole)
    return next(((half,) for half in joined if meant_by(half).intent in _ALARMS), ())


def _alarms(*told: Understanding) -> frozenset[str]:
    """Return the losses beside these: at zero, and with the lid off, the weight may be."""
    after = any(each.intent == "lid_off" or tells_zero(each.intent, each.slots) for each in told)
    return _ALARMS - {"weight_off"} if after else _ALARMS


def _readings(told: Mapping[str, Understanding]) -> Mapping[str, Understanding]:
    """Leave out what adds nothing to a report: less heat beside a reading, which says more, heat that was off or less
    before it is back, and a boil or steam beside a lid that is off. A jar that broke comes before the count of others.
    """
    intents = [each.intent for each in told.values()]
    idle = {*_BESIDE} if {*intents} & (_REPORTS - {*_BESIDE}) else set[str]()
    idle |= {"heat_down"} if {*intents} & {*_HOLDS, "number"} else set()
    idle |= {"boiling", "steam_seen"} if "lid_off" in intents else set()
    back = next((at for at, each in enumerate(told.values()) if each.slots.get("again") in _BACK), 0)
    was = {said for said, each in [*told.items()][:back] if each.intent in _ENDS}
    left = [x for x, each in told.items() if x not in was and (each.intent not in idle or each.slots)]
    left = [x for x in left if not _is_named_closer(told[x], told.values())]
    out = next((at for at, x in enumerate(left) if told[x].intent == "jars_out"), len(left))
    order = sorted(range(len(left)), key=lambda at: min(at, out - 0.5) if told[left[at]].intent == "jar_broke" else at)
    return {left[at]: told[left[at]] for at in order}


def _is_named_closer(start: Understanding, told: Iterable[Understanding]) -> bool:
    """True for a start with a name of many foods, where another names one of them: "beans, seven green beans"."""
    group = start.slots.get("food_group") if start.intent == "load_start" else None
    foods = () if group is None else find_food(str(group)).candidates
    return any(each.slots.get("food") in foods for each in told)


def pieces(
    text: str, meant_by: Callable[[str], Understanding], idle: Callable[[str, bool], bool], asked: Callable[[str], bool]
) -> tuple[str, ...]:
    """Return the statements that stand between the commas of a text, then the questions; nothing if one is neither
    known nor `asked` of the knowledge base nor `idle`, beside a grave report or another one.

    A loss is taken alone: what is said beside it may have been before.
    """
    told = [(each, meant_by(each)) for each in _STOPS.split(text) if each.strip()]
    if not 1 < len(told) <= _MOST_PIECES or any(each.intent in _ANSWERS - {"number"} for _, each in told):
        return ()
    grave = any(each.intent is not None and grade(each.intent) == "safety" for _, each in told)
    if any(each.intent is None and not (asked(said) or idle(said, grave)) for said, each in told):
        return ()
    told = [*_readings(dict(told)).items()]
    reports = [each for each in told if each[1].intent not in (None, *_BESIDE)] or told
    known = {(each.intent, repr(each.slots)): said for said, each in reports if each.intent is not None}
    stated = [intent for intent, _ in known if intent not in _QUESTIONS]
    if sum(each.intent == "number" or "bare" in each.slots for _, each in reports) > (len(stated) == 1):
        return ()
    losses = [said for said, each in told if each.intent in _alarms(*(meaning for _, meaning in told))]
    questions = [said for said, each in told if each.intent is None and asked(said)]
    return (*(losses or known.values()), *questions)


def parts_known(text: str, meant_by: Callable[[str], Understanding], asked: Callable[[str], bool]) -> tuple[str, ...]:
    """Return the pieces of a text, one of them with a number, that are reports or questions: no number moves over."""
    parts = pieces(text, meant_by, lambda *_: False, asked)
    told = [meant_by(part) for part in parts]
    numbered = any(isinstance(value, int | float) for each in told for value in each.slots.values())
    fits = all(each.intent in (None, "number", *_REPORTS, *_QUESTIONS) for each in told)
    return parts if numbered and fits else ()


def guessed(text: str, grammar: Grammar, strange: int) -> tuple[str, Reading] | None:
    """Return the report that a text may amount to: half of it, or with up to `strange` unknown words; never a loss."""
    halves = (
        each for both in grammar.halves(text, joined=True) for half in both for each in (half, *_texts(half, grammar))
    )
    worded = ((each, reading) for each in halves for reading in grammar.parse(each)[:1])
    likely = (each for each in (*worded, *grammar.guesses(text, strange)) if each[1].intent in _GUESSED)
    return next((each for each in likely if not grammar.leaves_out(text, each[0], each[1].intent)), None)


def spots(
    text: str, longest: int, read: Callable[[str], Mapping[str, Any] | None]
) -> Iterator[tuple[str, Mapping[str, Any] | None]]:
    """Yield the longest spans of a text that are `read`, each with what it tells, and other words with nothing."""
    words = text.split()
    while words:
        ends = range(min(len(words), longest), 0, -1)
        told = ((end, read(" ".join(words[:end]))) for end in ends)
        end, slots = next(((end, slots) for end, slots in told if slots is not None), (1, None))
        yield " ".join(words[:end]), slots
        words = words[end:]


def _names_two_foods(text: str, grammar: Grammar) -> bool:
    """True if a start names two foods: "beans with bacon" is neither."""
    readings = [reading for each in _texts(text, grammar) for reading in grammar.parse(each)]
    foods = {
        each.said.get("food") or each.said.get("food_group") or "": each.slots.get("food")
        or each.slots.get("food_group")
        for each in readings
        if each.intent == "load_start"
    }
    longest = max(foods, key=len, default="")
    return any(each not in longest and food != foods[longest] for each, food in foods.items())


def without_tails(
    parts: Sequence[tuple[str, Understanding]], text: str, names_less: Callable[[str], bool]
) -> list[tuple[str, Understanding]]:
    """Leave out what only ends a question ("what do I need, eleven pounds?"), and reports nothing; no loss is, nor a
    number that `names_less` than the target."""
    first = next((part for part, _ in parts if asks(part)), None)
    begins, ends = -1 if first is None else text.lower().find(first), text.find(_ASKS)

    def is_tail(part: str, said: Understanding) -> bool:
        at = text.lower().find(part)
        short = ends > at or (ends < 0 and len(part.split()) <= _TAIL)
        return 0 <= begins < at and short and said.intent not in _LOSSES and not names_less(part)

    return [(part, said) for part, said in parts if not is_tail(part, said)]


def _texts(text: str, grammar: Grammar) -> Iterator[str]:
    return (wording.text for wording in grammar.other_words(text))


def _best(readings: tuple[Reading, ...]) -> Reading | None:
    """Return the one meaning; of two that differ in what they call a load, the one of an open load."""
    if len({reading.intent for reading in readings}) == 1:
        return next((each for each in readings if each.slots.get("load") is not None), readings[0])
    return meant(readings)


def later(told: Understanding, anywhere: Grammar) -> bool:
    """True if what was taken for a remark is, written out, a report of some stage, to its last word: "lid's locked"."""
    text = told.text
    worded = ((each.text, _best(anywhere.parse(each.text))) for each in anywhere.other_words(text))
    said, reading = next((pair for pair in worded if told.intent in _BESIDE and pair[1] is not None), ("", None))
    return reading is not None and reading.intent in _TOLD and {*said.split()[-1:]} <= {*text.split()}


def has_to_be_sure(understood: Understanding, asked: Frame | None) -> bool:
    """True if it is asked back because who typed it wasn't sure: something grave, and no loss, not read back."""
    intent = understood.intent or ""
    if intent == "choice" and asked is not None and asked.about == "load_start":
        return False
    grave = grade(intent) == "safety" and intent not in _ALARMS and intent not in _HARMLESS
    return understood.unsure is not None and (grave or intent in _SURE)
