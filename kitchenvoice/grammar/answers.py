"""The answers to the open question by themselves, for an ear that listens for nothing else."""

from __future__ import annotations

from functools import cached_property

from kitchenvoice.grammar.covering import Cover
from kitchenvoice.grammar.matching import Walk
from kitchenvoice.grammar.meaning import Meanings
from kitchenvoice.grammar.network import Node
from kitchenvoice.grammar.spelling import normalise

__all__ = ["Answers"]


class Answers:
    """What can be said to the open question without the wake phrase. Implements `kitchenvoice.ports.AnswerList`."""

    def __init__(self, root: Node, meanings: Meanings) -> None:
        self._root = root
        self._meanings = meanings

    @cached_property
    def phrases(self) -> tuple[str, ...]:
        """Answers for the recogniser's phrase list: every bigram, not every answer."""
        return tuple(" ".join(words) for words in Cover().of(self._root) if words)

    def sentence(self, text: str) -> str | None:
        """Return `text` in the grammar's spelling; `None` if it isn't one whole answer."""
        spelt = normalise(text)
        words = tuple(spelt.split())
        return spelt if words and self._meanings.of(words, Walk(self._root, words).readings) else None
