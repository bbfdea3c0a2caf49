"""Questions that are near to what was said, though none is it word by word; by the words that tell questions apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import islice
from math import log

from .inputs import normalise
from .knowledge import NEARNESS, Asked, patterns
from .library import table
from .wordings import Pattern

__all__ = ["MARGIN", "NEAR", "SAME", "Near", "asks", "asks_alike", "names_thing", "nearest", "question_in"]

SAME = 1.0
NEAR = 0.62
"""Least likeness of a question that is asked back."""
MARGIN = 0.08
"""How far the next likely one has to be behind it."""
_OFFERED = 0.3
_ONE_WORD = 0.5
"""Likeness by a single telling word: too little to ask back."""
_FEWEST = 2
_LONGEST_NAME = 3
_MOST_BAGS = 3_000
_MOST_SENTENCES = 20_000

_Bag = frozenset[str]


@dataclass(frozen=True)
class Near:
    """Hold a question near to what was said: its likeness from 0 to 1, and its nearest wording."""

    asked: Asked
    likeness: float
    question: str


def nearest(text: object, most: int = 3) -> tuple[Near, ...]:
    """Return up to ``most`` questions of different families, the likeliest first; none if all are far.

    A likeness of 1 has the same telling words, at least two of them, in any order. ``asked`` tells whether the wording
    says that it happened.
    """
    said = _telling(normalise(text).split())
    if not said:
        return ()
    best: dict[str, tuple[float, int, _Bag]] = {}
    for place, bags in enumerate(_bags_of_all()):
        family = patterns()[place][0].family
        for bag in bags:
            if bag & said:
                likeness = _likeness(said, bag)
                if likeness > best.get(family, (_OFFERED, 0, said))[0]:
                    best[family] = (likeness, place, bag)
    found = sorted(best.values(), key=lambda each: -each[0])[:most]
    return tuple(Near(patterns()[place][0], likeness, _wording(place, bag)) for likeness, place, bag in found)


def asks(text: object) -> bool:
    """Tell whether a text begins like a question."""
    return normalise(text).split()[:1] != [] and normalise(text).split()[0] in str(table(NEARNESS)["asks"]).split()


def asks_alike(text: object, question: str) -> bool:
    """Tell whether two questions ask for the same: why, when, how long, before or after, on or off."""
    telling = frozenset(str(table(NEARNESS)["kinds"]).split())
    return telling & set(normalise(text).split()) == telling & set(normalise(question).split())


def question_in(text: object) -> str | None:
    """Return the question that ends a text which begins otherwise ("too hot, should i turn it down"); None if none."""
    said = normalise(text)
    places = (said.find(f" {opening} ") for opening in str(table(NEARNESS)["openings"]).split(" | "))
    first = min((place for place in places if place > 0), default=0)
    return said[first:].strip() if first else None


def names_thing(text: str) -> bool:
    """Tell whether a text is no more than the name of a thing: three words at most, and none that says little."""
    words, (little, _) = normalise(text).split(), _words()
    return 0 < len(words) <= _LONGEST_NAME and not any(word in little for word in words)


def _likeness(said: _Bag, bag: _Bag) -> float:
    if said == bag:
        return SAME if len(bag) >= _FEWEST else _ONE_WORD
    weights = _weights()
    rare = max(weights.values())
    shared = sum(weights.get(word, rare) for word in said & bag)
    likeness = shared / sum(weights.get(word, rare) for word in said | bag)
    return min(likeness, 0.99 if len(said) >= _FEWEST else _ONE_WORD)


@cache
def _words() -> tuple[frozenset[str], dict[str, str]]:
    known = table(NEARNESS)
    return frozenset(str(known["little"]).split()), dict(known["same"])


def _telling(words: Iterable[str]) -> _Bag:
    little, same = _words()
    return frozenset(_stem(same.get(word, word)) for word in words if word not in little or word in same)


def _stem(word: str) -> str:
    """Cut a plural's ending."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


@cache
def _bags_of_all() -> tuple[frozenset[_Bag], ...]:
    known: dict[int, frozenset[_Bag]] = {}
    return tuple(frozenset(bag for bag in _bags(pattern, known) if bag) for _, pattern in patterns())


def _bags(pattern: Pattern, known: dict[int, frozenset[_Bag]]) -> frozenset[_Bag]:
    """Return the telling words of every sentence of a pattern."""
    if id(pattern) not in known:
        found: set[_Bag] = set()
        for row in pattern.rows:
            bags: set[_Bag] = {frozenset()}
            for item in row:
                parts = {_telling([item])} if isinstance(item, str) else _bags(item, known)
                bags = set(islice((bag | part for bag in bags for part in parts), _MOST_BAGS))
            found |= bags
        known[id(pattern)] = frozenset(found)
    return known[id(pattern)]


@cache
def _weights() -> dict[str, float]:
    """Return how much a word tells: the fewer families have it, the more."""
    families: dict[str, set[str]] = {}
    for (asked, _), bags in zip(patterns(), _bags_of_all(), strict=True):
        for word in frozenset().union(*bags):
            families.setdefault(word, set()).add(asked.family)
    whole = len({asked.family for asked, _ in patterns()})
    counts = Counter({word: len(those) for word, those in families.items()})
    return {word: log((whole + 1) / count) for word, count in counts.items()}


def _wording(place: int, bag: _Bag) -> str:
    sentences = islice(patterns()[place][1].sentences(), _MOST_SENTENCES)
    first = ""
    for sentence in sentences:
        first = first or sentence
        if _telling(sentence.split()) == bag:
            return sentence
    return first
