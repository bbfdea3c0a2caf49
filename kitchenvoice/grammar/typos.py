"""A mistyped word, named with the nearest known one. Nothing is done with it; the cook types it again."""

from __future__ import annotations

import difflib

from kitchenvoice.grammar import Grammar, normalise

__all__ = ["mistyped"]

_NEAR = 0.6
_VERY_NEAR = 0.75
"""How alike two words are, as difflib counts it: enough where a whole sentence comes of it, and where none does."""


def mistyped(text: str, grammar: Grammar) -> tuple[str, str] | None:
    """Return the one word of `text` that can't be said now and the known word it stands for, `None` if none is near."""
    words = normalise(text).split()
    strange = [word for word in words if word not in grammar.words]
    if len(strange) != 1 or not strange[0].isalpha():
        return None
    word = strange[0]
    known = [each for each in sorted(grammar.words) if each[0] == word[0]]  # a first letter is seldom mistyped
    near = difflib.get_close_matches(word, known, n=5, cutoff=_NEAR)
    whole = [each for each in near if grammar.parse(" ".join(each if one == word else one for one in words))]
    guesses = whole or difflib.get_close_matches(word, near, n=1, cutoff=_VERY_NEAR)
    return (word, guesses[0]) if guesses else None
