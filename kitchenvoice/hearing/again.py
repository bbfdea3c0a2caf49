"""An utterance that is in doubt is heard again: faster or slower, cleaned of noise or as it is.

A voice that is a twentieth faster and higher is another voice to the engine. Each hearing errs in its own way, and what
most of them heard counts most. Heard at once they would double the work, so only doubt pays for them. Measured gain:
see `thresholds.FASTER_HZ`.
"""

from __future__ import annotations

import weakref
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from queue import SimpleQueue
from threading import Thread
from typing import TypeAlias

from kitchenvoice.hearing.sharing import Heard
from kitchenvoice.ports import ListeningGrammar, Recogniser, Samples

__all__ = ["Another", "Beside", "hear_again", "in_doubt"]

_BLOCK = 1600
_AT_ONCE = 2
_WORDS = 2

_Job: TypeAlias = tuple["Future[list[Heard]]", Callable[[], "list[Heard]"]]


@dataclass(frozen=True, slots=True)
class Another:
    """One more hearing: by this recogniser, of the sound cleaned in this way (`None`: as it is)."""

    recogniser: Recogniser
    way: int | None = None


def in_doubt(texts: Sequence[str], grammar: ListeningGrammar) -> bool:
    """Tell whether the first of these texts is no whole sentence, but one of them is, or begins as one does."""
    if not texts or grammar.is_sentence(texts[0]):
        return False
    return any(grammar.is_sentence(text) or grammar.can_continue(_beginning(text)) for text in texts)


class Beside:
    """One thread that works beside the ear's for as long as the ear lives; it is started when it is first needed.

    A new thread for every doubt made the program grow: each may get another of the C library's stores, and each of
    these keeps the 10 MB that the engine needs while it hears. Measured, with other threads begun in between, as they
    are when the sound is lost: 10 MB more each time, with one thread 0.4.
    """

    def __init__(self) -> None:
        """Make one that rests."""
        self._jobs: SimpleQueue[_Job | None] = SimpleQueue()
        self._working = False

    def do(self, work: Callable[[], list[Heard]]) -> Future[list[Heard]]:
        """Begin with `work`; what it returns or raises comes with the future's result."""
        if not self._working:
            self._working = True
            Thread(target=_do_all, args=(self._jobs,), name="hears again", daemon=True).start()
            weakref.finalize(self, self._jobs.put, None)
        told: Future[list[Heard]] = Future()
        self._jobs.put((told, work))
        return told


def _do_all(jobs: SimpleQueue[_Job | None]) -> None:
    while (job := jobs.get()) is not None:
        told, work = job
        try:
            told.set_result(work())
        except Exception as error:  # it is told where the work was asked for
            told.set_exception(error)
        del job, told, work  # while it waits for the next it holds no sound


def hear_again(others: Sequence[Another], sound: Callable[[int | None], Samples], beside: Beside) -> list[Heard]:
    """Let the others hear an utterance whose sound in each way `sound` gives.

    Two hear at once, one of them `beside`: the engine works outside Python's lock.
    """

    def hear(first: int) -> list[Heard]:
        return [_hear(other.recogniser, sound(other.way)) for other in others[first::_AT_ONCE]]

    second = beside.do(lambda: hear(1))
    return hear(0) + second.result()


def _hear(recogniser: Recogniser, samples: Samples) -> Heard:
    for start in range(0, len(samples), _BLOCK):
        recogniser.accept(samples[start : start + _BLOCK])
    return recogniser.finish()[0], recogniser.shares


def _beginning(text: str) -> str:
    return " ".join(text.split()[:_WORDS])
