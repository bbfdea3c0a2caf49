"""Hearing again: who hears, in which threads, and what becomes of an error."""

from __future__ import annotations

import gc
import threading

import numpy as np
import pytest

from kitchenvoice.fakes_ear import ScriptedRecogniser
from kitchenvoice.hearing.again import Another, Beside, hear_again
from kitchenvoice.ports import Samples


class Hearing(ScriptedRecogniser):
    """One that is ready to hear."""

    def __init__(self, *texts: str) -> None:
        super().__init__(texts)
        self.set_phrases(["heat is off"])


class Noting(Hearing):
    """Notes in which thread it hears."""

    def __init__(self, *texts: str) -> None:
        super().__init__(*texts)
        self.threads: list[threading.Thread] = []

    def accept(self, samples: Samples) -> None:
        self.threads.append(threading.current_thread())
        super().accept(samples)


class Broken(Hearing):
    """Can't."""

    def accept(self, samples: Samples) -> None:
        raise RuntimeError("the engine has no memory left")


def sound(_: int | None) -> Samples:
    return np.zeros(1600, dtype=np.int16)


def rest_between() -> None:
    """Begin and end another thread, as the rest of the program does when the sound is lost."""
    other = threading.Thread(target=gc.collect)
    other.start()
    other.join()


def test_all_of_them_hear_the_utterance() -> None:
    others = [Another(Hearing(text)) for text in ("weight is on", "wait is on", "weight on")]
    heard = hear_again(others, sound, Beside())
    assert sorted(texts[0] for texts, _ in heard) == ["wait is on", "weight is on", "weight on"]


def test_one_thread_stays_for_all_that_is_in_doubt() -> None:
    first, second = (Noting(*["heat is off"] * 20) for _ in range(2))
    beside = Beside()
    for _ in range(20):
        hear_again([Another(first), Another(second)], sound, beside)
        rest_between()
    assert set(first.threads) == {threading.current_thread()}
    assert len(set(second.threads)) == 1
    assert threading.current_thread() not in second.threads


def test_an_error_beside_comes_to_the_one_who_asked_and_the_next_is_heard() -> None:
    beside = Beside()
    good = Hearing("heat is off", "heat is off")
    with pytest.raises(RuntimeError, match="no memory left"):
        hear_again([Another(good), Another(Broken())], sound, beside)
    assert hear_again([Another(good)], sound, beside)


def test_the_thread_ends_with_the_ear() -> None:
    second = Noting("heat is off")
    beside = Beside()
    hear_again([Another(Hearing("heat is off")), Another(second)], sound, beside)
    (thread,) = second.threads
    assert thread.is_alive()
    del beside
    gc.collect()
    thread.join(5.0)
    assert not thread.is_alive()
