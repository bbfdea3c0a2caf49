"""Properties of each intent, and the cost of acting on it when misheard: intents.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache

from kitchenvoice.grammar.grammar_folder import grammar_folder

__all__ = ["grade", "graded", "intents_that"]


@lru_cache(maxsize=1)
def _rows() -> Mapping[str, tuple[str, ...]]:
    with (grammar_folder() / "intents.toml").open("rb") as file:
        return {intent: tuple(row) for intent, row in tomllib.load(file).items()}


def grade(intent: str) -> str:
    """Return the cost of acting on an intent that was misheard: `information`, `reversible` or `safety`."""
    return _rows()[intent][0]


def graded(cost: str) -> frozenset[str]:
    """Return the intents of that cost."""
    return frozenset(intent for intent, row in _rows().items() if row[0] == cost)


@cache
def intents_that(*traits: str) -> frozenset[str]:
    """Return the intents that are one of `traits`, as the file names them.

    Raises:
        KeyError: no intent has such a trait.
    """
    found = {trait: {intent for intent, row in _rows().items() if trait in row[1:]} for trait in traits}
    unknown = [trait for trait, intents in found.items() if not intents]
    if unknown:
        raise KeyError(f"No intent in intents.toml is {unknown[0]}.")
    return frozenset().union(*found.values())
