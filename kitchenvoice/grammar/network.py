"""The word network: a grammar of words with meanings, shared by the parser, the word graph and the phrase list.

Nodes know the words they can begin with (`first`) and whether they may be empty; those that begin with one certain word
know what may come after it (`second`). Rules are shared, not copied, so the network stays small; there is no recursion
(the linker refuses it).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import reduce
from operator import and_

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
    "words_of",
]

_LARGE = 8
"""Parts of a choice that keeps which word is in which of them."""


@dataclass(frozen=True, slots=True, eq=False)
class Arc:
    """One word."""

    text: str
    first: frozenset[str] = field(init=False)
    empty: bool = field(default=False, init=False)
    second: frozenset[str] | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "first", frozenset((self.text,)))


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Nodes in order; without nodes, the empty sentence. `polite` words aren't waited for."""

    parts: tuple[Node, ...]
    first: frozenset[str]
    empty: bool
    polite: bool = False
    second: frozenset[str] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """A choice of nodes."""

    parts: tuple[Node, ...]
    first: frozenset[str]
    empty: bool
    empties: tuple[Node, ...]
    second: frozenset[str] | None = field(default=None, init=False)
    _by_word: dict[str, tuple[Node, ...]] = field(default_factory=dict, init=False)
    _having: dict[str, int] = field(default_factory=dict, init=False)

    def beginning(self, word: str) -> tuple[Node, ...]:
        """Return the nodes that may begin with a word, then those that may be empty."""
        if word not in self.first:
            return self.empties
        found = self._by_word.get(word)
        if found is None:
            those = (part for part in self.parts if word in part.first)
            found = self._by_word[word] = tuple(dict.fromkeys((*those, *self.empties)))
        return found

    def holding(self, words: Iterable[str]) -> Collection[Node]:
        """Return the nodes that have all of these words somewhere."""
        having = self.having()
        places = reduce(and_, (having.get(word, 0) for word in words), -1)
        return [part for place, part in enumerate(self.parts) if places >> place & 1]

    def having(self) -> Mapping[str, int]:
        """Return every word with the places of the nodes that have it, as bits."""
        if not self._having:
            for place, part in enumerate(self.parts):
                for word in words_of(part):
                    self._having[word] = self._having.get(word, 0) | 1 << place
        return self._having


@dataclass(frozen=True, slots=True, eq=False)
class Marked:
    """A node with a tag."""

    part: Node
    tag: Tag
    first: frozenset[str]
    empty: bool
    second: frozenset[str] | None


@dataclass(slots=True, eq=False)
class Letter:
    """A node of the trie: whether a phrase ends here, and its next nodes by word."""

    ends: bool = False
    next: dict[str, Letter] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Lexicon:
    """A list of phrases as a trie of words."""

    phrases: tuple[tuple[str, ...], ...]
    root: Letter
    first: frozenset[str]
    words: frozenset[str]
    empty: bool = False
    second: frozenset[str] | None = field(default=None, init=False)


Node = Arc | Chain | Branch | Marked | Lexicon

NOTHING: Node = Lexicon((), Letter(), frozenset(), frozenset())
"""A node that matches nothing."""


def is_dead(node: Node) -> bool:
    """True if a node matches nothing (an empty list of names)."""
    return not node.first and not node.empty


def chain(parts: Iterable[Node], *, polite: bool = False) -> Node:
    """Put nodes in order."""
    listed = tuple(parts)
    if any(is_dead(part) for part in listed):
        return NOTHING
    first: set[str] = set()
    for part in listed:
        first |= part.first
        if not part.empty:
            break
    certain = len(listed) > 1 and isinstance(listed[0], Arc) and not listed[1].empty
    second = listed[1].first if certain else None
    return Chain(listed, frozenset(first), all(part.empty for part in listed), polite, second)


def branch(parts: Iterable[Node]) -> Node:
    """Make a choice of nodes; duplicates count once."""
    listed = tuple(part for part in dict.fromkeys(parts) if not is_dead(part))
    empties = tuple(part for part in listed if part.empty)
    return Branch(listed, frozenset().union(*(part.first for part in listed)), bool(empties), empties)


def marked(part: Node, tag: Tag) -> Node:
    """Tag a node."""
    return NOTHING if is_dead(part) else Marked(part, tag, part.first, part.empty, part.second)


def lexicon(phrases: Iterable[str]) -> Node:
    """Make a node of a list of phrases."""
    listed = tuple(dict.fromkeys(tuple(phrase.split()) for phrase in phrases if phrase.split()))
    root = Letter()
    for words in listed:
        at = root
        for word in words:
            at = at.next.setdefault(word, Letter())
        at.ends = True
    return Lexicon(listed, root, frozenset(root.next), frozenset().union(*listed))


def words_of(root: Node) -> Collection[str]:
    """Return every word of a network; large choices are visited once."""
    if isinstance(root, Branch) and (root._having or len(root.parts) >= _LARGE):
        return root.having().keys()
    found: set[str] = set()
    met: set[Node] = set()
    left: list[Node] = [root]
    while left:
        node = left.pop()
        if node in met:
            continue
        met.add(node)
        if isinstance(node, Arc):
            found.add(node.text)
        elif isinstance(node, Lexicon):
            found |= node.words
        elif isinstance(node, Marked):
            left.append(node.part)
        elif node is not root and isinstance(node, Branch) and (node._having or len(node.parts) >= _LARGE):
            found |= node.having().keys()
        else:
            left.extend(node.parts)
    return found


def optional(part: Node) -> Node:
    """Make a node optional."""
    return branch((part, chain(())))


def phrase(text: str) -> Node:
    """Make a node of one fixed phrase."""
    return chain(Arc(word) for word in text.split())
