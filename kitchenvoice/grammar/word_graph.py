"""The word graph: the minimal deterministic automaton of the word network.

The network has no recursion, so the graph has no cycle. A position in the network is the rest of a sentence: a node and
its continuation. A state of the graph is the set of positions that the words so far can have led to; states with the
same continuations are merged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property, reduce
from typing import TypeAlias

from kitchenvoice.grammar.network import Arc, Branch, Chain, Letter, Lexicon, Marked, Node
from kitchenvoice.ports import WordGraph

__all__ = ["PromisedGraph", "word_graph"]

_Position: TypeAlias = "tuple[Node | Letter, _Position] | None"
"""The rest of a sentence: a node, then its continuation; `None` at the end."""
_State = tuple[bool, tuple[tuple[str, int], ...]]
"""Whether a sentence may end here, and the next state for each word, in alphabetical order."""


class PromisedGraph(WordGraph):
    """A word graph built on first access (0.2 s, and often unneeded)."""

    def __init__(self, make: Callable[[], WordGraph], fingerprint: str) -> None:
        """Defer `make`."""
        self.__dict__.update(_make=make, fingerprint=fingerprint)

    @cached_property
    def _made(self) -> WordGraph:
        graph: WordGraph = self.__dict__["_make"]()
        return graph

    @property
    def start(self) -> int:
        """Start state."""
        return self._made.start

    @property
    def steps(self) -> tuple[tuple[tuple[str, int], ...], ...]:
        """Each state's words with the next state."""
        return self._made.steps

    @property
    def ends(self) -> tuple[bool, ...]:
        """Final states."""
        return self._made.ends

    @property
    def seldom(self) -> int | None:
        """Start state of the sentences that are seldom said."""
        return self._made.seldom

    @property
    def called(self) -> int | None:
        """State after the wake phrase."""
        return self._made.called

    @property
    def common(self) -> tuple[str, ...]:
        """Words of everyday talk."""
        return self._made.common


def word_graph(root: Node, seldom: Node | None = None, called: str = "", common: tuple[str, ...] = ()) -> WordGraph:
    """Return the graph of every sentence of `root`, and of `seldom` as those that are seldom said.

    `called` is the wake phrase at the start of some sentences of `root`, `common` words of everyday talk.
    """
    states: dict[_State, int] = {}
    known: dict[frozenset[_Position], int] = {}
    start = _build(_waiting((root, None)), states, known)
    other = None if seldom is None else _build(_waiting((seldom, None)), states, known)
    ends, steps = tuple(ends for ends, _ in states), tuple(steps for _, steps in states)
    after = reduce(lambda state, word: dict(steps[state])[word], called.split(), start) if called else None
    return WordGraph(start, steps, ends, other, after, common)


def _build(here: frozenset[_Position], states: dict[_State, int], known: dict[frozenset[_Position], int]) -> int:
    """Return the number of the state for these positions; states are numbered from the ends backwards."""
    if here not in known:
        moves: dict[str, set[_Position]] = {}
        for position in here:
            if position is not None:
                _spell(position[0], position[1], moves)
        steps = tuple((word, _build(_waiting(*after), states, known)) for word, after in sorted(moves.items()))
        known[here] = states.setdefault((None in here, steps), len(states))
    return known[here]


def _spell(node: Node | Letter, rest: _Position, moves: dict[str, set[_Position]]) -> None:
    """Add the positions after each next word to `moves`."""
    if isinstance(node, Arc):
        moves.setdefault(node.text, set()).add(rest)
    elif isinstance(node, Letter):
        for word, letter in node.next.items():
            after = moves.setdefault(word, set())
            if letter.ends:
                after.add(rest)
            if letter.next:
                after.add((letter, rest))


def _waiting(*positions: _Position) -> frozenset[_Position]:
    """Expand the positions to those that wait for a word, or are at the end."""
    found: set[_Position] = set()
    seen: set[_Position] = set()
    left = list(positions)
    while left:
        position = left.pop()
        if position in seen:
            continue
        seen.add(position)
        if position is None or isinstance(position[0], Arc | Letter):
            found.add(position)
        else:
            left += _opened(position[0], position[1])
    return frozenset(found)


def _opened(node: Node | Letter, rest: _Position) -> Iterable[_Position]:
    if isinstance(node, Marked):
        return [(node.part, rest)]
    if isinstance(node, Branch):
        return [(part, rest) for part in node.parts]
    if isinstance(node, Lexicon):
        return [(node.root, rest)]
    assert isinstance(node, Chain)
    for part in reversed(node.parts):
        rest = (part, rest)
    return [rest]
