"""Hearing an utterance again, in two threads at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from kitchenvoice.hearing.recognise.second_pass import Another, hear_again
from kitchenvoice.ports import ListeningGrammar, Samples


class Deaf:
    """A recogniser that hears its own name, or fails."""

    engine = model = "none"

    def __init__(self, name: str, failure: Exception | None = None) -> None:
        self._name = name
        self._failure = failure
        self.posteriors: tuple[float, ...] = (1.0,)

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Hear the same by any."""

    def accept(self, samples: Samples) -> None:
        if self._failure is not None:
            raise self._failure

    def partial(self) -> str:
        return ""

    def finish(self) -> tuple[tuple[str, ...], float]:
        return (self._name,), 1.0

    def drop(self) -> None:
        """Nothing is kept."""


def silence(_: int | None) -> Samples:
    return np.zeros(4000, dtype=np.int16)


@pytest.fixture
def another() -> Callable[..., Another]:
    return lambda name, failure=None: Another(Deaf(name, failure), 1)


def test_what_each_heard_comes_in_their_order(another: Callable[..., Another]) -> None:
    heard = hear_again([another(name) for name in "abcde"], silence)
    assert [texts for texts, _ in heard] == [("a",), ("b",), ("c",), ("d",), ("e",)]


@pytest.mark.parametrize("place", [0, 1])
def test_an_error_of_either_thread_is_raised(another: Callable[..., Another], place: int) -> None:
    others = [another(str(each), KeyError("a share") if each == place else None) for each in range(3)]
    with pytest.raises(KeyError, match="a share"):
        hear_again(others, silence)
