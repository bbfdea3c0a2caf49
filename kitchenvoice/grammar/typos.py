"""Typos: the nearest known word is only suggested; the cook types it again."""

from __future__ import annotations

import difflib
from collections.abc import Collection

from kitchenvoice.grammar import Grammar, normalise

__all__ = ["mistyped"]

_NEAR, _LEAST = 0.75, 4
_VERY_NEAR, _LONG = 0.9, 6
"""Least similarity of two words by difflib's ratio, and length of the word: where the correction gives a whole
sentence, and where not."""


def mistyped(
    text: str, grammar: Grammar, words_elsewhere: Collection[str] = (), *, answer: bool = False
) -> tuple[str, str] | None:
    """Return the one unknown word of `text` and the known word nearest to it, `None` if none is near.

    `words_elsewhere` are words of other stages and questions: said at the wrong place, not mistyped. In an `answer`
    only a word that makes it one is meant.
    """
    words = normalise(text).split()
    strange = [word for word in words if word not in grammar.words]
    if len(strange) != 1 or not strange[0].isalpha() or strange[0] in words_elsewhere:
        return None
    word = strange[0]
    if len(word) < _LEAST:
        return None
    known = [each for each in sorted(grammar.words) if each[0] == word[0]]  # a first letter is seldom mistyped
    near = difflib.get_close_matches(word, known, n=5, cutoff=_NEAR)
    whole = [each for each in near if grammar.parse(" ".join(each if one == word else one for one in words))]
    clear = [] if answer or len(word) < _LONG else difflib.get_close_matches(word, near, n=1, cutoff=_VERY_NEAR)
    guesses = whole or clear
    return (word, guesses[0]) if guesses else None
