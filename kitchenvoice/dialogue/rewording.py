"""A typed sentence that isn't one of the grammar's: looked for in other words, and sure or not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from kitchenvoice.dialogue.understand import Understanding, meant
from kitchenvoice.grammar import Grammar, Reading, grade, intents_that
from kitchenvoice.grammar.wording import Wording

__all__ = ["has_to_be_sure", "reworded"]

_NO_SENTENCE = frozenset({"no_match", "unknown_words", "ambiguous"})
_ALARMS = intents_that("alarm")
_HARMLESS = frozenset({"not_yet", "load_start", "load_select"})


def reworded(understood: Understanding, grammar: Grammar, known: Callable[[str], bool]) -> Understanding:
    """Return what a typed sentence means in other words; unchanged if it means something or is `known` as it is."""
    if understood.intent is not None or understood.reject_reason not in _NO_SENTENCE or known(understood.text):
        return understood
    said = (Wording(understood.text, False),) if understood.reject_reason == "ambiguous" else ()
    for wording in (*said, *grammar.other_words(understood.text)):
        reading = _best(grammar.parse(wording.text))
        if reading is not None and reading.intent != "attention":
            return replace(
                understood,
                intent=reading.intent,
                slots=reading.slots,
                said=reading.said,
                reject_reason=None,
                unsure=wording.text if wording.unsure else None,
            )
    return understood


def _best(readings: tuple[Reading, ...]) -> Reading | None:
    """Return the one meaning; of two that differ in what they call a load, the one of an open load."""
    if len({reading.intent for reading in readings}) == 1:
        return next((each for each in readings if each.slots.get("load") is not None), readings[0])
    return meant(readings)


def has_to_be_sure(understood: Understanding) -> bool:
    """Tell whether it is asked back because who typed it wasn't sure: something grave, and no loss."""
    intent = understood.intent or ""
    grave = grade(intent) == "safety" and intent not in _ALARMS and intent not in _HARMLESS
    return understood.unsure is not None and grave
