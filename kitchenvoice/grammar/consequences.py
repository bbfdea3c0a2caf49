"""What it costs to act on what was heard wrong, and what is taken for each other: consequences.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from kitchenvoice.grammar.files import grammar_folder

__all__ = ["Consequences", "consequences", "grade"]


@dataclass(frozen=True, slots=True)
class Consequences:
    """The file's four tables.

    `grades` of intents; in each pair of `meant` the first intent is meant where a text can be both; `confused` are
    words that are taken for each other, `grave` those of them that are two numbers or each other's opposite; `misheard`
    are words as they are heard, each with what was said instead.
    """

    grades: Mapping[str, str]
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
    return Consequences(data["grades"], meant, grave | pairs["words"], grave, misheard)


def grade(intent: str) -> str:
    """Tell what it costs to act on an intent that was heard wrong: `information`, `reversible` or `safety`."""
    return consequences().grades[intent]
