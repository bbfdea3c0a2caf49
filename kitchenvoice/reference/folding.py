"""A question in plain words: contractions written out, one phrase for many, nobody spoken to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from .inputs import normalise
from .knowledge import NEARNESS
from .library import table

__all__ = ["features_of", "folded", "many_for_one", "phrased", "question_words", "stemmed", "stems_and_pairs"]

_CONTRACTED = re.compile(r"(?<=\w)'(ll|d|re|ve)\b")
_ENDS = (("ies", "y"), ("sses", "ss"), ("ing", ""), ("ed", ""), ("es", "e"), ("s", ""))
_IN_FULL = {"ll": " will", "d": " would", "re": " are", "ve": " have"}


def phrased(said: str) -> str:
    """Return a text in the words of the tables, with what is said in one way for many put so."""
    pattern, phrases = _phrases()
    return pattern.sub(lambda found: phrases[found[0]], said)


def folded(text: object, *, normal: bool = False) -> str:
    """Return a text with its contractions written out, what is said in one way for many put so, and without what is
    said to somebody at its end, or before a question. `normal`: it is in the words of the tables.
    """
    said = str(text) if normal else normalise(text)
    put = _CONTRACTED.sub(lambda found: _IN_FULL[found[1]], phrased(said))
    said = put if put == said else phrased(put)  # "would we" is "would i", which is "do i"
    words, (before, openings, *_) = said.split(), question_words()
    while len(words) > 1 and words[-1] in _behind() and not _wants_a_food(words[:-1]):
        words = words[:-1]
    first = next((place for place, word in enumerate(words) if word not in before), 0)
    return " ".join(words[first:] if words[first : first + 1] and words[first] in openings else words)


def _wants_a_food(words: Sequence[str]) -> bool:
    """True if a question ends in a verb that names what is canned behind it: "can i can" goes on, and asks nothing."""
    _, openings, *_ = question_words()
    verbs = (f" {verb}" for verb in str(table(NEARNESS)["to_can"]).split(" | "))
    return words[0] in openings and " ".join(words).endswith(tuple(verbs))


@cache
def _behind() -> frozenset[str]:
    return frozenset(str(table(NEARNESS)["behind"]).split())


@cache
def _phrases() -> tuple[re.Pattern[str], dict[str, str]]:
    return many_for_one("phrases")


def many_for_one(name: str) -> tuple[re.Pattern[str], dict[str, str]]:
    """Return a table of nearness by each of its many phrases, and what finds them in a text."""
    table_of: dict[str, str] = dict(table(NEARNESS)[name])
    phrases = {each: one for one, many in table_of.items() for each in many.split(" | ")}
    longest = sorted(phrases, key=len, reverse=True)
    return re.compile(rf"(?<![\w'])(?:{'|'.join(map(re.escape, longest))})(?![\w'])"), phrases


@cache
def question_words() -> tuple[frozenset[str], ...]:
    """Return what may be said before a question, how one begins, how one ends, which beginnings tell unless somebody or
    something is named next, and by what."""
    names = ("before", "asks", "ends", "tells", "subjects")
    return tuple(frozenset(str(table(NEARNESS)[name]).split()) for name in names)


@cache
def stemmed(word: str) -> str:
    """Cut the ending that a number or a tense gives a word, and put one word for many of the same meaning."""
    return _same().get(_cut(word), _cut(word))


def _cut(word: str) -> str:
    word = word.removesuffix("'s").removesuffix("'")
    for ending, left in _ENDS:
        if word.endswith(ending) and len(word) - len(ending) > 1 and not word.endswith(("ss", "us", "thing")):
            word = word[: -len(ending)] + left
            if ending in ("ing", "ed") and len(word) > 3 and word[-1] == word[-2] and word[-1] not in "lsz":
                word = word[:-1]
            break
    return word.removesuffix("e") if len(word) > 3 else word


@cache
def _same() -> dict[str, str]:
    same: dict[str, str] = dict(table(NEARNESS)["same"])
    return {_cut(word): _cut(one) for one, many in same.items() for word in many.split()}


def stems_and_pairs(words: Sequence[str]) -> frozenset[str]:
    """Return the stems of words and their pairs of stems, beginning and end counted as words."""
    stems = [stemmed(word) for word in words]
    return frozenset((*stems, *(f"{one} {next_one}" for one, next_one in pairwise(("", *stems, "")))))


def features_of(text: object) -> frozenset[str]:
    """Return the stems of a text and its pairs of stems, with one for many of the same meaning."""
    return stems_and_pairs(phrased(normalise(text)).split())
