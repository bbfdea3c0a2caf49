"""Grammars: JSGF files compiled to one word network, from which come the parser, word graph and phrase list."""

from __future__ import annotations

from kitchenvoice.grammar.book import GrammarBook
from kitchenvoice.grammar.consequences import consequences
from kitchenvoice.grammar.grammar import Grammar
from kitchenvoice.grammar.grammar_folder import grammar_folder
from kitchenvoice.grammar.intents import grade, intents_that
from kitchenvoice.grammar.meaning import Reading
from kitchenvoice.grammar.spelling import normalise, written
from kitchenvoice.grammar.stages import QUESTIONS, STAGES, Scope

__all__ = [
    "QUESTIONS",
    "STAGES",
    "Grammar",
    "GrammarBook",
    "Reading",
    "Scope",
    "consequences",
    "grade",
    "grammar_folder",
    "intents_that",
    "normalise",
    "written",
]
