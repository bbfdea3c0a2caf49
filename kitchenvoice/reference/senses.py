"""Likeliest meaning of a sentence among all questions, reports and requests of a canning day, by words and stage.

A linear model: each stem and each pair of stems has a weight for each meaning, in tenths of the logarithm of the odds,
learnt from labelled sentences by scripts/learn_senses; so has each situation, as it was judged. A meaning is a family
of the knowledge base, a command, or a kind of report.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import exp, sqrt

from .knowledge import families
from .library import raw
from .nearness import named, nearest
from .weighing import features

__all__ = ["RATHER", "SENSES", "SITUATIONS", "Sense", "senses", "speaks_against"]

SENSES = "senses"
"""The table of weights."""
RATHER = 0.6
"""Least likelihood of what is meant rather than what a text is near to."""
_HARDLY, _ALL = 0.005, 10_000
SITUATIONS = {
    "idle": ("idle", "plan", "gear", "start", "closed"),
    "pack": ("pack", "canner"),
    "vent": ("canner", "vent", "come_up"),
    "hold": ("hold",),
    "cool": ("cool",),
    "count": ("rest", "count", "keep", "closed"),
}
"""What is told apart of a day, each by the stages of a load."""
_TENTHS = 0.1


@dataclass(frozen=True, slots=True)
class Sense:
    """A meaning by its name, and from 0 to 1 how likely it is."""

    name: str
    likelihood: float


def senses(text: str, fits: Callable[[str], bool], stages: Iterable[str] = (), most: int = 3) -> tuple[Sense, ...]:
    """Return up to ``most`` meanings of a text, of those that fit, the likeliest first; none without a known word.

    Families of one answer are as likely as all of them together: it is right whichever is meant.

    `stages` are those of the loads that may be meant, "idle" without one; without any the situation counts for nothing.
    """
    scores = {name: score for name, score in _scores(text, frozenset(stages)) if fits(name)}
    top = max(scores.values(), default=0.0)
    odds = {name: exp(score - top) for name, score in scores.items()}
    whole, said = sum(odds.values()), defaultdict[str, float](float)
    for name, each in odds.items():
        said[_answered(name)] += each / whole
    likeliest = sorted(odds, key=lambda name: (-said[_answered(name)], -odds[name], name))
    return tuple(Sense(name, said[_answered(name)]) for name in likeliest[:most])


def _answered(name: str) -> str:
    """Return the answer of a family that has one of its own; else the name, of what is answered by the record."""
    known = families().get(name)
    return name if known is None or known.record else str(known.answer)


def speaks_against(text: str, name: str, stages: Iterable[str]) -> bool:
    """True if a text more likely means something other than this question or command, or hardly this."""
    near, likely = nearest(text, 1), senses(text, named().__contains__, stages, _ALL)
    if not likely or likely[0].name == name:
        return False
    own = next((each.likelihood for each in likely if each.name == name), 0.0)
    rather = likely[0].likelihood >= RATHER or (bool(near) and near[0].asked.family == likely[0].name)
    return rather or own < _HARDLY


@lru_cache(maxsize=16)  # one turn wants it more than once
def _scores(text: str, stages: frozenset[str]) -> tuple[tuple[str, float], ...]:
    """Return the score of each meaning: rare features weigh more; scores don't grow with length."""
    table = raw(SENSES)
    known = [table["weights"][each] for each in features(text) if each in table["weights"]]
    if not known:
        return ()
    length = sqrt(sum(rarity**2 for rarity, *_ in known))
    scores = list(table["first"])
    for rarity, *pairs in known:
        for place, weight in zip(pairs[::2], pairs[1::2], strict=True):
            scores[place] += weight * rarity / length
    situations = [table["situations"][each] for each, its in SITUATIONS.items() if stages.intersection(its)]
    likeliest = [max(each) for each in zip(*situations, strict=True)] or [0] * len(scores)
    summed = (_TENTHS * (score + more) for score, more in zip(scores, likeliest, strict=True))
    return tuple(zip(table["names"], summed, strict=True))
