"""Comparison of the figures of the rules with the sentences in which the guide prints them.

A page's text is searched for the few words around a figure (``rules.toml``); words that aren't there are a difference,
so that no figure is passed over in silence.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from guide.layout import plain

__all__ = ["Printed", "RuleComparison", "compare_rules", "figures_of", "printed"]

_PLACES = Path(__file__).parent / "rules.toml"
_NUMBER = r"\d+-\d/\d|\d+/\d|\d+\.\d+|\d+"
_PAGES = re.compile(r"\b(\d):(\d+)\b")
_HEADINGS = re.compile(r"(?m)^\s*(?:\d+\s*-\s*\d+|\d|Principles of Home Canning)\s*$|\s{4,}\d$")


@dataclass(frozen=True)
class Printed:
    """Hold where one figure of a rule is printed: the page, and the words around it."""

    rule: str
    key: str
    page: str
    like: str
    words: Mapping[str, float] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Name the figure: rule and key."""
        return f"{self.rule}.{self.key}"

    def read(self, text: str) -> tuple[float, ...] | None:
        """Return the figures of the page's text; ``None`` if the words aren't there, or twice with other figures."""
        pattern = self.like.replace("(N)", f"({_NUMBER})").replace(" ", r"\s+")
        found = {tuple(map(self._value, each.groups())) for each in re.finditer(pattern, text)}
        return found.pop() if len(found) == 1 else None

    def _value(self, printed: str) -> float:
        words = " ".join(printed.split())
        return self.words[words] if words in self.words else _number(words)


@dataclass
class RuleComparison:
    """Counts and differences of the rules; ``differing`` and ``elsewhere`` are sentences."""

    agreeing: int = 0
    differing: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)


@cache
def printed() -> tuple[Printed, ...]:
    """Return where the figures are printed."""
    return tuple(Printed(**each) for each in tomllib.loads(_PLACES.read_text("utf-8"))["figure"])


def figures_of(rules: Mapping[str, Mapping[str, Any]]) -> Iterator[tuple[str, tuple[float, ...], set[str]]]:
    """Yield every figure of the rules: name, numbers in the order of the data, and the pages of the rule's sources."""
    places = {each.name for each in printed()}
    for name, rule in rules.items():
        pages = {f"{guide}-{page}" for source in rule["source"] for guide, page in _PAGES.findall(source)}
        for key, value in rule.get("figures", {}).items():
            if isinstance(value, Mapping) and f"{name}.{key}" not in places:
                yield from ((f"{name}.{key}.{part}", tuple(_flat(each)), pages) for part, each in value.items())
            else:
                yield f"{name}.{key}", tuple(_flat(value)), pages


def compare_rules(rules: Mapping[str, Mapping[str, Any]], guides: Mapping[int, str]) -> RuleComparison:
    """Compare every figure of the rules with the texts of the guides, by their numbers."""
    found = RuleComparison()
    pages = {
        f"{guide}-{number}": plain(_HEADINGS.sub("", page))
        for guide, text in guides.items()
        for number, page in enumerate(text.split("\f"), start=1)
    }
    places = {each.name: each for each in printed()}
    for name, ours, sources in figures_of(rules):
        place = places.pop(name, None)
        if place is None:
            found.elsewhere.append(f"{name}: {_spelt(ours)}{'' if sources else ' (its source is no guide)'}")
            continue
        theirs = place.read(pages.get(place.page, ""))
        if theirs == ours:
            found.agreeing += len(ours)
        if theirs == ours and place.page not in sources:
            found.differing.append(f"{name} ({place.page}): the rule names other pages")
        elif theirs != ours:
            there = "the words aren't" if theirs is None else _spelt(theirs)
            found.differing.append(f"{name} ({place.page}): {_spelt(ours)} on board, {there} there")
    found.differing.extend(f"{name} ({place.page}): not on board" for name, place in places.items())
    return found


def _flat(value: Any) -> Iterator[float]:
    """Yield the numbers of a figure, whatever its form, in their order."""
    if isinstance(value, Mapping):
        value = list(value.values())
    if isinstance(value, list | tuple):
        for each in value:
            yield from _flat(each)
    else:
        yield float(value)


def _number(text: str) -> float:
    """Return 1.5 for "1-1/2", 0.25 for "1/4", 12 for "12"."""
    whole, _, part = text.rpartition("-") if "/" in text else (text, "", "")
    top, _, bottom = part.partition("/")
    return float(whole or 0) + (float(top) / float(bottom) if part else 0.0)


def _spelt(figures: tuple[float, ...]) -> str:
    return "/".join(f"{figure:g}" for figure in figures)
