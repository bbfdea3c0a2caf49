"""From the word network to a word graph: the smallest deterministic graph of the same sentences.

The network has no recursion, so the graph has no cycle. A position in the network is what is left to be said: a node
and what follows it. A state of the graph is the set of positions that the words so far can have led to; states from
which the same can be said are one state in the end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property, reduce
from typing import TypeAlias

from kitchenvoice.grammar.network import Arc, Branch, Chain, Letter, Lexicon, Marked, Node
from kitchenvoice.ports import WordGraph

__all__ = ["PromisedGraph", "word_graph"]

_Position: TypeAlias = "tuple[Node | Letter, _Position] | None"
"""What is left to be said: a node, then the rest; `None` at the end of the sentence."""
_State = tuple[bool, tuple[tuple[str, int], ...]]
"""Whether a sentence may end here, and where each word leads, in the order of the alphabet."""


class PromisedGraph(WordGraph):
    """A word graph that is made when it is first looked into, which takes 0.2 s and often isn't needed."""

    def __init__(self, make: Callable[[], WordGraph], fingerprint: str) -> None:
        """Promise what `make` will return."""
        self.__dict__.update(_make=make, fingerprint=fingerprint)

    @cached_property
    def _made(self) -> WordGraph:
        graph: WordGraph = self.__dict__["_make"]()
        return graph

    @property
    def start(self) -> int:
        """Where a sentence begins."""
        return self._made.start

    @property
    def steps(self) -> tuple[tuple[tuple[str, int], ...], ...]:
        """Each state's words with the state that they lead to."""
        return self._made.steps

    @property
    def ends(self) -> tuple[bool, ...]:
        """Where a sentence may end."""
        return self._made.ends

    @property
    def seldom(self) -> int | None:
        """Where one begins that is seldom said."""
        return self._made.seldom

    @property
    def called(self) -> int | None:
        """Where the wake phrase has been said."""
        return self._made.called

    @property
    def common(self) -> tuple[str, ...]:
        """Words of everyday talk."""
        return self._made.common


def word_graph(root: Node, seldom: Node | None = None, called: str = "", common: tuple[str, ...] = ()) -> WordGraph:
    """Return the graph of every sentence of `root`, and of `seldom` as what is seldom said.

    `called` is the wake phrase, with which some sentences of `root` begin, `common` words of everyday talk.
    """
    states: dict[_State, int] = {}
    known: dict[frozenset[_Position], int] = {}
    start = _build(_waiting((root, None)), states, known)
    other = None if seldom is None else _build(_waiting((seldom, None)), states, known)
    ends, steps = tuple(ends for ends, _ in states), tuple(steps for _, steps in states)
    after = reduce(lambda state, word: dict(steps[state])[word], called.split(), start) if called else None
    return WordGraph(start, steps, ends, other, after, common)


def _build(here: frozenset[_Position], states: dict[_State, int], known: dict[frozenset[_Position], int]) -> int:
    """Return the number of the state for these positions; states get their numbers from the ends backwards."""
    if here not in known:
        moves: dict[str, set[_Position]] = {}
        for position in here:
            if position is not None:
                _spell(position[0], position[1], moves)
        steps = tuple((word, _build(_waiting(*after), states, known)) for word, after in sorted(moves.items()))
        known[here] = states.setdefault((None in here, steps), len(states))
    return known[here]


def _spell(node: Node | Letter, rest: _Position, moves: dict[str, set[_Position]]) -> None:
    """Add to `moves` what each next word leads to."""
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
    """Go on from the positions to those that wait for a word, or are at the end."""
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
