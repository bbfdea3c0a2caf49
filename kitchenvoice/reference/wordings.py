"""Patterns for sentences, written like the right side of a JSGF rule: match a sentence, or spell all of them out.

``what (is | does) this``: one of several; ``[really]``: may be missing; ``<can_i>``: a phrase that many patterns share.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

__all__ = ["Pattern", "parse"]

_TOKEN = re.compile(r"[()\[\]|]|<[a-z_]+>|[a-z']+|\S")
_CLOSES = {"(": ")", "[": "]"}


@dataclass(frozen=True, eq=False)
class Pattern:
    """The rows to choose from; each is a row of words and further patterns, an empty one says nothing."""

    rows: tuple[tuple[str | Pattern, ...], ...]

    def fits(self, words: Sequence[str]) -> bool:
        """True if these words, all of them, are a sentence of the pattern."""
        return len(words) <= self.longest and self.words.issuperset(words) and len(words) in self.ends(words, 0)

    @cached_property
    def longest(self) -> int:
        """The number of words of the longest sentence: a longer text isn't looked at, whatever it repeats."""
        return max(sum(1 if isinstance(item, str) else item.longest for item in row) for row in self.rows)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that the pattern has anywhere."""
        items = {item for row in self.rows for item in row}
        return frozenset().union(*({item} if isinstance(item, str) else item.words for item in items))

    def sentences(self) -> Iterator[str]:
        """Spell out every sentence; the same one may come twice."""
        for row in self.rows:
            parts = ([item] if isinstance(item, str) else list(item.sentences()) for item in row)
            yield from (" ".join(filter(None, words)) for words in product(*parts))

    def sentence(self, number: int) -> str:
        """Return one sentence; another number chooses other rows, as far as there are any."""
        row = self.rows[number % len(self.rows)]
        some = (item if isinstance(item, str) else item.sentence(number + place) for place, item in enumerate(row))
        return " ".join(filter(None, some))

    def alone(self) -> Iterator[Pattern]:
        """Yield each row as a pattern of its own."""
        yield from (Pattern((row,)) for row in self.rows)

    def ends(self, words: Sequence[str], start: int) -> set[int]:
        """Return where the pattern may end, if it begins with the word at ``start``."""
        found: set[int] = set()
        for row in self.rows:
            reached = {start}
            for item in row:
                if isinstance(item, str):
                    reached = {at + 1 for at in reached if at < len(words) and words[at] == item}
                else:
                    reached = {end for at in reached for end in item.ends(words, at)}
                if not reached:
                    break
            found |= reached
        return found


def parse(text: str, phrases: Mapping[str, Pattern]) -> Pattern:
    """Return the pattern that a text writes down.

    Raises:
        ValueError: it isn't closed, says nothing, holds a sign that isn't known, or names a phrase that isn't there.
    """
    tokens = _TOKEN.findall(text)
    try:
        found = _choice(tokens, phrases)
    except LookupError as error:
        raise ValueError(f"{text!r} isn't a pattern: {error}") from error
    if tokens or found.ends((), 0):
        raise ValueError(f"{text!r} isn't a pattern, or says nothing")
    return found


def _choice(tokens: list[str], phrases: Mapping[str, Pattern]) -> Pattern:
    rows = [tuple(_row(tokens, phrases))]
    while tokens[:1] == ["|"]:
        tokens.pop(0)
        rows.append(tuple(_row(tokens, phrases)))
    return Pattern(tuple(rows))


def _row(tokens: list[str], phrases: Mapping[str, Pattern]) -> Iterable[str | Pattern]:
    while tokens and tokens[0] not in ("|", ")", "]"):
        token = tokens.pop(0)
        if token in _CLOSES:
            inside = _choice(tokens, phrases)
            if not tokens or tokens.pop(0) != _CLOSES[token]:
                raise LookupError(f"no {_CLOSES[token]}")
            yield inside if token == "(" else Pattern(((), *inside.rows))
        elif token[0] == "<" and len(token) > 1:
            yield phrases[token[1:-1]]
        elif token[0].islower():
            yield token
        else:
            raise LookupError(token)
