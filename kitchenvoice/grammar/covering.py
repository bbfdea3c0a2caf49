"""A small set of sentences with every bigram that the network allows.

The speech engine turns its phrase list into a bigram model: only which word follows which matters, and how often. So a
full expansion (a hundred counts times a hundred counts) adds nothing to this cover.
"""

from __future__ import annotations

from collections import defaultdict, deque

from kitchenvoice.grammar.network import Arc, Branch, Chain, Lexicon, Marked, Node

__all__ = ["Cover"]

_FEW = 60
"""Shorter lists aren't worth thinning out."""

_Words = tuple[str, ...]


class Cover:
    """Finds covers, once per node; `known` shares what another one has found."""

    def __init__(self, known: Cover | None = None) -> None:
        self._known: dict[Node, list[_Words]] = dict(known._known) if known else {}

    def of(self, node: Node) -> list[_Words]:
        """Return word sequences of `node` in which each of its first words, last words and bigrams occurs."""
        found = self._known.get(node)
        if found is None:
            found = self._known[node] = self._find(node)
        return found

    def _find(self, node: Node) -> list[_Words]:
        if isinstance(node, Arc):
            return [(node.text,)]
        if isinstance(node, Lexicon):
            return list(node.phrases)
        if isinstance(node, Marked):
            return self.of(node.part)
        if isinstance(node, Branch):
            return _thinned([words for part in node.parts for words in self.of(part)])
        assert isinstance(node, Chain)
        found: list[_Words] = [()]
        for part in node.parts:
            found = _joined(found, self.of(part))
        return _thinned(found)


def _thinned(sentences: list[_Words]) -> list[_Words]:
    """Leave out sentences without a new bigram; beginning and end count as words."""
    if len(sentences) < _FEW:
        return list(dict.fromkeys(sentences))
    seen: set[tuple[str, str]] = set()
    kept = []
    for words in sentences:
        before = len(seen)
        seen.update(zip(("", *words), (*words, ""), strict=True))
        if len(seen) > before:
            kept.append(words)
    return kept


def _joined(left: list[_Words], right: list[_Words]) -> list[_Words]:
    """Join so that each sequence is used at least once and each (last word, first word) pair occurs."""
    if not left or not right:
        return []
    if len(left) == 1 or len(right) == 1:
        return [a + b for a in left for b in right]
    by_last, by_first = _grouped(left, -1), _grouped(right, 0)
    fresh_a = {word: deque(group) for word, group in by_last.items()}
    fresh_b = {word: deque(group) for word, group in by_first.items()}
    found = []
    for last, lefts in by_last.items():
        for begin, rights in by_first.items():
            a = fresh_a[last].popleft() if fresh_a[last] else lefts[0]
            b = fresh_b[begin].popleft() if fresh_b[begin] else rights[0]
            found.append(a + b)
    found += [a + right[0] for group in fresh_a.values() for a in group]
    found += [left[0] + b for group in fresh_b.values() for b in group]
    return list(dict.fromkeys(found))


def _grouped(sequences: list[_Words], place: int) -> dict[str | None, list[_Words]]:
    groups: dict[str | None, list[_Words]] = defaultdict(list)
    for words in sequences:
        groups[words[place] if words else None].append(words)
    return groups
