"""Speech without a grammar: notes, kept as they stand, and the choice among the foods asked about."""

from __future__ import annotations

import re

from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import normalise
from kitchenvoice.language import Language
from kitchenvoice.reference.names import chosen_food, find_food

__all__ = ["as_it_stands", "spoken_note"]


_PARTS = ("before", "words", "after", "alone", "tail")
_BEGUN = (
    r"(?:(?:{before}),?\s+)*(?:(?:{words})(?:(?P<by>\s*[:,])|\s+(?:{after})(?=\s))"
    r"|(?:{alone})(?:\s+(?:{tail}))?(?:\s+that(?=\s)|\s*:|(?P<told>\s*,|(?=\s))))\s*(?P<text>\S.*)$"
)
"""How a note begins, in words of the table `note`; `told`: by none that tells it from a report."""
_WORDS_BEFORE = 2
"""Most words between wake phrase and note: "make a"."""


def as_it_stands(text: str, question: Frame | None, language: Language) -> Understanding | None:
    """Return the meaning of a typed text as a note, or one of the foods asked about; `None` if it is none."""
    return _typed_note(text, language) or _typed_food(text, question)


def _typed_food(text: str, question: Frame | None) -> Understanding | None:
    """Return the food of an open question that is named by what tells it from the others; `None` if none is."""
    group = question is not None and question.values.get("slot") == "food" and question.values.get("food_group")
    food = chosen_food(find_food(group).candidates, text) if group else None
    return Understanding(text, "choice", {"food": food}, 1.0) if food else None


def _typed_note(text: str, language: Language) -> Understanding | None:
    """Return the meaning of "note: a bit too much salt", the words as they stand; `None` if no note begins here.

    Behind a comma ("take a note, the beans were woody") or no word ("jot down the beans were woody") what is of the
    stove is no note but told.
    """
    any_of = {key: "|".join(map(re.escape, language.choices("noting", key))) for key in _PARTS}
    found = re.match(_BEGUN.format_map(any_of), text.strip(), re.IGNORECASE | re.DOTALL)
    if found is None or found["text"] in language.choices("noting", "not_alone"):
        return None
    if ("," in (found["by"] or "") or found["told"] is not None) and language.hears("of_stove", found["text"]):
        return None
    kept = "".join(letter if letter.isprintable() else " " for letter in found["text"]).strip()
    told = {} if found["told"] is None else {"told": True}
    return Understanding(text, "note", {"text": kept, **told}, 1.0)


def spoken_note(dictation: str, attention: str, language: Language) -> Understanding | None:
    """Return the meaning of "kitchen voice, note a bit too much salt", to be read back; `None` if no note begins here.

    The second engine may spell the wake phrase otherwise, hear "maker note", and write all of it twice.
    """
    words, after = ("|".join(map(re.escape, language.choices("noting", each))) for each in ("words", "after"))
    before = len(attention.split()) + _WORDS_BEFORE
    found = re.match(
        rf"(?:\S+ ){{0,{before}}}?(?:{words}) (?:(?:{after}) )?(?P<text>.+?)(?: {re.escape(attention)}\b.*)?$",
        normalise(dictation),
    )
    slots = {"text": found["text"], "unsure": True} if found else {}
    return Understanding(found[0], "note", slots, 1.0, attention=True) if found else None
