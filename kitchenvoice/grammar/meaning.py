"""Conversion of marks on words to intent and slots."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from kitchenvoice.grammar.foods import SpokenNames
from kitchenvoice.grammar.matching import Mark
from kitchenvoice.grammar.slots import CONVERTERS, in_feet

__all__ = ["Meanings", "Reading"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One meaning of a sentence. `said` holds the words of each slot; `attention`: the wake phrase came first."""

    intent: str
    slots: Mapping[str, Any]
    attention: bool = False
    said: Mapping[str, str] = field(default_factory=dict, compare=False)


class Meanings:
    """Converter with the names of one kitchen."""

    def __init__(self, names: SpokenNames) -> None:
        self._named = {"food": names.food, "loaded_food": names.load, "canner_name": names.canner}

    def of(self, words: tuple[str, ...], found: Iterable[tuple[Mark, ...]]) -> tuple[Reading, ...]:
        """Return the distinct readings; those with a number out of range are left out."""
        readings: list[Reading] = []
        for marks in found:
            reading = self._reading(words, marks)
            if reading is not None and reading not in readings:
                readings.append(reading)
        return tuple(readings)

    def _reading(self, words: tuple[str, ...], marks: tuple[Mark, ...]) -> Reading | None:
        intent, called = "", 0
        slots: dict[str, Any] = {}
        said: dict[str, str] = {}
        for mark in marks:
            if mark.tag.kind == "intent":
                intent = mark.tag.name
            elif mark.tag.kind == "attention":
                called = mark.end
            elif mark.tag.kind == "set":
                slots[mark.tag.name] = mark.tag.value
            elif mark.tag.value == "count_set":
                slots[mark.tag.name] = slots.pop("count")
            else:
                values = self._slot(mark, words[mark.start : mark.end])
                if values is None:
                    return None
                slots.update(values)
                said[mark.tag.name] = " ".join(words[mark.start : mark.end])
        if not intent and called != len(words):
            return None
        told = in_feet(slots)
        return None if told is None else Reading(intent or "attention", told, called > 0, said)

    def _slot(self, mark: Mark, covered: tuple[str, ...]) -> dict[str, Any] | None:
        kind = str(mark.tag.value)
        if kind in self._named:
            return self._named[kind](covered)
        value = CONVERTERS[kind](covered)
        return None if value is None else {mark.tag.name: value}
