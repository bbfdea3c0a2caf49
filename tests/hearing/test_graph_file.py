"""The grammar FST: it reads back, with sentences and filler at their costs."""

from __future__ import annotations

import struct
from math import inf
from pathlib import Path

import pytest

from kitchenvoice.errors import BadGrammar
from kitchenvoice.hearing.recognise.graph_file import UNKNOWN, SymbolTable, write_graph
from kitchenvoice.hearing.thresholds import COMMON_COST, PAIR_COST, SELDOM_COST, WORD_COST
from kitchenvoice.ports import WordGraph
from kitchenvoice.testing.fake_ear import SentenceList

VOCABULARY = {"<eps>": 0, "[unk]": 9, "is": 3, "it": 7, "rocking": 1, "steady": 5, "steam": 2, "weight": 4}
GRAPH = SentenceList(["steam is steady", "weight is rocking", "steam"]).graph
Arcs = dict[int, list[tuple[int, float, int]]]


def _text(text: str) -> bytes:
    return struct.pack("<i", len(text.encode())) + text.encode()


def a_model_graph(folder: Path, words: dict[str, int] = VOCABULARY) -> Path:
    """Write the beginning of a model's graph file: header and symbol table, then something else."""
    table = struct.pack("<i", 2125658996) + _text("words.txt") + struct.pack("<qq", len(words), len(words))
    table += b"".join(_text(word) + struct.pack("<q", number) for word, number in words.items())
    head = struct.pack("<i", 2125659606) + _text("ngram") + _text("standard")
    file = folder / "Gr.fst"
    file.write_bytes(head + struct.pack("<iiQqqq", 4, 3, 0, -1, 1, 0) + table + b"\x01\x02\x03" * 50)
    return file


def read_back(file: Path) -> tuple[int, Arcs, dict[int, float]]:
    """Return start, arcs and final costs, as any reader of the format would."""
    data = file.read_bytes()
    at = 4 + len(_text("vector")) + len(_text("standard"))
    _, flags, _, start, count, _ = struct.unpack_from("<iiQqqq", data, at)
    assert flags == 2
    at += struct.calcsize("<iiQqqq") + 4 + len(_text("words.txt"))
    _, words = struct.unpack_from("<qq", data, at)
    at += 16
    for _ in range(words):
        at += 4 + struct.unpack_from("<i", data, at)[0] + 8
    arcs: Arcs = {}
    ends: dict[int, float] = {}
    for state in range(count):
        ends[state], size = struct.unpack_from("<fq", data, at)
        at += 12
        arcs[state] = []
        for _ in range(size):
            one, other, cost, after = struct.unpack_from("<iifi", data, at)
            assert one == other
            arcs[state].append((one, cost, after))
            at += 16
    assert at == len(data)
    return start, arcs, ends


def cheapest(file: Path, text: str) -> float:
    """Return the least cost of `text`; infinite if it isn't accepted."""
    start, arcs, ends = read_back(file)
    costs = {start: 0.0}
    for word in text.split():
        reached: dict[int, float] = {}
        for state, cost in _with_free_steps(costs, arcs).items():
            for number, more, after in arcs[state]:
                if number == VOCABULARY[word]:
                    reached[after] = min(reached.get(after, inf), cost + more)
        costs = reached
    return min((cost + ends[state] for state, cost in costs.items()), default=inf)


def _with_free_steps(costs: dict[int, float], arcs: Arcs) -> dict[int, float]:
    found = dict(costs)
    for state, cost in costs.items():
        for number, more, after in arcs[state]:
            if number == 0:
                found[after] = min(found.get(after, inf), cost + more)
    return found


@pytest.fixture
def written(tmp_path: Path) -> Path:
    file = tmp_path / "ours.fst"
    write_graph(file, GRAPH, SymbolTable(a_model_graph(tmp_path)))
    return file


@pytest.mark.parametrize("text", ["steam", "steam is steady", "weight is rocking"])
def test_a_sentence_costs_nothing(written: Path, text: str) -> None:
    assert cheapest(written, text) == 0.0


@pytest.mark.parametrize(
    ("text", "cost"),
    [
        ("steam is rocking", WORD_COST + 2 * PAIR_COST),
        ("is", WORD_COST),
        ("steady steam", 2 * WORD_COST),
        ("[unk]", WORD_COST),
        ("weight [unk] is rocking", 3 * WORD_COST + PAIR_COST),
    ],
)
def test_what_is_no_sentence_costs_by_the_word(written: Path, text: str, cost: float) -> None:
    assert cheapest(written, text) == pytest.approx(cost)


def test_what_is_seldom_said_costs_something_but_less_than_the_filler(tmp_path: Path) -> None:
    both = SentenceList(["steam is steady", "weight is rocking"]).graph
    after = dict(both.steps[both.start])
    usual = (("steam", after["steam"]),)
    graph = WordGraph(len(both.steps), (*both.steps, usual), (*both.ends, False), both.start)
    file = tmp_path / "ours.fst"
    write_graph(file, graph, SymbolTable(a_model_graph(tmp_path)))
    assert cheapest(file, "steam is steady") == 0.0
    assert cheapest(file, "weight is rocking") == SELDOM_COST < WORD_COST


@pytest.fixture
def by_name(tmp_path: Path) -> Path:
    """With "steam" as wake phrase, and "it" and a word that the model lacks as words of everyday talk."""
    plain = SentenceList(["steam is steady", "steam"]).graph
    called = dict(plain.steps[plain.start])["steam"]
    graph = WordGraph(plain.start, plain.steps, plain.ends, called=called, common=("it", "is", "zorbled"))
    file = tmp_path / "ours.fst"
    write_graph(file, graph, SymbolTable(a_model_graph(tmp_path)))
    return file


@pytest.mark.parametrize(
    ("text", "cost"),
    [
        ("it", COMMON_COST),
        ("it is it", 2 * COMMON_COST + WORD_COST),
        ("steam is steady", 0.0),
        ("steam it", COMMON_COST),
        ("steam it is", COMMON_COST + WORD_COST),
        ("steam [unk]", WORD_COST),
        ("is it steady", 2 * WORD_COST + COMMON_COST),
    ],
)
def test_everyday_talk_costs_by_the_word_and_may_follow_the_wake_phrase(by_name: Path, text: str, cost: float) -> None:
    assert cheapest(by_name, text) == pytest.approx(cost)


def test_a_word_of_the_model_that_is_in_no_sentence_can_not_be_heard(written: Path) -> None:
    assert cheapest(written, "it") == inf


def test_the_arcs_of_a_state_are_in_order_as_the_engine_needs_them(written: Path) -> None:
    _, arcs, _ = read_back(written)
    assert all(each == sorted(each) for each in arcs.values())


def test_words_are_found_whatever_their_order_in_the_table(tmp_path: Path) -> None:
    mixed = dict(sorted(VOCABULARY.items(), key=lambda entry: entry[1]))
    table = SymbolTable(a_model_graph(tmp_path, mixed))
    assert table.numbers({"steam", "weight", UNKNOWN, "zorbled"}) == {"steam": 2, "weight": 4, UNKNOWN: 9}


def test_a_word_that_the_model_lacks_is_named(tmp_path: Path) -> None:
    graph = SentenceList(["steam is zorbled"]).graph
    with pytest.raises(BadGrammar, match='"zorbled"'):
        write_graph(tmp_path / "ours.fst", graph, SymbolTable(a_model_graph(tmp_path)))


@pytest.mark.parametrize("kept", [0, 3, 20, 60, 100])
def test_a_damaged_file_of_the_model_is_no_table(tmp_path: Path, kept: int) -> None:
    file = a_model_graph(tmp_path)
    file.write_bytes(file.read_bytes()[:kept])
    with pytest.raises(ValueError, match=r"cut short|format"):
        SymbolTable(file)
