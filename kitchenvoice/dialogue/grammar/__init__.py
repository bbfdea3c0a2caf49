"""Grammars: JSGF files, one word network, and the two things made of it: a phrase list and a parser."""

from __future__ import annotations

from kitchenvoice.dialogue.grammar.book import QUESTIONS, STAGES, Grammar, GrammarBook
from kitchenvoice.dialogue.grammar.consequences import consequences, grade
from kitchenvoice.dialogue.grammar.meaning import Reading
from kitchenvoice.dialogue.grammar.places import grammar_folder
from kitchenvoice.dialogue.grammar.spelling import normalise, written

__all__ = [
    "QUESTIONS",
    "STAGES",
    "Grammar",
    "GrammarBook",
    "Reading",
    "consequences",
    "grade",
    "grammar_folder",
    "normalise",
    "written",
]
