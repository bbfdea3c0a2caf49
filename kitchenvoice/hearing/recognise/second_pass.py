"""An utterance that is in doubt is heard again: faster or slower, cleaned of noise or as it is.

A voice that is a twentieth faster and higher is another voice to the engine. Each hearing errs in its own way, and what
most of them heard counts most. Heard at once they would double the work, so only doubt pays for them. Measured gain:
see `thresholds.FASTER_HZ`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Thread

from kitchenvoice.hearing.recognise.posteriors import Heard
from kitchenvoice.ports import ListeningGrammar, Recogniser, Samples

__all__ = ["Another", "hear_again", "in_doubt"]

_BLOCK = 1600
_AT_ONCE = 2
_WORDS = 2


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


def hear_again(others: Sequence[Another], sound: Callable[[int | None], Samples]) -> list[Heard]:
    """Let the others hear an utterance whose sound in each way `sound` gives.

    Two hear at once: the engine works outside Python's lock.
    """
    heard: dict[int, Heard] = {}

    def hear(first: int) -> None:
        for place in range(first, len(others), _AT_ONCE):
            heard[place] = _hear(others[place].recogniser, sound(others[place].way))

    beside = Thread(target=hear, args=(1,), name="hears again", daemon=True)
    beside.start()
    hear(0)
    beside.join()
    return [heard[place] for place in sorted(heard)]


def _hear(recogniser: Recogniser, samples: Samples) -> Heard:
    for start in range(0, len(samples), _BLOCK):
        recogniser.accept(samples[start : start + _BLOCK])
    return recogniser.finish()[0], recogniser.posteriors


def _beginning(text: str) -> str:
    return " ".join(text.split()[:_WORDS])
