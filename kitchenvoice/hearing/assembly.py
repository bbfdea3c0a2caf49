"""Assembly of the ear: listener, recognisers, noise reduction and rescorer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from kitchenvoice.hearing.listener import Listener
from kitchenvoice.hearing.noise import WAYS
from kitchenvoice.hearing.recognise.second_pass import Another
from kitchenvoice.hearing.recognise.vosk_recogniser import SentenceRecogniser, VoskRecogniser
from kitchenvoice.hearing.thresholds import FASTER_HZ, SLOWER_HZ
from kitchenvoice.ports import ListeningGrammar, PhraseRecogniser, Rescorer

__all__ = ["Recognisers", "make_listener", "recognisers"]


@dataclass(frozen=True, slots=True)
class Recognisers:
    """The recognisers of one ear: the one always on, those added in noise, and those of the second pass.

    `second` is the rescorer, `None` where there is none; `answers` makes one that hears the answers to an
    open question alone.
    """

    first: SentenceRecogniser
    cleaned: tuple[SentenceRecogniser, ...]
    again: tuple[Another, ...]
    second: Rescorer | None = None
    answers: Callable[[], PhraseRecogniser] | None = None


def make_listener(
    model_folder: Path, grammar: ListeningGrammar, kept: Path | None = None, second: Rescorer | None = None
) -> Listener:
    """Make a listener with the speech model in `model_folder`.

    The compiled graph is cached in the folder `kept` between starts, if one is given. The rescorer `second` is asked
    about doubtful utterances; see `find_rescorer`.
    Raises: ModelMissing, BadGrammar.
    """
    ear = recognisers(model_folder, kept, second)
    return Listener(ear.first, grammar, cleaned=ear.cleaned, again=ear.again, second=ear.second, answers=ear.answers)


def recognisers(model_folder: Path, kept: Path | None = None, second: Rescorer | None = None) -> Recognisers:
    """Make the recognisers of one ear; they share the model."""
    first, *cleaned = (SentenceRecogniser(model_folder, kept) for _ in range(WAYS))
    rates = (FASTER_HZ, FASTER_HZ, SLOWER_HZ)
    as_it_is, faster, slower = (SentenceRecogniser(model_folder, kept, rate_hz=rate, seldom=True) for rate in rates)
    again = (Another(as_it_is), Another(faster, way=0), Another(slower, way=WAYS - 1))
    return Recognisers(first, tuple(cleaned), again, second, partial(VoskRecogniser, model_folder))
