"""Nearest known questions to a text that matches none word by word.

A wording is compared by its words and pairs of words: each weighs by how few families have it, in its stem, one word
for many of the same meaning, a slip of the keyboard mended. Their likeness is the cosine of the angle between them.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from math import log, sqrt

from .folding import folded, many_for_one, question_words, stemmed, stems_and_pairs
from .food_talk import particulars
from .inputs import normalise
from .knowledge import NEARNESS, Asked, likenesses, stages_of
from .library import table

__all__ = [
    "AHEAD",
    "ALONE",
    "MARGIN",
    "NEAR",
    "NEAR_BESIDE",
    "SAME",
    "SURE",
    "Near",
    "asks",
    "is_beside",
    "likest",
    "named",
    "names_thing",
    "nearest",
    "of_hearsay",
    "points_back",
    "question_in",
    "says_little",
]

SURE = 0.56
"""Least likeness of a question that is answered without asking back."""
ALONE, AHEAD = 0.5, 0.2
"""Least likeness of one that is likely to be meant and answered at once, and how far the next has to be behind it."""
NEAR = 21.0
"""Least nearness of a question that is asked back."""
_NEARER = (13.0, 3.0, 8.0, 1.0)
"""How much that counts: the likeness, the part of what was said that the wording has and that its family has, from 0 to
1, and each different word. By logistic regression over 178 guesses that were judged."""
NEAR_BESIDE = 0.37
"""Least likeness of small talk, which is never asked back."""
SAME = 0.9
"""Least likeness of a wording that is the same but for small words."""
MARGIN = 0.05
"""How far the next likely one has to be behind one that is answered."""
_SAMPLES = 3
_PAIR = 0.5
"""How much a pair of words weighs, of what a word does."""
_OTHER_FORM = 0.85
"""What is left of a likeness where one asks and the other tells."""
_OTHER_KIND = 0.75
"""What is left of a likeness where one asks for a reason, say, and the other for a time."""
_OTHER_THING = 0.75
"""What is left of a likeness where each names a thing that the other doesn't, or one of two opposites."""
_OTHER_STAGE = 0.75
"""What is left of a likeness to what is asked in other stages."""
_SPELLED = 0.84
_LONGEST_THING = 6
_LIKELIEST = 12
_SHORTEST_TYPO = 4

_Features = frozenset[str]


@dataclass(frozen=True)
class Near:
    """A question near to what was said, in one of its wordings: its likeness from 0 to 1, whether it is likely to
    be meant, so that it may be asked back, and whether it is the same but for words that name nothing.
    """

    asked: Asked
    question: str
    likeness: float
    likely: bool
    same: bool = False


@dataclass(frozen=True)
class _Wordings:
    """Every wording with what it asks, whether it does, for what, the things it names, and its length; where those
    of each family and each feature are, which families have it, and what it weighs (a strange one as the rarest).
    """

    sentences: Sequence[tuple[Asked, str]]
    asking: Sequence[bool]
    kinds: Sequence[str]
    things: Sequence[_Features]
    lengths: Sequence[float]
    families: Mapping[str, Sequence[int]]
    places: Mapping[str, Sequence[int]]
    having: Mapping[str, Collection[str]]
    weights: Mapping[str, float]
    strange: float


@lru_cache(maxsize=16)  # one turn wants it twice
def nearest(text: object, most: int = 3, stage: str | None = None) -> tuple[Near, ...]:
    """Return up to ``most`` questions of different families, the likeliest first; none if none shares a word.

    Of a family that has stages it is less likely in others. ``asked`` tells whether the wording says that it happened.
    """
    known, asking, kind = _wordings(), asks(text), _asks_for(text)
    said = stems_and_pairs(_spelled(text))
    things = said & _things()
    length = sqrt(sum(known.weights.get(each, 0.0 if " " in each else known.strange) ** 2 for each in said))
    if not length:
        return ()
    shared, of_family = [0.0] * len(known.sentences), dict[str, float]()
    for feature in said & known.places.keys():
        weight = known.weights[feature] ** 2
        for place in known.places[feature]:
            shared[place] += weight
        for name in known.having[feature]:
            of_family[name] = of_family.get(name, 0.0) + weight
    best: list[tuple[float, int, str]] = []
    for name, most_shared in sorted(of_family.items(), key=lambda each: -each[1]):
        if len(best) == _LIKELIEST and sqrt(most_shared) / length < -best[-1][0]:
            break  # no angle is smaller than the one to all that is shared
        likeness, at, of_stage = 0.0, 0, _of_stage(known.sentences[known.families[name][0]][0], stage)
        for place in known.families[name]:
            near = shared[place] / (length * known.lengths[place])
            if near > likeness:  # the rest makes it only less
                near *= of_stage
                near *= 1.0 if known.asking[place] == asking else _OTHER_FORM
                near *= 1.0 if not kind or known.kinds[place] in ("", kind) else _OTHER_KIND
                near *= 1.0 if not (things - known.things[place] and known.things[place] - things) else _OTHER_THING
                likeness, at = (near, place) if near > likeness else (likeness, at)
        best = sorted((*best, (-likeness, at, name)))[:_LIKELIEST]
    found = sorted(((-less * _known_to(name, said), place) for less, place, name in best), reverse=True)
    return tuple(
        Near(*known.sentences[place], likeness, _is_likely(text, said, likeness, place), _is_same(text, place))
        for likeness, place in found[:most]
    )


def likest(text: object, name: str) -> tuple[Asked, str] | None:
    """Return the wording of a family or a command that is likest to a text, and what it asks; one that asks if it does,
    if there is one; `None` if each has a number or a food that wasn't said.
    """
    known, said = _wordings(), stems_and_pairs(_spelled(text))

    def likeness(place: int) -> float:
        features = stems_and_pairs(_words_of(known.sentences[place][1]))
        return sum(known.weights[each] ** 2 for each in said & features) / known.lengths[place]

    places = [place for place in known.families[name] if not _has_another(text, said, place)]
    alike = [place for place in places if _is_of_a_kind(text, place)] or places
    return known.sentences[max(alike, key=likeness)] if alike else None


def _has_another(text: object, said: _Features, place: int) -> bool:
    words = stems_and_pairs(_words_of(_wordings().sentences[place][1]))
    return bool((words & _decisive()) - said) or _names_another(text, place)


@cache
def named() -> frozenset[str]:
    """Return the names of all families and commands that have a wording."""
    return frozenset(_wordings().families)


def _is_likely(text: object, said: _Features, likeness: float, place: int) -> bool:
    """True if a wording asks for the same thing, or tells as it does, has no number and no "not" that wasn't said,
    and is near enough: the more of what was said it has, and its family, the less alike it needs to be.
    """
    known, (asked, wording) = _wordings(), _wordings().sentences[place]
    words = stems_and_pairs(_words_of(wording))
    if not _is_of_a_kind(text, place) or (words & _decisive()) - said or _is_of_another(text, said, place):
        return False
    weights = {each: known.weights.get(each, known.strange) for each in said if " " not in each}
    share = sum(weight for each, weight in weights.items() if each in words) / (sum(weights.values()) or 1.0)
    have = 2.0 * _known_to(asked.family, said) - 1.0
    return sum(each * by for each, by in zip((likeness, share, have, len(weights)), _NEARER, strict=True)) >= NEAR


def _is_of_a_kind(text: object, place: int) -> bool:
    """True if both ask, or tell, and for the same."""
    known = _wordings()
    return known.asking[place] == asks(text) and len({_asks_for(text), known.kinds[place]} - {""}) <= 1


def _is_of_another(text: object, said: _Features, place: int) -> bool:
    """True if each names a thing that the other doesn't, or the wording a food, jar or pack that wasn't said."""
    things = _wordings().things[place]
    return _names_another(text, place) or bool(things - said and (said & _things()) - things)


def _names_another(text: object, place: int) -> bool:
    """True if the wording names a food, jar or pack that wasn't said."""
    named, wording = particulars(text), _wordings().sentences[place][1]
    return any(named.get(name) != value for name, value in particulars(wording).items())


def _is_same(text: object, place: int) -> bool:
    """True if a wording asks the same in the same words, but for those that name nothing."""
    told, wording = _naming(text), _naming(_wordings().sentences[place][1])
    return told == wording and bool(told - _openings()) and _is_of_a_kind(text, place)


def _naming(text: object) -> _Features:
    words, little = _spelled(text), _little()
    return frozenset(each for word in words if (each := stemmed(word)) in _things() or word not in little)


@cache
def _little() -> _Features:
    return frozenset(str(table(NEARNESS)["little"]).split())


@cache
def _openings() -> _Features:
    return frozenset(map(stemmed, question_words()[1]))


def _asks_for(text: object) -> str:
    """Return what a question asks for by its first question word: a time, whether it is so; "" for anything."""
    return _kind_in(folded(text))


def _kind_in(said: str) -> str:
    pattern, kinds = _kinds()
    found = pattern.search(said)
    return kinds[found[0]] if found else ""


@cache
def _kinds() -> tuple[re.Pattern[str], dict[str, str]]:
    return many_for_one("kinds")


@cache
def _things() -> _Features:
    return frozenset(map(stemmed, str(table(NEARNESS)["things"]).split()))


@cache
def _decisive() -> _Features:
    return frozenset(map(stemmed, str(table(NEARNESS)["decisive"]).split()))


def _known_to(name: str, said: _Features) -> float:
    """Return the share of a text's words that any wording of a family has, scaled from ½ to 1."""
    known = _wordings()
    weights = {each: known.weights.get(each, known.strange) for each in said if " " not in each}
    have = (weight for each, weight in weights.items() if name in known.having.get(each, ()))
    return 0.5 + 0.5 * sum(have) / (sum(weights.values()) or 1.0)


@cache
def _of_stage(asked: Asked, stage: str | None) -> float:
    stages = () if asked.command or stage is None else stages_of(asked.family)
    return 1.0 if not stages or stage in stages else _OTHER_STAGE


def is_beside(asked: Asked) -> bool:
    """True if it is small talk, a pause or a thank-you: answered if it is near, and never asked back."""
    return asked.family in str(table(NEARNESS)["beside"]).split()


def asks(text: object) -> bool:
    """True if a text begins like a question, behind what may be said before one, or ends like one."""
    return _asks(normalise(text).split())


def _asks(words: Sequence[str]) -> bool:
    before, openings, endings, telling, subjects = question_words()
    while len(words) > 1 and words[0] in before:
        words = words[1:]
    first, then = (*words, "", "")[:2]
    begins = first in openings and (first not in telling or then in subjects)
    return bool(words) and (begins or words[-1] in endings)


def question_in(text: object) -> str | None:
    """Return the question that ends a text which begins otherwise ("too hot, should i turn it down"); None if none."""
    said = normalise(text)
    places = (said.find(f" {opening} ") for opening in str(table(NEARNESS)["openings"]).split(" | "))
    first = min((place for place in places if place > 0), default=0)
    return said[first:].strip() if first else None


def of_hearsay(text: str) -> str | None:
    """Return what others do or say ("my aunt always turns the jars over") as a question; None if it is nothing so."""
    found = re.match(str(table(NEARNESS)["hearsay"]), normalise(text))
    return None if found is None else f"{table(NEARNESS)['asked_of']} {normalise(text)[found.end() :]}"


def points_back(question: str) -> bool:
    """True if a question only refers back ("is that normal")."""
    return says_little(question) and not _back().isdisjoint(question.split())


def says_little(question: str) -> bool:
    """True if a question has no word that names anything ("what do i do")."""
    return question.split() != [] and {*str(table(NEARNESS)["little"]).split(), *question_words()[2]}.issuperset(
        question.split()
    )


@cache
def _back() -> _Features:
    return frozenset(str(table(NEARNESS)["back"]).split())


def names_thing(text: str) -> bool:
    """True if a text is no more than the name of a thing: six words at most, and none that says little."""
    words, little = normalise(text).split(), str(table(NEARNESS)["little"]).split()
    return 0 < len(words) <= _LONGEST_THING and not any(word in little for word in words)


# ---------------------------------------------------------------- words


def _words_of(text: object) -> list[str]:
    return folded(text).split()


def _spelled(text: object) -> list[str]:
    """Return the words of a text with slips of the keyboard mended."""
    known = _wordings().weights
    words = []
    for word in _words_of(text):
        stem = stemmed(word)
        if stem not in known and len(word) >= _SHORTEST_TYPO:
            alike = [each for each in known if each[:1] == stem[0] and " " not in each]
            words.append(next(iter(get_close_matches(stem, alike, n=1, cutoff=_SPELLED)), word))
        else:
            words.append(word)
    return words


# ---------------------------------------------------------------- wordings


@cache
def _wordings() -> _Wordings:
    sentences = tuple(dict.fromkeys(_all()))
    plain = [folded(sentence, normal=True) for _, sentence in sentences]
    all_features = [stems_and_pairs(words.split()) for words in plain]
    families: dict[str, list[int]] = defaultdict(list)
    places: dict[str, list[int]] = defaultdict(list)
    for place, ((asked, _), features) in enumerate(zip(sentences, all_features, strict=True)):
        families[asked.family].append(place)
        for feature in features:
            places[feature].append(place)
    having = {feature: {sentences[place][0].family for place in there} for feature, there in places.items()}
    weights = {
        each: log((len(families) + 1) / len(those)) * (_PAIR if " " in each else 1.0) for each, those in having.items()
    }
    squares = {each: weight**2 for each, weight in weights.items()}
    lengths = [sqrt(sum(map(squares.__getitem__, features))) for features in all_features]
    asking = [_asks(sentence.split()) for _, sentence in sentences]
    kinds = list(map(_kind_in, plain))
    things = [features & _things() for features in all_features]
    strange = max(weights.values())
    return _Wordings(sentences, asking, kinds, things, lengths, families, places, having, weights, strange)


def _all() -> Iterator[tuple[Asked, str]]:
    """Yield every plain wording, and some of each pattern."""
    for asked, pattern in likenesses():
        for row in pattern.alone():
            for number in range(_SAMPLES):
                yield asked, row.sentence(number)
