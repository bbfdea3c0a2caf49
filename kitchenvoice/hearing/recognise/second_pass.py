"""Second pass over a doubtful utterance: faster or slower, with noise reduction or without.

To the engine, a voice a twentieth faster and higher is another voice. The errors of the passes differ, so their
combination beats each of them. For every utterance that would double the work, so only doubt triggers it. Measured
gain: see `thresholds.FASTER_HZ`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Thread

from kitchenvoice.hearing.recognise.posteriors import Hypotheses
from kitchenvoice.ports import ListeningGrammar, Recogniser, Samples

__all__ = ["Another", "hear_again", "in_doubt"]

_BLOCK = 1600
_AT_ONCE = 2
_WORDS = 2


@dataclass(frozen=True, slots=True)
class Another:
    """One further pass: a recogniser, and a way of noise reduction (`None`: unprocessed sound)."""

    recogniser: Recogniser
    way: int | None = None


def in_doubt(texts: Sequence[str], grammar: ListeningGrammar) -> bool:
    """True if the first text isn't a whole sentence, but another one is, or the start of one."""
    if not texts or grammar.is_sentence(texts[0]):
        return False
    return any(grammar.is_sentence(text) or grammar.can_continue(_beginning(text)) for text in texts)


def hear_again(others: Sequence[Another], sound: Callable[[int | None], Samples]) -> list[Hypotheses]:
    """Let the others hear an utterance; `sound` gives its samples for each way of noise reduction.

    Two run at a time: the engine releases Python's lock. Raises whatever either raised.
    """
    heard: dict[int, Hypotheses] = {}
    failures: list[Exception] = []

    def hear(first: int) -> None:
        for place in range(first, len(others), _AT_ONCE):
            heard[place] = _hear(others[place].recogniser, sound(others[place].way))

    def hear_beside() -> None:
        try:
            hear(1)
        except Exception as exc:  # handed to the caller below
            failures.append(exc)

    beside = Thread(target=hear_beside, name="hears again", daemon=True)
    beside.start()
    try:
        hear(0)
    finally:
        beside.join()
    if failures:
        raise failures[0]
    return [heard[place] for place in sorted(heard)]


def _hear(recogniser: Recogniser, samples: Samples) -> Hypotheses:
    for start in range(0, len(samples), _BLOCK):
        recogniser.accept(samples[start : start + _BLOCK])
    return recogniser.finish()[0], recogniser.posteriors


def _beginning(text: str) -> str:
    return " ".join(text.split()[:_WORDS])
