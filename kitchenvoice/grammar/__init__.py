"""Grammars: JSGF files, one word network, and the two things made of it: a phrase list and a parser."""

from __future__ import annotations

from kitchenvoice.grammar.book import QUESTIONS, STAGES, Grammar, GrammarBook
from kitchenvoice.grammar.consequences import consequences, grade
from kitchenvoice.grammar.files import grammar_folder
from kitchenvoice.grammar.meaning import Reading
from kitchenvoice.grammar.spelling import normalise, written

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
