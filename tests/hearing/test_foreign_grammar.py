"""The ear takes a grammar that isn't ours, of some thirty lines, through the port alone."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from kitchenvoice.hearing import hear_samples, settled
from kitchenvoice.hearing.assembly import recognisers
from kitchenvoice.ports import ListeningGrammar, Samples

sys.path.insert(0, str(Path(__file__).parents[2] / "scripts"))
from bench.orders import SlotGrammar, order, order_grammar

ORDER = "can i get a large triple shot espresso with soy milk and a bit of sugar"


def test_a_grammar_of_some_thirty_lines_is_all_that_the_port_asks_for() -> None:
    members = {name for name in vars(ListeningGrammar) if not name.startswith("_")}
    grammar = order_grammar()
    assert all(hasattr(grammar, name) for name in members)
    code = [line for line in inspect.getsource(SlotGrammar).splitlines() if line.strip() and '"""' not in line]
    assert len(code) <= 32


def test_its_graph_holds_its_sentences_and_no_others() -> None:
    grammar = SlotGrammar(["make me", "brew"], ["", "a"], ["small", "", "large"], ["coffee", "iced coffee"])
    graph = grammar.graph

    def said(state: int) -> list[str]:
        rest = [f"{word} {more}".strip() for word, after in graph.steps[state] for more in said(after)]
        return [*([""] if graph.ends[state] else []), *rest]

    sentences = said(graph.start)
    assert len(sentences) == len(set(sentences)) == 2 * 2 * 3 * 2
    assert all(map(grammar.is_sentence, sentences))
    assert not grammar.is_sentence("brew large small coffee")
    assert grammar.can_continue("brew a")
    assert not grammar.can_continue("brew coffee")


def test_an_order_is_read_by_its_longest_phrases() -> None:
    assert order("make me a medium medium roast iced coffee with some brown sugar") == {
        "size": "medium", "roast": "medium roast", "coffeeDrink": "iced coffee", "sugarAmount": "some brown sugar",
    }  # fmt: skip


@pytest.mark.audio
def test_an_order_is_heard(model_folder: Path, say: Callable[..., Samples]) -> None:
    grammar, ear = order_grammar(), recognisers(model_folder)
    (heard,) = hear_samples(say(ORDER), ear.first, grammar, cleaned=ear.cleaned, again=ear.again, answers=ear.answers)
    assert settled(heard, lambda text: str(order(text)) if grammar.is_sentence(text) else None) == str(order(ORDER))
