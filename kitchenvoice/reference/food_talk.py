"""Foods and canning particulars named in a text, and whether it says anything else."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache

from .folding import many_for_one
from .inputs import PARTICULARS, normalise
from .knowledge import NEARNESS
from .library import raw, table
from .names import find_food

__all__ = ["asked_of_food", "asks_to_can", "particulars", "particulars_alone", "says_only_can", "ways"]

_LONGEST_NAME = 6
_AMOUNTS = frozenset({"much", "many"})
_JOINED = frozenset({"of", "in", "with", "and", "or"})


def particulars(text: object) -> dict[str, str | None]:
    """Return the food, jar and pack that a text names, as slots of a command; a food of several kinds as a group."""
    return dict(_particulars(normalise(text)))


@lru_cache(maxsize=256)  # one turn wants the same ones some six times
def _particulars(text: str) -> Mapping[str, str | None]:
    said, found = _ingredients().sub("-", text), dict[str, str | None]()
    words = said.split()
    for long in range(_LONGEST_NAME, 0, -1):
        for some in (" ".join(words[at : at + long]) for at in range(len(words) - long + 1)):
            named = find_food(some) if "food" not in found else None
            if named is not None and named.kind == "ambiguous":
                found |= {"food": None, "food_group": named.group}
            elif named is not None and named.kind != "unknown":
                found["food"] = named.food or named.refused
            for name in ("jar", "pack"):
                if (value := PARTICULARS[name].get(some)) is not None:
                    found.setdefault(name, value)
    return found


@cache
def _ingredients() -> re.Pattern[str]:
    """Return what finds things that go in with a food, and would name another by their last word."""
    return re.compile(rf"\b(?:{'|'.join(raw('names')['ingredients'])})\b")


def ways(text: object) -> dict[str, str]:
    """Return the method and the gauge that a text names a canner by; neither of which it names two."""
    pattern, known = many_for_one("ways")
    named = {known[found] for found in pattern.findall(normalise(text))}
    pairs = [tuple(each.split("=")) for one in named for each in one.split()]
    return {name: value for name, value in pairs if not any(name == n and value != v for n, v in pairs)}


def particulars_alone(text: object) -> dict[str, str | None]:
    """Return them without the food where it is only a part of what is named: "smoked chicken", "salsa with beans"."""
    found, words = particulars(text), normalise(text).split()
    known = _talked_about()
    runs = ((at, at + long) for long in range(_LONGEST_NAME, 0, -1) for at in range(len(words) - long + 1))
    at, end = next((run for run in runs if find_food(" ".join(words[slice(*run)])).kind != "unknown"), (0, 0))
    for beside in (words[:at][::-1], words[end:]):
        word = next((each for each in beside[:2] if each not in _JOINED), "")
        if word and word not in known and word.isalpha():
            return {name: value for name, value in found.items() if name not in ("food", "food_group")}
    return found


@cache
def _talked_about() -> frozenset[str]:
    """Return the words that say nothing of a food beside which they stand."""
    told = " ".join(str(table(NEARNESS)[name]) for name in ("little", "food_talk", "of_figures", "decisive"))
    return frozenset(told.split()).union(*(name.split() for each in PARTICULARS.values() for name in each))


def asked_of_food(text: object) -> tuple[str, dict[str, str | None]] | None:
    """Return the command, and its slots, of a question that names a food and besides only canning; None if it isn't."""
    slots, words = particulars(text), normalise(text).split()
    named = " ".join(word for word in words if not says_only_can((word,)))
    found = find_food(named)
    same = slots.get("food", "") == (found.food or found.refused) and slots.get("food_group") == found.group
    if found.kind == "unknown" or not same:
        return None
    commands: dict[str, str] = dict(table(NEARNESS)["of_food"])
    command = next((one for one, by in commands.items() if not set(by.split()).isdisjoint(words)), "ask_food")
    if command == "ask_food" and not _AMOUNTS.isdisjoint(words):
        return None  # "how much broth" asks for no process of it
    return command, slots


def says_only_can(words: Sequence[str]) -> bool:
    """True if words ask no more of a food than whether and how it is canned."""
    return _food_talk().issuperset(words)


def asks_to_can(before: str) -> bool:
    """True if the words before a food's name ask whether it can be canned."""
    verbs = str(table(NEARNESS)["to_can"]).split(" | ")
    return any(f" {verb} " in f"{before.strip()} " for verb in verbs)


@cache
def _food_talk() -> frozenset[str]:
    return frozenset(f"{table(NEARNESS)['little']} {table(NEARNESS)['food_talk']}".split())
