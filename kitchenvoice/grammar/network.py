"""The word network: what can follow what, and what it means. Both the phrase list and the parser walk this one network.

Nodes know the words they can begin with (`first`) and whether they may be empty. Rules are shared, not copied, so the
network stays small; there is no recursion (the linker refuses it).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from kitchenvoice.grammar.jsgf import Tag

__all__ = [
    "NOTHING",
    "Arc",
    "Branch",
    "Chain",
    "Letter",
    "Lexicon",
    "Marked",
    "Node",
    "branch",
    "chain",
    "is_dead",
    "lexicon",
    "marked",
    "optional",
    "phrase",
]


@dataclass(frozen=True, slots=True, eq=False)
class Arc:
    """One word."""

    text: str

    @property
    def first(self) -> frozenset[str]:
        """Words that this can begin with."""
        return frozenset((self.text,))

    @property
    def empty(self) -> bool:
        """True if nothing need be said."""
        return False


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """One node after the other; no node at all is the empty sentence. `polite` words aren't waited for."""

    parts: tuple[Node, ...]
    first: frozenset[str]
    empty: bool
    polite: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """One of several nodes; `by_word` finds those that can begin with a word."""

    parts: tuple[Node, ...]
    first: frozenset[str]
    empty: bool
    by_word: Mapping[str, tuple[Node, ...]]
    empties: tuple[Node, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Marked:
    """A node with a meaning."""

    part: Node
    tag: Tag
    first: frozenset[str]
    empty: bool


@dataclass(slots=True, eq=False)
class Letter:
    ends: bool = False
    next: dict[str, Letter] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Lexicon:
    """A list of phrases as a tree of words."""

    phrases: tuple[tuple[str, ...], ...]
    root: Letter
    first: frozenset[str]
    empty: bool = False


Node = Arc | Chain | Branch | Marked | Lexicon

NOTHING: Node = Lexicon((), Letter(), frozenset())
"""A node that can't be said at all."""


def is_dead(node: Node) -> bool:
    """Tell whether a node can't be said at all (a list of names that is empty)."""
    return not node.first and not node.empty


def chain(parts: Iterable[Node], *, polite: bool = False) -> Node:
    """Put nodes one after the other."""
    listed = tuple(parts)
    if any(is_dead(part) for part in listed):
        return NOTHING
    first: set[str] = set()
    for part in listed:
        first |= part.first
        if not part.empty:
            break
    return Chain(listed, frozenset(first), all(part.empty for part in listed), polite)


def branch(parts: Iterable[Node]) -> Node:
    """Let one of the nodes be said; the same node twice counts once."""
    listed = tuple(part for part in dict.fromkeys(parts) if not is_dead(part))
    by_word: dict[str, list[Node]] = {}
    for part in listed:
        for word in part.first:
            by_word.setdefault(word, []).append(part)
    empties = tuple(part for part in listed if part.empty)
    index = {word: (*nodes, *(e for e in empties if e not in nodes)) for word, nodes in by_word.items()}
    return Branch(listed, frozenset(by_word), bool(empties), index, empties)


def marked(part: Node, tag: Tag) -> Node:
    """Give a node a meaning."""
    return NOTHING if is_dead(part) else Marked(part, tag, part.first, part.empty)


def lexicon(phrases: Iterable[str]) -> Node:
    """Make a node of a list of phrases."""
    listed = tuple(dict.fromkeys(tuple(phrase.split()) for phrase in phrases if phrase.split()))
    root = Letter()
    for words in listed:
        at = root
        for word in words:
            at = at.next.setdefault(word, Letter())
        at.ends = True
    return Lexicon(listed, root, frozenset(root.next))


def optional(part: Node) -> Node:
    """Let a node be left out."""
    return branch((part, chain(())))


def phrase(text: str) -> Node:
    """Make a node of one fixed phrase."""
    return chain(Arc(word) for word in text.split())
