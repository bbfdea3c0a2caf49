"""Statements by their telling words, in any order: "the burner went out under there" has "heat" and "off"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from kitchenvoice.grammar.numbers import number_words

__all__ = ["Telling"]

_NONE: Mapping[str, str] = MappingProxyType({})
_NUMBER = "#"


@dataclass(frozen=True)
class Telling:
    """The table `telling` of `wording.toml`: words that say little, one word for many, and what they amount to."""

    little: str = ""
    questions: str = ""
    same: Mapping[str, str] = field(default_factory=lambda: _NONE)
    means: Mapping[str, str] = field(default_factory=lambda: _NONE)

    def sentences(self, said: str) -> tuple[str, ...]:
        """Return what a statement can amount to, best first; nothing for a question, or if any word isn't known."""
        words = said.split()
        if not words or words[0] in self.asking:
            return ()
        found: set[str] = set()
        number: list[str] = []
        ended = False
        for word in words:
            if word in number_words() or (number and not ended and word in _WITHIN):
                if ended:
                    return ()
                number.append(word)
                continue
            ended = bool(number)
            if word not in self._one and word not in self._little:
                return ()
            found |= {self._one[word]} if word in self._one else set()
        while number and number[-1] in _WITHIN:
            number.pop()
        if number == ["zero"]:
            found.add("zero")
        elif number:
            found.add(_NUMBER)
        meant = self._means.get(frozenset(found), "")
        return tuple(each.strip().replace(_NUMBER, " ".join(number)) for each in meant.split("|") if each.strip())

    @cached_property
    def asking(self) -> frozenset[str]:
        """Hold the words that a question begins with."""
        return frozenset(self.questions.split())

    @cached_property
    def _little(self) -> frozenset[str]:
        return frozenset(self.little.split())

    @cached_property
    def _one(self) -> Mapping[str, str]:
        return {word: one for one, words in self.same.items() for word in words.split()}

    @cached_property
    def _means(self) -> Mapping[frozenset[str], str]:
        return {frozenset(words.split()): sentence for words, sentence in self.means.items()}


_WITHIN = frozenset({"and", "a", "half", "point", "quarter"})
