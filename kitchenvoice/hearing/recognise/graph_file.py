"""The engine's grammar FST, compiled from our own sentences instead of the model's language model.

The engine composes its lexicon with a grammar FST. The model brings an n-gram of general English; a phrase list makes
the engine build a bigram. Neither knows whole sentences. This module writes the file itself:

- every sentence of the word graph, from start to end, at no cost, or at `SELDOM_COST` if it is seldom said;
- beside it the filler: any word of these sentences (`WORD_COST`), a word after one that it follows in some sentence
  (`PAIR_COST`), any other word of everyday talk (`COMMON_COST`), and `[unk]`. It absorbs out-of-grammar speech, so that
  talk isn't forced into the nearest command. It begins at the start of a sentence, and after the wake phrase: talk can
  follow it as easily as a command.

Format: OpenFst's binary `vector` type over the tropical semiring (openfst.org, "FST header", version 2), with the
symbol table copied from the model, whose word numbers the engine's other graph relies on.
"""

from __future__ import annotations

import struct
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from math import inf
from pathlib import Path

from kitchenvoice.errors import BadGrammar
from kitchenvoice.hearing.thresholds import COMMON_COST, PAIR_COST, SELDOM_COST, WORD_COST
from kitchenvoice.ports import WordGraph

__all__ = ["UNKNOWN", "SymbolTable", "write_graph"]

UNKNOWN = "[unk]"
_MAGIC, _VERSION, _HAS_OUTPUT_SYMBOLS = 2125659606, 2, 2
_PROPERTIES = 0x1 | 0x2 | 0x10000 | 0x10000000 | 0x40000000  # expanded, mutable, acceptor, arcs sorted both ways
_Arc = tuple[int, float, int]  # word number, cost, next state
_State = tuple[float, list[_Arc]]  # final cost, arcs


class SymbolTable:
    """The model's symbol table, read from its own graph file."""

    def __init__(self, graph_file: Path) -> None:
        """Read the table. Raises: OSError, ValueError if the file isn't an FST with a symbol table."""
        data = graph_file.read_bytes()
        try:
            start = _after_header(data)
            self.raw = data[start : _after_table(data, start)]
        except struct.error as exc:
            raise ValueError(f"{graph_file.name} is cut short") from exc

    def numbers(self, words: Collection[str]) -> dict[str, int]:
        """Return the number of each word; words that the model lacks are left out.

        The table is sorted by the words' bytes, so one pass finds them all.
        """
        found: dict[str, int] = {}
        at = 0
        for word in sorted(words, key=lambda word: word.encode()):
            entry = struct.pack("<i", len(word.encode())) + word.encode()
            place = self.raw.find(entry, at)
            if place < 0:
                place = self.raw.find(entry)
            if place >= 0:
                at = place + len(entry)
                found[word] = struct.unpack_from("<q", self.raw, at)[0]
        return found


def write_graph(file: Path, graph: WordGraph, symbols: SymbolTable) -> None:
    """Write `graph` and its filler. Raises: BadGrammar if the model lacks a word or there is no sentence."""
    words = graph.words
    if not words:
        raise BadGrammar("There is nothing to listen for. Give at least one phrase.")
    numbers = symbols.numbers({*words, *graph.common, UNKNOWN})
    unknown = [f'"{word}"' for word in sorted(words - numbers.keys())]
    if unknown:
        raise BadGrammar(
            f"The speech model doesn't know {', '.join(unknown[:10])}. Put another spelling into the grammar."
        )
    states = [*_sentences(graph, numbers), *_filler(graph, numbers, len(graph.steps))]
    states.append(_start(graph, states))
    file.write_bytes(b"".join(_packed(states, symbols.raw)))


def _start(graph: WordGraph, states: Sequence[_State]) -> _State:
    """Make the start state: a sentence, a seldom one, or the filler."""
    ends, usual = states[graph.start]
    seldom = [] if graph.seldom is None else states[graph.seldom][1]
    dearer = [(number, SELDOM_COST, after) for number, _, after in seldom if (number, 0.0, after) not in usual]
    return ends, [*usual, *dearer, *states[len(graph.steps)][1]]


def _sentences(graph: WordGraph, numbers: dict[str, int]) -> Iterator[_State]:
    """Yield the states of the sentences; after the wake phrase, the filler may follow at no cost."""
    for state, (steps, ends) in enumerate(zip(graph.steps, graph.ends, strict=True)):
        talk = [(0, 0.0, len(graph.steps))] if state == graph.called else []
        yield (0.0 if ends else inf), [*talk, *((numbers[word], 0.0, after) for word, after in steps)]


def _filler(graph: WordGraph, numbers: dict[str, int], first: int) -> Iterator[_State]:
    """Yield the filler's start state, from which any word is possible, then one state per word."""
    words = sorted(graph.words)
    state_of = {word: first + 1 + place for place, word in enumerate(words)}
    followers = defaultdict(list)
    for word, after in sorted(graph.pairs):
        followers[word].append((numbers[after], PAIR_COST, state_of[after]))
    others = [numbers[word] for word in graph.common if word in numbers and word not in state_of]
    yield (
        0.0,
        [
            *((numbers[word], WORD_COST, state_of[word]) for word in words),
            *((number, COMMON_COST, first) for number in others),
            (numbers[UNKNOWN], WORD_COST, first),
        ],
    )
    for word in words:
        yield 0.0, [(0, 0.0, first), *followers[word]]


def _packed(states: Sequence[_State], table: bytes) -> Iterator[bytes]:
    """Yield the file in pieces; the last state is the start."""
    yield struct.pack("<i", _MAGIC) + _text("vector") + _text("standard")
    yield struct.pack("<iiQqqq", _VERSION, _HAS_OUTPUT_SYMBOLS, _PROPERTIES, len(states) - 1, len(states), 0)
    yield table
    for ends, arcs in states:
        yield struct.pack("<fq", ends, len(arcs))
        for number, cost, after in sorted(arcs):
            yield struct.pack("<iifi", number, number, cost, after)


def _text(text: str) -> bytes:
    return struct.pack("<i", len(text)) + text.encode()


def _after_header(data: bytes) -> int:
    (magic,) = struct.unpack_from("<i", data, 0)
    if magic != _MAGIC:
        raise ValueError("not a graph of the engine's format")
    at = _after_text(data, _after_text(data, 4))
    _, flags = struct.unpack_from("<ii", data, at)
    if not flags & 3:
        raise ValueError("the graph has no table of words")
    return at + struct.calcsize("<iiQqqq")


def _after_table(data: bytes, at: int) -> int:
    at = _after_text(data, at + 4)
    _, count = struct.unpack_from("<qq", data, at)
    at += 16
    for _ in range(count):
        at += 12 + int.from_bytes(data[at : at + 4], "little")
    if at > len(data):
        raise struct.error("the table of words goes on")
    return at


def _after_text(data: bytes, at: int) -> int:
    (length,) = struct.unpack_from("<i", data, at)
    return at + 4 + int(length)
