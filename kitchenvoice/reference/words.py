"""Understand one line of words, such as "carrots pints dial 3,000 feet": the food, and the rest."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, zip_longest

from kitchenvoice.errors import BadInput

from . import inputs
from .inputs import PARTICULARS, metres_to_feet_up, nearest, normalise
from .names import find_food, refused_entry, similar_names
from .quantity import LARGEST, UNITS, parse_have

__all__ = ["Wanted", "amount_in", "figure", "require_known", "wanted"]

_ALTITUDE = re.compile(r"(?<![\w.])(\d[\d,.]*) ?(feet|foot|ft|meters?|metres?|m)\b\.?", re.IGNORECASE)
_TWO_WAYS = re.compile(r"\d{1,3}\.\d{3}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_FILLERS = frozenset({"a", "an", "and", "at", "canner", "gauge", "in", "jar", "jars", "of", "pack", "packed", "the"})


@dataclass(frozen=True)
class Wanted:
    """The wishes of a line of words, each as written, None if missing."""

    food: str | None = None
    jar: str | None = None
    method: str | None = None
    pack: str | None = None
    gauge: str | None = None
    altitude_ft: float | None = None


def wanted(line: str) -> Wanted:
    """Sort the words of a line. Any word but a particular belongs to the food: none is passed over.

    Raises:
        BadInput: a word is no particular but spelled much like one, or a particular is said in two ways.
    """
    feet, rest = _altitude(line)
    words = normalise(rest).split()
    food = _first(words, appliance=False) or slice(0, 0)
    told, behind = _particulars(words[: food.start]), _particulars(words[food.stop :])
    before, left = len(told.get("", ())), [*told.pop("", ()), *behind.pop("", ())]
    for name, said in behind.items():
        told.setdefault(name, []).extend(said)
    appliance = _first(left, appliance=True)
    if appliance:  # refused by its name, as a method
        told["method"] = [" ".join(left[appliance])]
        before -= len(range(*appliance.indices(before)))
        del left[appliance]
    if left and _asks_only_for(rest, left):
        before, left = 0, []
    named = words[food]
    if named or not similar_names(" ".join(left)):  # else a food is spelled wrong, and is asked about as one
        _require_spelled(left)
    if "jar" not in told:  # "fish in pints" is a food, and says its jar
        told |= {name: said for name, said in _particulars(named).items() if name == "jar"}
    one = {name: _one(name, said) for name, said in told.items()}
    return Wanted(" ".join([*left[:before], *named, *left[before:]]) or None, altitude_ft=feet, **one)


def _asks_only_for(line: str, words: Sequence[str]) -> bool:
    """True if a line is a question, and these words of it ask no more than how a food is canned."""
    from .food_talk import says_only_can
    from .nearness import asks  # its tables are of no use to a plain look-up

    return asks(line) and says_only_can(words)


def figure(text: str) -> float:
    """Read a number in figures: 1500, 1,500 or 609.6; a comma counts only where it parts thousands.

    Raises:
        BadInput: it is none, or one that part of the world reads a thousandfold: 5.200.
    """
    if _TWO_WAYS.fullmatch(text.strip()):
        raise BadInput(f"{text} can be read in two ways. Write thousands without a point: {text.replace('.', '')}.")
    try:
        return float(re.sub(r"(?<=\d),(?=\d{3}(?:\D|$))", "", text))
    except ValueError:
        raise BadInput(f"{text!r} isn't a number. Write it in figures, such as 11 or 1500.") from None


def require_known(particulars: Mapping[str, str | None]) -> None:
    """Raises: BadInput for a pack, jar, method or gauge that no table has; an appliance is refused by its name."""
    understand = {"pack": inputs.pack, "jar": inputs.jar, "method": inputs.method, "gauge": inputs.gauge}
    for name, said in particulars.items():
        word = understand[name](said)
        if word.kind == "unknown" and not find_food(said).refused:
            raise BadInput(str(word.reason))


def amount_in(line: str) -> tuple[str | None, str]:
    """Return the amount of food that is said in a line, such as 28 lb, and the rest of the line.

    Raises:
        BadInput: a number is followed by what is spelled much like a unit.
    """
    words = line.split()
    for size in range(len(words), 0, -1):
        for start in range(len(words) - size + 1):
            said = " ".join(words[start : start + size])
            try:
                parse_have(said)
            except BadInput:
                continue
            return said, " ".join((*words[:start], *words[start + size :]))
    for number, word in pairwise(words):
        if number.isdecimal() and word.lower() in UNITS:
            raise BadInput(f"{number} {word}: an amount is more than nothing, and {LARGEST:,} at most.")
        if number.isdecimal() and (meant := nearest(word.lower(), UNITS)):
            raise BadInput(f"I don't know {word}. Did you mean {meant}?")
    return None, line


def _altitude(line: str) -> tuple[float | None, str]:
    found = _ALTITUDE.search(line)
    if found is None:
        return None, line
    number = figure(found[1])
    feet = metres_to_feet_up(number) if found[2].lower().startswith("m") else number
    return feet, f"{line[: found.start()]} {line[found.end() :]}"


def _first(words: Sequence[str], *, appliance: bool) -> slice | None:
    """Return the longest run of words that names a food (or an appliance), the first of its length."""
    for size in range(len(words), 0, -1):
        for start in range(len(words) - size + 1):
            said = " ".join(words[start : start + size])
            found = find_food(said)
            entry = refused_entry(found.refused or "")
            kind = "" if entry is None else entry["kind"]
            done = "".join(words[start + size :][:1]).endswith("ed")  # "sun dried" is the food's, no way to can it
            fits = kind.startswith("appliance") and not done if appliance else not kind.startswith(("appliance", "jar"))
            if found.kind != "unknown" and found.said == said and fits:
                return slice(start, start + size)
    return None


def _particulars(words: Sequence[str]) -> dict[str, list[str]]:
    """Return the particulars among the words by name; the words that are none stand under ""."""
    told: dict[str, list[str]] = {}
    at = 0
    while at < len(words):
        size, name = next(_beginning(words[at:]), (1, ""))
        if name or words[at] not in _FILLERS or (words[at] == "in" and _is_of_food(words[at + 1 :])):
            told.setdefault(name, []).append(" ".join(words[at : at + size]))
        at += size
    return told


def _is_of_food(rest: Sequence[str]) -> bool:
    """True if an "in" before these words says in what a food is: in juice, not in pints."""
    said = [word for word in rest if word not in _FILLERS]
    return bool(said) and next(_beginning(said), None) is None


def _beginning(words: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Yield the particulars that these words begin with, the longest first."""
    for size in range(min(len(words), 6), 0, -1):
        for name, table in PARTICULARS.items():
            said = " ".join(words[:size])
            if said in table or (name == "jar" and inputs.names_refused_jar(said)):
                yield size, name


def _one(name: str, said: list[str]) -> str:
    if len({PARTICULARS[name].get(each, each) for each in said}) > 1:
        raise BadInput(f"{' and '.join(said)}: say one {name}.")
    return said[0]


def _require_spelled(words: Sequence[str]) -> None:
    known = [each for table in PARTICULARS.values() for each in table]
    for word, behind in zip_longest(words, words[1:]):
        if _NUMBER.fullmatch(word) and behind in UNITS:
            raise BadInput(f"{word} {behind}: one amount of one food at a time.")
        if _NUMBER.fullmatch(word):
            asked = f"I don't know {word} {behind}." if behind else f"{word} what?"
            units = f"{word} feet or {word} meters for an altitude, {word} pounds for a pressure or what is on hand"
            raise BadInput(f"{asked} Write {units}.")
        meant = nearest(word, known)
        if meant:
            raise BadInput(f"I don't know {word}. Did you mean {meant}?")
