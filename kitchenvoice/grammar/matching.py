"""Matching of a text against the network: every parse as a whole sentence, and whether it could go on."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

from kitchenvoice.grammar.jsgf import Tag
from kitchenvoice.grammar.network import Arc, Branch, Chain, Lexicon, Marked, Node

__all__ = ["Mark", "Walk"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A tag and the words it covers, from `start` up to, not including, `end`."""

    tag: Tag
    start: int
    end: int


_Marks = tuple[Mark, ...]
_End = tuple[int, _Marks]


_FEW = 2
"""Parts of a choice that are looked at whatever words they have."""
_MOST_ENDS = 1_000
"""Most parses from one position, far more than any of our sentences has: a text with more means nothing."""


class _TooManyError(Exception):
    """Raised for a text with too many parses."""


class Walk:
    """One match of `words`. `readings` are the marks of each whole sentence; `goes_on`: another word could follow.

    The languages are finite: a text is matched no further than the longest sentence, and each node once per position; a
    text with more than a thousand parses has no reading.
    """

    def __init__(self, root: Node, words: Sequence[str]) -> None:
        self._root = root
        self._words = words
        self._count = len(words)
        self._left: dict[int, frozenset[str]] = {}
        self._known: dict[tuple[int, int], list[_End]] = {}
        self._whole_known: dict[tuple[int, int], list[_Marks]] = {}
        self._polite = 0
        self._goes_on = False

    @cached_property
    def goes_on(self) -> bool:
        """True if another word could follow."""
        self._known.clear()
        self._polite = 0
        with suppress(_TooManyError):
            self._ends(self._root, 0)
        return self._goes_on

    @cached_property
    def readings(self) -> list[_Marks]:
        """The marks of each whole sentence."""
        try:
            return self._whole(self._root, 0)
        except _TooManyError:
            return []

    def _whole(self, node: Node, at: int) -> list[_Marks]:
        """Return the marks of a node that matches all remaining words."""
        if at == self._count or type(node) in (Arc, Lexicon):
            return [marks for end, marks in self._ends(node, at) if end == self._count]
        if not node.empty and self._words[at] not in node.first:
            return []
        key = (id(node), at)
        found = self._whole_known.get(key)
        if found is None:
            found = self._whole_known[key] = self._walk_whole(node, at)
            if len(found) > _MOST_ENDS:
                raise _TooManyError
        return found

    def _walk_whole(self, node: Node, at: int) -> list[_Marks]:
        if isinstance(node, Marked):
            return [(*marks, Mark(node.tag, at, self._count)) for marks in self._whole(node.part, at)]
        if isinstance(node, Chain):
            if not node.parts:
                return []
            *before, last = node.parts
            return [marks + more for middle, marks in self._row(before, at) for more in self._whole(last, middle)]
        assert isinstance(node, Branch)
        parts = node.beginning(self._words[at])
        if len(parts) > _FEW:
            if at not in self._left:
                self._left[at] = frozenset(self._words[at:])
            able = node.holding(self._left[at])
            parts = tuple(part for part in parts if part in able)
        return [*dict.fromkeys(marks for part in parts for marks in self._whole(part, at))]

    def _ends(self, node: Node, at: int) -> list[_End]:
        if at == self._count:
            if node.first and not self._polite and not (isinstance(node, Chain) and node.polite):
                self._goes_on = True
            if not node.empty:
                return []
        elif not node.empty and self._words[at] not in node.first:
            return []
        key = (id(node), at)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._walk(node, at)
            if len(found) > _MOST_ENDS:
                raise _TooManyError
        return found

    def _walk(self, node: Node, at: int) -> list[_End]:
        if isinstance(node, Arc):
            return [(at + 1, ())]
        if isinstance(node, Marked):
            return [(end, (*marks, Mark(node.tag, at, end))) for end, marks in self._ends(node.part, at)]
        if isinstance(node, Branch):
            return self._branch(node, at)
        if isinstance(node, Lexicon):
            return self._spell(node, at)
        return self._chain(node, at)

    def _branch(self, node: Branch, at: int) -> list[_End]:
        parts = node.beginning(self._words[at]) if at < self._count else node.empties
        following = self._words[at + 1] if at + 1 < self._count else None
        ends: list[_End] = []
        for part in parts:
            if type(part) is Arc:
                ends.append((at + 1, ()))
            elif type(part) is Chain and not part.parts:
                ends.append((at, ()))
            elif part.second is None or following is None or following in part.second:
                ends += self._ends(part, at)
        return list(dict.fromkeys(ends)) if len(ends) > 1 else ends

    def _chain(self, node: Chain, at: int) -> list[_End]:
        self._polite += node.polite
        ends = self._row(node.parts, at)
        self._polite -= node.polite
        return ends

    def _row(self, parts: Sequence[Node], at: int) -> list[_End]:
        ends: list[_End] = [(at, ())]
        for part in parts:
            going: list[_End] = []
            for middle, marks in ends:
                if middle < self._count and not part.empty:  # as `_ends` would find, in a call more
                    if self._words[middle] not in part.first:
                        continue
                    if type(part) is Arc:
                        going.append((middle + 1, marks))
                        continue
                going += [(end, marks + more) for end, more in self._ends(part, middle)]
                if len(going) > _MOST_ENDS:
                    raise _TooManyError
            ends = going
        return ends

    def _spell(self, node: Lexicon, at: int) -> list[_End]:
        found: list[_End] = []
        letter = node.root
        while at < self._count and self._words[at] in letter.next:
            letter = letter.next[self._words[at]]
            at += 1
            if letter.ends:
                found.append((at, ()))
        if at == self._count and letter.next and not self._polite:
            self._goes_on = True
        return found
