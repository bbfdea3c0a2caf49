"""Parsing takes linear time, whatever the grammar and the text."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.grammar import QUESTIONS, STAGES, GrammarBook, normalise, written
from kitchenvoice.grammar.jsgf import Tag
from kitchenvoice.grammar.matching import Walk
from kitchenvoice.grammar.network import Arc, Branch, Chain, Lexicon, Marked, Node, branch, chain, lexicon, marked
from kitchenvoice.grammar.numbers import NotANumber, mixed, whole
from kitchenvoice.grammar.wording import Wordings
from kitchenvoice.language import load_language
from kitchenvoice.rehearsal.scenario import plain_words

WORDS = st.sampled_from(["a", "b"])
NUMBERS = [
    "zero",
    "oh",
    "one",
    "two",
    "ten",
    "twenty",
    "thirty",
    "one",
    "hundred",
    "thousand",
    "and",
    "a",
    "half",
    "point",
    "quarter",
]


class Counted(Walk):
    """A match that counts its steps, those for what it reads and those for whether it goes on."""

    def __init__(self, root: Node, words: Sequence[str]) -> None:
        super().__init__(root, words)
        self.steps = 0
        assert self.goes_on in (True, False)
        assert isinstance(self.readings, list)

    def _walk_whole(self, node: Node, at: int) -> list[tuple[object, ...]]:  # type: ignore[override]
        self.steps += 1
        return super()._walk_whole(node, at)  # type: ignore[return-value]

    def _walk(self, node: Node, at: int) -> list[tuple[int, tuple[object, ...]]]:  # type: ignore[override]
        self.steps += 1
        return super()._walk(node, at)  # type: ignore[return-value]


def _wider(inner: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    several = st.lists(inner, min_size=1, max_size=4)
    tags = st.builds(Tag, st.just("set"), st.sampled_from("xyz"), st.integers(0, 2))
    return st.one_of(
        st.builds(chain, several),
        st.builds(lambda parts: chain(parts, polite=True), several),
        st.builds(branch, several),
        st.builds(lambda part: branch((part, chain(()))), inner),
        st.builds(marked, inner, tags),
        st.builds(lambda part, times: chain([part] * times), inner, st.integers(2, 9)),
    )


NETWORKS = st.recursive(
    st.one_of(
        st.builds(Arc, WORDS), st.builds(lexicon, st.lists(st.sampled_from(["a", "a a", "b a", "b"]), min_size=1))
    ),
    _wider,
    max_leaves=25,
)


def longest(node: Node) -> int:
    """Return the length of the longest sentence in words."""
    if isinstance(node, Arc):
        return 1
    if isinstance(node, Lexicon):
        return max(map(len, node.phrases), default=0)
    if isinstance(node, Marked):
        return longest(node.part)
    if isinstance(node, Branch):
        return max(map(longest, node.parts), default=0)
    return sum(map(longest, node.parts))


def nodes(node: Node) -> set[int]:
    """Return all nodes of a network, each once."""
    inner = node.parts if isinstance(node, Chain | Branch) else (node.part,) if isinstance(node, Marked) else ()
    return {id(node)}.union(*map(nodes, inner))


@settings(max_examples=300, deadline=None)
@given(NETWORKS, st.lists(WORDS, min_size=1, max_size=12))
def test_a_text_is_looked_at_no_further_than_the_longest_sentence_and_each_node_once_a_place(
    network: Node, words: list[str]
) -> None:
    most = longest(network)
    text = words * (20 + most)
    walk = Counted(network, text)
    assert walk.steps <= 2 * len(nodes(network)) * (most + 1)
    assert walk.steps <= Counted(network, text[: most + 1]).steps
    assert walk.readings == []


@pytest.mark.parametrize("length", [12, 40, 400])
def test_a_text_that_can_be_read_in_too_many_ways_has_no_reading_at_all(length: int) -> None:
    either = branch([marked(Arc("a"), Tag("set", "x", value)) for value in range(2)])
    walk = Counted(chain([either] * length), ["a"] * length)
    assert walk.readings == []
    assert walk.steps <= 10 * length
    assert len(Walk(chain([either] * 9), ["a"] * 9).readings) == 2**9


@cache
def sentences(plain: GrammarBook, stage: str, question: str | None = None) -> tuple[str, ...]:
    """Return sentences of a stage, or the answers to a question: made once, which takes longer than the test."""
    grammar = plain.grammar([stage], attention="optional", question=question)
    return grammar.phrases if grammar.answers is None else grammar.answers.phrases


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_long_text_costs_the_kitchens_own_grammars_no_more_than_a_short_one(
    plain: GrammarBook, data: st.DataObject
) -> None:
    stages = data.draw(st.sets(st.sampled_from(sorted(STAGES)), min_size=1))
    question = data.draw(st.sampled_from([None, *QUESTIONS]))
    grammar = plain.grammar(stages, attention="optional", question=question)
    known = st.sampled_from(sorted(grammar.words))
    live = sentences(plain, data.draw(st.sampled_from(sorted(stages))))
    answers = sentences(plain, "hold", question) if question else ()
    begun = data.draw(st.sampled_from(live + answers)).split()
    text = (begun + data.draw(st.lists(st.one_of(known, st.sampled_from(NUMBERS)), min_size=1, max_size=8))) * 20
    short, long = Counted(grammar._root, text), Counted(grammar._root, text * 20)
    assert short.steps == long.steps
    assert long.readings == []


@pytest.mark.parametrize("word", ["and", "but", "the", "i", "twenty one", "heat is off and the"])
def test_a_row_of_joints_is_not_parted_and_a_long_text_not_searched_for_a_food(
    plain: GrammarBook, word: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each part would be looked for in all wordings: sixteen seconds for a line of five hundred bytes."""
    wordings = plain._wordings
    assert list(wordings.halves("steam is steady and the weight is on but the dial is low"))
    for joined in (True, False):
        assert list(wordings.halves(f"steam is steady {f'{word} ' * 20}is on", joined=joined)) == []
    monkeypatch.setattr(Wordings, "_trimmed", None)
    assert wordings.food_in(f"can i can {word} " * 40) is None


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(NUMBERS), min_size=1, max_size=60))
def test_any_row_of_number_words_is_a_number_or_none(words: list[str]) -> None:
    for read in (whole, mixed):
        for times in (1, 300):
            with suppress(NotANumber):
                assert read(tuple(words * times)) >= 0


TEXTS = (
    "twenty one ",
    "nine hundred ",
    "9",
    "9,999 ",
    "9-9/8 ",
    "1 ",
    "two canner ",
    "- -1 ",
    "a.b.",
    ". . ",
    "quart quarts ",
    "'[]",
)


@pytest.mark.parametrize("read", [normalise, written, load_language("en").in_words, plain_words])
@pytest.mark.parametrize("piece", TEXTS)
def test_the_time_of_reading_grows_as_the_text_does(read: Callable[[str], object], piece: str) -> None:
    """Eight times the text takes about eight times as long, twenty at most; if quadratic, sixty-four times."""

    def seconds(letters: int) -> float:
        taken = []
        for attempt in range(3):
            text = f"{attempt} " + (piece * letters)[:letters]
            begun = time.process_time()
            try:
                read(text)
            except ValueError:
                assert read is not normalise
            taken.append(time.process_time() - begun)
        return min(taken)

    short, long = seconds(10_000), seconds(80_000)
    assert long < max(0.02, 20 * short), (short, long)


def test_a_canner_after_any_number_is_several() -> None:
    for said, shown in (
        ("two canner", "two canners"),
        ("one canner", "one canner"),
        ("twenty one canner", "twenty one canners"),
        ("i have three canner now", "i have three canners now"),
        ("canner two canner", "canner two canners"),
    ):
        assert written(said) == shown
