"""Spoken names of foods, loads and canners, and their slot values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from kitchenvoice.grammar.slots import Words
from kitchenvoice.reference import find_food, spoken_names
from kitchenvoice.reference.names import says_nothing, typed_names

__all__ = ["SpokenNames", "in_usual_names", "reference_foods", "reference_groups", "reference_typed"]

_LONGEST_NAME = 6
_NOT_FOR_FOOD = frozenset({"in pints", "in quarts", "in half pints", "pints", "quarts"})


def reference_foods() -> dict[str, str]:
    """Return the spoken names of the reference: phrase -> id of a food, of a group of them, or of a refused food.

    Names of appliances and jars are left out: nobody starts a load of them. So are names that end in a jar size
    ("fish in pints"): the jar size is a separate slot.
    """
    names = {}
    for phrase, target in spoken_names().items():
        found = find_food(phrase)
        if found.kind == "refused" and not _is_food(target):
            continue
        if not any(phrase.endswith(f" {ending}") for ending in _NOT_FOR_FOOD):
            names[phrase] = target
    return names


def reference_groups() -> dict[str, tuple[str, ...]]:
    """Return the groups of the reference: id -> the foods to choose from."""
    groups = {}
    for phrase in spoken_names():
        found = find_food(phrase)
        if found.kind == "ambiguous" and found.group:
            groups[found.group] = found.candidates
    return groups


def reference_typed() -> dict[str, str]:
    """Return the typed-only names of foods, each with a spoken one."""
    foods = reference_foods()
    return {name: known for name, known in typed_names().items() if known in foods}


def in_usual_names(text: str) -> str:
    """Return typed text with every food of several words called as it is heard: "slices of pear", "catsup, blended"."""
    words, said, at = text.split(), list[str](), 0
    while at < len(words):
        runs = (" ".join(words[at:end]) for end in range(min(at + _LONGEST_NAME, len(words)), at + 1, -1))
        run, name = next(((run, name) for run in runs if (name := _usual_name(run))), (words[at], words[at]))
        said.append(name)
        at += len(run.split())
    return " ".join(said)


def _usual_name(run: str) -> str:
    found = find_food(run)
    same = says_nothing().issuperset(run.removesuffix(found.said).split())
    return _heard().get(found.food or found.group or found.refused or "", "") if same else ""


@cache
def _heard() -> dict[str, str]:
    return {target: phrase for phrase, target in reversed(reference_foods().items())}


def _is_food(target: str) -> bool:
    from kitchenvoice.reference.names import refused_entry

    entry = refused_entry(target)
    return entry is not None and entry["kind"] in ("food", "not_on_board")


@dataclass(frozen=True, slots=True)
class SpokenNames:
    """The names of one kitchen. `loads` maps load numbers to food ids; `None` means that they aren't known here."""

    foods: Mapping[str, str]
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    canners: Mapping[str, int] = field(default_factory=dict)
    loads: Mapping[int, str] | None = None

    def food(self, words: Words) -> dict[str, Any]:
        """Return the slots of a food: its id, or no id and the group to choose from."""
        target = self.foods[" ".join(words)]
        return {"food": None, "food_group": target} if target in self.groups else {"food": target}

    def load(self, words: Words) -> dict[str, Any]:
        """Return the slots of a load called by its food: its number, or none and the food if it isn't a single load."""
        numbers = self._loads_of(self.foods[" ".join(words)])
        return {"load": numbers[0]} if len(numbers) == 1 else {"load": None, **self.food(words)}

    def canner(self, words: Words) -> dict[str, Any]:
        """Return the slot of a canner called by its name or a part of it."""
        said = " ".join(words)
        return {"canner": self.canners.get(said) or self.short_canners[said]}

    @property
    def short_canners(self) -> dict[str, int]:
        """The canners by their names without the article, and without the last word: "small one", "small"."""
        named = [(name.split()[1:], number) for name, number in self.canners.items()]
        short = [(" ".join(words[:last]), number) for words, number in named for last in {len(words), len(words) - 1}]
        return {name: number for name, number in short if name and [each for each, _ in short].count(name) == 1}

    def loaded(self) -> list[str]:
        """List the phrases for the open loads."""
        return [phrase for phrase, target in self.foods.items() if self.loads is None or self._loads_of(target)]

    def _loads_of(self, target: str) -> list[int]:
        wanted = {target, *self.groups.get(target, ())}
        return [number for number, food in (self.loads or {}).items() if food in wanted]
