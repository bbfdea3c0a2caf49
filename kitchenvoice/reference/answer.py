"""The answer of the look-up: numbers with their sources, or why there are none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any, Literal

__all__ = ["Acid", "Answer", "CannerNeeds", "Option", "Status", "plain_fields", "tidy"]

Status = Literal["ok", "refused", "incomplete"]


@dataclass(frozen=True)
class Option:
    """One pair of minutes and pressure that a table prints as an alternative."""

    minutes: float
    psi: float


@dataclass(frozen=True)
class Acid:
    """The acid that one jar needs: one of the amounts, not all of them.

    ``printed_for`` names the jar size the figures are printed for; a jar without figures of its own gets
    those of the next larger printed jar, which is never less acid. A pickle has its ``recipe`` instead. ``goes`` says
    where: into every jar, into the recipe, or that a ferment makes it. Not ``required`` is what goes into the ``pot``
    and not for every fruit.
    """

    required: bool
    text: str
    source: tuple[str, ...]
    lemon_juice_tbsp: float | None = None
    citric_acid_tsp: float | None = None
    vinegar_tbsp: float | None = None
    printed_for: str | None = None
    recipe: str | None = None
    goes: Literal["jar", "recipe", "ferment", "pot"] = "jar"


@dataclass(frozen=True)
class CannerNeeds:
    """This food's special wish of the pressure canner, as in :class:`.processes.CannerRule`."""

    text: str
    source: tuple[str, ...]
    water_quarts: float
    cool: bool = False
    size_quarts: tuple[float, float] | None = None
    heat_minutes: float | None = None
    vent_minutes: float | None = None
    least_minutes: float | None = None


@dataclass(frozen=True)
class Answer:
    """What the published tables say about one food, pack, jar, method, gauge and altitude.

    Numbers are there only when ``status`` is ``ok``; ``missing`` lists what to ask for, in that order;
    ``sources`` has the citations of each group of numbers. ``headspace_first_in``: to here with the pieces, then with
    liquid to ``headspace_in``. ``water_f`` is the water of a low-temperature pasteurization, in degrees.
    """

    status: Status
    food: str | None = None
    food_name: str | None = None
    pack: str | None = None
    jar: str | None = None
    method: str | None = None
    gauge: str | None = None
    altitude_ft: int | None = None
    minutes: float | None = None
    psi: float | None = None
    options: tuple[Option, ...] = ()
    headspace_in: float | Mapping[str, float] | None = None
    headspace_text: str | None = None
    headspace_first_in: float | None = None
    salt_tsp_per_jar: float | None = None
    salt_text: str | None = None
    acid: Acid | None = None
    preparation: str | None = None
    sterile_jars: bool = False
    release_bubbles: bool = True
    canner: CannerNeeds | None = None
    water_f: tuple[float, float] | None = None
    cautions: tuple[str, ...] = ()
    of_hands: tuple[str, ...] = ()
    of_table: tuple[str, ...] = ()
    reason: str | None = None
    instead: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    source: tuple[str, ...] = ()
    sources: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def pairs(self) -> tuple[tuple[float, float | None], ...]:
        """Every valid pair of minutes and pounds, for a choice of one; nothing without an answer."""
        if self.options:
            return tuple((option.minutes, option.psi) for option in self.options)
        return () if self.minutes is None else ((self.minutes, self.psi),)

    @property
    def before_filling(self) -> tuple[str, ...]:
        """What is to be known before the jars are filled: first the work of the hands with the preparation, then what
        the cautions say beside it: not again what has the same figures ("boil 5 minutes"), or those of its canner, nor
        what helps to choose the process."""
        known = _figures(f"{self.preparation} {self.canner.text if self.canner else ''}") if self.preparation else set()
        kept = {
            caution: " ".join(each for each in _SENTENCES.split(caution) if not known >= _figures(each) > set())
            for caution in self.cautions
            if caution not in self.of_table
        }
        hands = (self.preparation, *(text for caution, text in kept.items() if caution in self.of_hands))
        others = (text for caution, text in kept.items() if caution not in self.of_hands)
        return tuple(filter(None, (" ".join(filter(None, hands)), *others)))

    def as_dict(self) -> dict[str, Any]:
        """Return plain values that JSON can hold, every field present."""
        return plain_fields(self)


_SENTENCES = re.compile(r"(?<=[.:]) (?=[A-Z])")


def _figures(text: str) -> set[tuple[str, str]]:
    """Return the numbers of a text, each with the word that it counts."""
    words = re.findall(r"\d+(?:-\d/\d|/\d)?|[a-z]+", text.lower())
    of = (
        next((each for each in words[place:] if each.isalpha() and each not in ("to", "or")), "")
        for place in range(len(words))
    )
    return {(word, unit) for word, unit in zip(words, of, strict=True) if word[0].isdigit()}


def tidy(number: float) -> float:
    """Return a whole number as int, so that it prints and is spoken as one."""
    return int(number) if float(number).is_integer() else number


def plain_fields(item: Any) -> dict[str, Any]:
    """Return the fields of a frozen dataclass as values that JSON can hold."""
    return {f.name: _plain(getattr(item, f.name)) for f in fields(item)}


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return plain_fields(value)
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value
