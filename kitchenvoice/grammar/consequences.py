"""Precedence between two meanings, and known confusions: consequences.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache

from kitchenvoice.grammar.grammar_folder import grammar_folder

__all__ = ["Consequences", "consequences"]


@dataclass(frozen=True, slots=True)
class Consequences:
    """The file's three tables.

    Of each pair in `meant` the first intent wins where a text has both; `confused` are pairs of
    confusable words, `grave` those of them that are two numbers or opposites; `misheard` are words as they are heard,
    each with what was said instead.
    """

    meant: tuple[tuple[str, str], ...]
    confused: frozenset[frozenset[str]]
    grave: frozenset[frozenset[str]]
    misheard: tuple[tuple[str, str], ...]


@lru_cache(maxsize=1)
def consequences() -> Consequences:
    """Read the file, once."""
    with (grammar_folder() / "consequences.toml").open("rb") as file:
        data = tomllib.load(file)
    pairs = {kind: frozenset(map(frozenset, words)) for kind, words in data["confused"].items()}
    grave = pairs["numbers"] | pairs["opposites"]
    meant = tuple((first, second) for first, second in data["meant"]["first"])
    misheard = tuple((heard, said) for heard, said in data["misheard"]["pairs"])
    return Consequences(meant, grave | pairs["words"], grave, misheard)
