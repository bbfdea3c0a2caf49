"""Every phrase of the register with its slots filled at random by a fixed seed, and its expected meaning."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import yaml

from kitchenvoice.grammar import STAGES
from kitchenvoice.reference.names import foods

__all__ = ["Sentence", "number_words", "sentences"]

_SMALL = """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen
seventeen eighteen nineteen"""
_ONES = tuple(_SMALL.split())
_TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_OUTCOMES = {
    "reprocess it": "reprocess",
    "put it in the refrigerator": "refrigerate",
    "freeze it": "freeze",
    "throw it out": "discard",
    "put it in the fridge": "refrigerate",
    "refrigerate it": "refrigerate",
    "throw it away": "discard",
}
_JARS = {"half pints": "half-pint", "pints": "pint", "pint and a halfs": "pint-and-half", "quarts": "quart"}
_UNITS = {"pounds": "pound", "bushels": "bushel", "pecks": "peck", "ounces": "ounce", "kilograms": "kilogram"}


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence. `question` is the open question that it answers, `""` for a command with the wake phrase."""

    text: str
    phrase: str
    intent: str
    slots: dict[str, Any] = field(hash=False)
    stage: str
    question: str = ""


def number_words(number: int) -> str:
    """Return 0 to 9999 as spoken: `fifty two hundred` style is left out, `five thousand two hundred` is used."""
    if number >= 1000:
        rest = number % 1000
        return f"{number_words(number // 1000)} thousand" + (f" {number_words(rest)}" if rest else "")
    if number >= 100:
        rest = number % 100
        return f"{_ONES[number // 100]} hundred" + (f" {number_words(rest)}" if rest else "")
    if number >= 20:
        return _TENS[number // 10] + (f" {_ONES[number % 10]}" if number % 10 else "")
    return _ONES[number]


def sentences(register: Path, seed: int, *, rounds: int = 1) -> tuple[Sentence, ...]:
    """Return each phrase `rounds` times, filled anew each time, in register order."""
    commands = yaml.safe_load(register.read_text(encoding="utf-8"))["commands"]
    made: list[Sentence] = []
    for turn in range(rounds):
        for intent, entry in commands.items():
            for phrase in entry["say"]:
                random = Random(f"{seed} {turn} {intent} {phrase}")
                made.append(_filled(phrase, intent, entry["when"], random))
    return tuple(made)


def _filled(phrase: str, intent: str, when: Any, random: Random) -> Sentence:
    open_question = when == "open question"
    stage = random.choice(STAGES if when == "all" or open_question else when)
    slots: dict[str, Any] = {"outcome": _OUTCOMES[phrase]} if intent == "jar_outcome" else {}

    def fill(match: re.Match[str]) -> str:
        name = match.group(1)
        words, value = _FILLERS[name](random)
        slots["value" if intent == "number" else name] = value
        return words

    text = re.sub(r"<(\w+)>", fill, phrase)
    question = ""
    if open_question:
        question = phrase.strip("<>").removesuffix("_ft") if phrase.startswith("<") else "setup_yes_no"
    return Sentence(text, phrase, intent, slots, stage, question)


def _count(random: Random) -> tuple[str, int]:
    if random.random() < 0.1:
        return random.choice([("a dozen", 12), ("half a dozen", 6)])
    number = random.choice([*range(2, 21), *range(2, 21), *range(21, 100)])
    return number_words(number), number


def _tally(random: Random) -> tuple[str, int]:
    number = random.randint(1, 20)
    return number_words(number), number


def _pressure(random: Random) -> tuple[str, float]:
    number = random.randint(3, 19)
    style = random.randrange(5)
    if style == 0:
        return f"{number_words(number)} and a half", number + 0.5
    if style == 1:
        return f"{number_words(number)} point five", number + 0.5
    return number_words(number) + ("", " pounds", " psi")[style - 2], float(number)


def _minutes(random: Random) -> tuple[str, float]:
    if random.random() < 0.25:
        return random.choice(
            [("an hour", 60.0), ("an hour and a half", 90.0), ("ninety seconds", 1.5), ("half a minute", 0.5)]
        )
    number = random.randint(2, 95)
    return f"{number_words(number)} minutes", float(number)


def _inches(random: Random) -> tuple[str, float]:
    return random.choice(
        [("one inch", 1.0), ("half an inch", 0.5), ("a quarter inch", 0.25), ("an inch and a quarter", 1.25)]
    )


def _altitude(random: Random) -> tuple[str, int]:
    if random.random() < 0.15:
        return "sea level", 0
    number = random.choice([*range(100, 1000, 100), *range(1000, 9000, 100)])
    return f"{number_words(number)} feet", number


def _amount(random: Random) -> tuple[str, float]:
    number = random.randint(2, 60)
    if random.random() < 0.2:
        return f"{number_words(number)} and a half", number + 0.5
    return number_words(number), float(number)


def _food(random: Random) -> tuple[str, str]:
    food = random.choice([food for food in foods() if food.spoken_names])
    return random.choice(food.spoken_names), food.id


def _box(random: Random) -> tuple[str, int]:
    number = random.randint(1, 9)
    return number_words(number), number


def _load(random: Random) -> tuple[str, int]:
    number = random.randint(1, 4)
    ordinal = ("first", "second", "third", "fourth")[number - 1]
    return random.choice([f"load {number_words(number)}", f"the {ordinal} load"]), number


def _canner(random: Random) -> tuple[str, int]:
    return random.choice([("canner one", 1), ("canner two", 2), ("the second canner", 2)])


_FILLERS: dict[str, Callable[[Random], tuple[str, Any]]] = {
    "count": _count,
    "sealed": _tally,
    "failed": _tally,
    "pressure": _pressure,
    "minutes": _minutes,
    "inches": _inches,
    "altitude_ft": _altitude,
    "amount": _amount,
    "unit": lambda random: random.choice(sorted(_UNITS.items())),
    "food": _food,
    "pack": lambda random: random.choice([("raw pack", "raw"), ("hot pack", "hot")]),
    "jar": lambda random: random.choice(sorted(_JARS.items())),
    "canner": _canner,
    "load": _load,
    "outcome": lambda random: random.choice(sorted(_OUTCOMES.items())),
    "name": lambda random: random.choice([(name, name) for name in ("egg", "brine", "bread", "rice")]),
    "box": _box,
}
