"""The word graph has exactly the sentences of the network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.grammar import QUESTIONS, STAGES, GrammarBook, grammar_folder
from kitchenvoice.grammar.network import Node, branch, chain, lexicon, optional, phrase
from kitchenvoice.grammar.word_graph import PromisedGraph, word_graph
from kitchenvoice.ports import WordGraph
from kitchenvoice.testing.fake_ear import SentenceList

WORDS = st.sampled_from(["steam", "is", "on", "the", "one"])
SENTENCES = st.lists(st.lists(WORDS, min_size=1, max_size=4).map(" ".join), min_size=1, max_size=12, unique=True)


def sentences(graph: WordGraph, state: int | None = None) -> Iterator[str]:
    """Yield every sentence of the graph."""
    at = graph.start if state is None else state
    if graph.ends[at]:
        yield ""
    for word, after in graph.steps[at]:
        for rest in sentences(graph, after):
            yield f"{word} {rest}".strip()


@pytest.mark.parametrize(
    ("node", "said"),
    [
        (phrase("steam is steady"), {"steam is steady"}),
        (chain((optional(phrase("the")), phrase("jar"))), {"jar", "the jar"}),
        (chain((lexicon(["green beans", "green"]), optional(phrase("please")))),
         {"green", "green beans", "green please", "green beans please"}),
        (branch((phrase("weight on"), phrase("weight off"), phrase("on"))), {"weight on", "weight off", "on"}),
    ],
    ids=["phrase", "optional", "list", "branch"],
)  # fmt: skip
def test_what_can_be_said_is_in_the_graph(node: Node, said: set[str]) -> None:
    assert sorted(sentences(word_graph(node))) == sorted(said)


@given(SENTENCES)
def test_a_list_of_sentences_comes_out_as_it_went_in(said: list[str]) -> None:
    graph = word_graph(branch(map(phrase, said)))
    assert sorted(sentences(graph)) == sorted(said)
    assert sorted(sentences(SentenceList(said).graph)) == sorted(said)


@given(SENTENCES)
def test_no_two_states_say_the_same(said: list[str]) -> None:
    graph = word_graph(branch(map(phrase, said)))
    rests = [tuple(sorted(sentences(graph, state))) for state in range(len(graph.steps))]
    assert len(set(rests)) == len(rests)


@given(SENTENCES)
def test_pairs_are_what_follows_what(said: list[str]) -> None:
    pairs = {pair for text in said for pair in zip(text.split(), text.split()[1:], strict=False)}
    assert word_graph(branch(map(phrase, said))).pairs == pairs


def test_a_walk_through_the_kitchens_graph_is_a_sentence_somewhere(plain: GrammarBook) -> None:
    graph = plain.everything()
    somewhere = [plain.grammar(STAGES, attention="optional", question=question) for question in QUESTIONS]
    random = Random(5)
    for _ in range(400):
        at, words = random.choice([graph.start, graph.seldom]), []
        while not (graph.ends[at] and (not graph.steps[at] or random.random() < 0.3)):
            word, at = random.choice(graph.steps[at])
            words.append(word)
        text = " ".join(words)
        assert text == "" or any(_walks(grammar, text) for grammar in somewhere), text


def _walks(grammar: object, text: str) -> bool:
    """True for a number out of range too: it has no meaning but matches."""
    from kitchenvoice.grammar.matching import Walk

    return bool(Walk(grammar._root, text.split()).readings)  # type: ignore[attr-defined]


@pytest.mark.parametrize("stage", STAGES)
def test_every_phrase_of_a_stage_is_in_the_graph_with_and_without_the_wake_phrase(
    plain: GrammarBook, stage: str
) -> None:
    graph = plain.everything()
    for text in plain.grammar((stage,), attention="optional").phrases:
        assert _follows(graph, text), text


def _follows(graph: WordGraph, text: str) -> bool:
    return _leads(graph, graph.start, text) or (graph.seldom is not None and _leads(graph, graph.seldom, text))


def _leads(graph: WordGraph, at: int, text: str) -> bool:
    steps = graph.steps
    for word in text.split():
        following = next((after for step, after in steps[at] if step == word), None)
        if following is None:
            return False
        at = following
    return graph.ends[at]


def test_the_graph_is_made_once_and_has_its_own_wake_phrase(plain: GrammarBook) -> None:
    assert plain.everything() is plain.grammar(("hold",)).graph is plain.grammar(("idle",), question="count").graph
    assert _follows(plain.everything("pantry please"), "pantry please steam is steady")
    assert not _follows(plain.everything("pantry please"), "kitchen voice steam is steady")


def test_commands_by_name_and_bare_answers_are_usual_the_rest_is_seldom_said(plain: GrammarBook) -> None:
    graph = plain.everything()
    assert graph.seldom is not None
    for text in ("kitchen voice steam is steady", "twelve", "yes"):
        assert _leads(graph, graph.start, text), text
    for text in ("lid is locked", "kitchen voice twelve"):
        assert not _leads(graph, graph.start, text), text
        assert _leads(graph, graph.seldom, text), text


def test_a_graph_is_not_made_before_somebody_looks_into_it() -> None:
    made = []

    def make() -> WordGraph:
        made.append(1)
        return word_graph(phrase("steam is steady"))

    graph = PromisedGraph(make, "steam")
    assert (graph.fingerprint, made) == ("steam", [])
    assert graph.words == {"steam", "is", "steady"}
    assert list(sentences(graph)) == ["steam is steady"]
    assert (graph.seldom, made) == (None, [1])


def test_a_fingerprint_tells_all_that_a_graph_is_made_of(tmp_path: Path) -> None:
    def named(phrase: str = "kitchen voice", **names: dict[str, Any]) -> str:
        return GrammarBook.load(**names).everything(phrase).fingerprint

    shutil.copytree(grammar_folder(), tmp_path / "grammars")
    with (tmp_path / "grammars" / "idle.jsgf").open("a") as file:
        file.write("// changed\n")
    changed = GrammarBook.load(tmp_path / "grammars").everything("kitchen voice").fingerprint
    others = {named("pantry please"), named(foods={"pears": "pears"}), named(canners={"the big one": 1}), changed}
    usual = named()
    assert usual == named() != ""
    assert len(others | {usual, named(canners={"the old one": 1})}) == 6
