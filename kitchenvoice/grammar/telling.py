"""Statements by their telling words, in any order: "the burner went out under there" has "heat" and "off"."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from math import log
from types import MappingProxyType

from kitchenvoice.grammar.numbers import slot_words

__all__ = ["Telling"]

_NONE: Mapping[str, str] = MappingProxyType({})
_NUMBER = "#"
_FEWEST = 2
"""Fewest telling words that two statements share."""
_ALIKE = 0.5
"""Least share of them for a statement that is asked back."""


@dataclass(frozen=True)
class _Read:
    """Telling words, number and count of unknown words of a statement."""

    words: frozenset[str]
    number: str
    unknown: int

    def worded(self, meant: str) -> tuple[str, ...]:
        """Return the sentences of an entry with the number in them."""
        return tuple(each.strip().replace(_NUMBER, self.number) for each in meant.split("|") if each.strip())


@dataclass(frozen=True)
class Telling:
    """The table `telling` of `wording.toml`: idle words, one word for many, and the meanings of both.

    Words of `faint` may be left out beside others, those of `alike` beside each other; with one of `barring` nothing is
    made of a statement. `decisive` ones have to be in both of two that are alike, one of `nouns` too. `number` is a
    bare number; "one" after a word of `particular` is none, nor is a number after `numbered`: it names a load.
    """

    little: str = ""
    questions: str = ""
    faint: str = ""
    alike: str = ""
    barring: str = ""
    decisive: str = ""
    nouns: str = ""
    particular: str = ""
    numbered: str = ""
    number: str = ""
    same: Mapping[str, str] = field(default_factory=lambda: _NONE)
    means: Mapping[str, str] = field(default_factory=lambda: _NONE)

    def sentences(self, said: str) -> tuple[str, ...]:
        """Return what a statement can amount to, best first; nothing for a question, or if any word isn't known."""
        name, rest = self._name_of(said)
        found = self._read(rest)
        if found is None or found.unknown:
            return ()
        meant = next((self._means[each] for each in self._fainter(found.words) if each in self._means), "")
        return tuple(f"{name} {each}".strip() for each in found.worded(meant))

    def guesses(self, said: str, strange: int) -> Iterator[str]:
        """Yield possible meanings of a statement, likeliest first, by the telling words shared with another.

        Up to `strange` of its words aren't known. What decides, as a "not" or a number, is never left out.
        """
        name, rest = self._name_of(said)
        found = self._read(rest)
        if found is None or found.unknown > strange:
            return
        likely = sorted(((self._likeness(found.words, each), each) for each in self._means), key=lambda pair: -pair[0])
        for likeness, each in likely:
            if likeness >= _ALIKE:
                yield from (f"{name} {worded}".strip() for worded in found.worded(self._means[each]))
        if found.words == {_NUMBER}:
            yield from found.worded(self.number)

    def _likeness(self, found: frozenset[str], other: frozenset[str]) -> float:
        """Return the share of the telling words of two statements that both have, by how rare they are; 0 to 1."""
        shared = found & other
        named = not shared.isdisjoint(self.nouns.split())
        if not named or found & self._decisive != other & self._decisive or len(shared) < _FEWEST:
            return 0.0
        return sum(map(self._rarity, shared)) / sum(map(self._rarity, found | other))

    def _rarity(self, word: str) -> float:
        return log((1 + len(self._means)) / (1 + self._uses[word]))

    def _name_of(self, said: str) -> tuple[str, str]:
        """Return the load that a statement names by a number ("in canner two"), "" if none, and the rest of it."""
        found = self._numbered.search(said)
        return ("", said) if found is None else (found[1], f"{said[: found.start(1)]}{said[found.end(1) :]}".strip())

    def _read(self, said: str) -> _Read | None:
        """Return the telling words and the number of a statement; None for a question and for what is no report."""
        words = said.split()
        if not words or words[0] in self.asking or self._barred.search(said):
            return None
        found: set[str] = set()
        number: list[str] = []
        unknown, ended = 0, False
        numbers, kinds = slot_words()["numbers"], slot_words()["words"]
        for before, word in zip(("", *words), words, strict=False):
            if numbers.get(word) == 1 and before in self.particular.split():
                continue
            if word in numbers or (number and not ended and word in kinds["within"]):
                if ended:
                    return None
                number.append(word)
                continue
            ended = bool(number)
            unknown += word not in self._one and word not in self._little
            found |= {self._one[word]} if word in self._one else set()
        while number and number[-1] in kinds["within"] and number[-1] not in kinds["fraction"]:
            number.pop()
        if number:
            found.add("zero" if [numbers.get(each) for each in number] == [0] else _NUMBER)
        return _Read(frozenset(found), " ".join(number), unknown)

    def _fainter(self, found: frozenset[str]) -> Iterator[frozenset[str]]:
        """Yield telling words as they are, then with fewer of the faint ones, then with one of those alike."""
        faint = sorted(found & self._faint)
        alike = sorted(found & frozenset(self.alike.split()))
        for one in [alike, *([each] for each in alike if len(alike) > 1)]:
            kept = found.difference(alike).union(one)
            for out in range(len(faint) + 1):
                yield from (frozenset(kept.difference(each)) for each in combinations(faint, out))

    @cached_property
    def asking(self) -> frozenset[str]:
        """The words that a question begins with."""
        return frozenset(self.questions.split())

    @cached_property
    def _little(self) -> frozenset[str]:
        return frozenset(self.little.split())

    @cached_property
    def _faint(self) -> frozenset[str]:
        return frozenset(self.faint.split())

    @cached_property
    def _decisive(self) -> frozenset[str]:
        return frozenset(self.decisive.split())

    @cached_property
    def _uses(self) -> Counter[str]:
        return Counter(word for each in self._means for word in each)

    @cached_property
    def _barred(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.barring or '$.'})\b")

    @cached_property
    def _numbered(self) -> re.Pattern[str]:
        return re.compile(rf"\b(?:{self.numbered or '$.()'})\b")

    @cached_property
    def _one(self) -> Mapping[str, str]:
        return {word: one for one, words in self.same.items() for word in words.split()}

    @cached_property
    def _means(self) -> Mapping[frozenset[str], str]:
        return {frozenset(words.split()): sentence for words, sentence in self.means.items()}
