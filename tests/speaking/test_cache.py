"""The cache of rendered speech: its capacity, and the least recently used evicted first."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.ports import Sound
from kitchenvoice.speaking.cache import Memory

RATE_HZ = 100


class Voice:
    """A second of sound for each letter of a sentence, with a count of requests."""

    def __init__(self, memory: Memory) -> None:
        self.memory = memory
        self.asked: list[str] = []

    def say(self, text: str) -> Sound:
        return self.memory.get(text, lambda: self._render(text))

    def _render(self, text: str) -> Sound:
        self.asked.append(text)
        return Sound(np.zeros(len(text) * RATE_HZ, np.int16), RATE_HZ)


def test_the_oldest_unused_sentence_is_forgotten_first() -> None:
    voice = Voice(Memory(most_s=6.0))
    for text in ("one", "two", "one", "six", "one", "two"):
        voice.say(text)
    assert voice.asked == ["one", "two", "six", "two"]


def test_a_sentence_longer_than_all_that_may_be_remembered_is_said_all_the_same() -> None:
    voice = Voice(Memory(most_s=6.0))
    assert voice.say("seventeen").seconds == pytest.approx(9.0)
    voice.say("one")
    voice.say("one")
    assert voice.asked == ["seventeen", "one"]


@given(st.lists(st.text("ab", min_size=1, max_size=9), max_size=40))
def test_what_was_said_last_is_remembered_as_far_as_it_fits(texts: list[str]) -> None:
    voice = Voice(Memory(most_s=12.0))
    for text in texts:
        voice.say(text)
    last, seconds = [], 0
    for text in dict.fromkeys(reversed(texts)):
        seconds += len(text)
        if seconds > 12:
            break
        last.append(text)
    voice.asked.clear()
    for text in last:
        voice.say(text)
    assert voice.asked == []
