"""Statements by their parts, in any order: a load by food, count, jar and pack; a timer; an amount of food."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from kitchenvoice.grammar.numbers import number_words, slot_words

__all__ = ["NUMBERS", "Shape"]

_NUMBER = rf"(?:{'|'.join(sorted(number_words(), key=len, reverse=True))})"
NUMBERS = rf"{_NUMBER}(?: {_NUMBER})*(?: and a (?:half|quarter)| and three quarters)?"
"""Pattern of a number in words."""
_SLOT = re.compile(r"\{(\w+)\}")
_REST = "rest"
_LONGEST_SPAN = 4


@dataclass(frozen=True)
class Shape:
    """One table of `shape` in `wording.toml`.

    `parts` are cut out of a statement by pattern (`#`: a number), then the words of `drops`; what is left is `rest`.
    Each of `says` that has just these in braces is what it amounts to. One of the phrases of `needs` has to be in the
    statement, and none of `without`. `free`: what is left doesn't matter; `spans`: a few words in a row of it do, and
    the others have to be of `beside`, if it has any.
    """

    says: Sequence[str]
    parts: Mapping[str, str]
    needs: str = ""
    without: str = ""
    drops: str = ""
    free: bool = False
    spans: bool = False
    beside: str = ""

    def sentences(self, said: str) -> Iterator[str]:
        """Yield what a statement can amount to, best first; nothing if it isn't one of this shape."""
        if (self.needs and not self._needed.search(said)) or (self.without and self._barred.search(said)):
            return
        found: dict[str, str] = {}
        for name, pattern in self._patterns.items():
            cut = pattern.search(said)
            if cut is not None:
                found[name] = next((group for group in cut.groups() if group), cut.group())
                said = f"{said[: cut.start()]} {said[cut.end() :]}"
        if self.parts and not found and self._slots == {_REST}:
            return
        left = () if self.free else said.split()
        kept = [at for at, word in enumerate(left) if word not in self._dropped]
        words = [left[at] for at in kept]
        joining = {*slot_words()["words"]["joining"]}
        joined = {n for n, (at, to) in enumerate(pairwise(kept)) if not joining.isdisjoint(left[at + 1 : to])}
        slots = (found.keys() | ({_REST} if words else set())) & self._slots
        for rest in self._rests(words, joined):
            for sentence in self.says:
                if set(_SLOT.findall(sentence)) == slots:
                    yield sentence.format(**found, rest=rest)

    def _rests(self, words: Sequence[str], joined: set[int]) -> Iterator[str]:
        """Yield what is left, all of it first; nothing that "in" or "with" joined (chicken in broth is no broth)."""
        if not joined:
            yield " ".join(words)
        if self.spans:
            for length in range(min(_LONGEST_SPAN, len(words) - 1), 0, -1):
                for at in range(len(words) - length + 1):
                    others = {*words[:at], *words[at + length :]}
                    if joined.isdisjoint(range(at, at + length - 1)) and (not self.beside or others <= self._beside):
                        yield " ".join(words[at : at + length])

    @cached_property
    def _patterns(self) -> Mapping[str, re.Pattern[str]]:
        return {name: re.compile(rf"\b(?:{part.replace('#', NUMBERS)})(?!\S)") for name, part in self.parts.items()}

    @cached_property
    def _slots(self) -> frozenset[str]:
        return frozenset(slot for sentence in self.says for slot in _SLOT.findall(sentence)) | {_REST}

    @cached_property
    def _needed(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.needs})\b")

    @cached_property
    def _barred(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.without})\b")

    @cached_property
    def _beside(self) -> frozenset[str]:
        return frozenset(self.beside.split())

    @cached_property
    def _dropped(self) -> frozenset[str]:
        return frozenset(self.drops.split())
