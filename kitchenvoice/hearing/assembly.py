"""Assembly of the ear: listener, recognisers, noise reduction and rescorer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from kitchenvoice.hearing.carrying import EVERYTHING, Parts
from kitchenvoice.hearing.listener import Listener
from kitchenvoice.hearing.noise import WAYS, NoiseReducer
from kitchenvoice.hearing.processor import taken_s
from kitchenvoice.hearing.recognise.second_pass import Another
from kitchenvoice.hearing.recognise.vosk_recogniser import SentenceRecogniser, VoskRecogniser
from kitchenvoice.hearing.thresholds import FASTER_HZ, SLOWER_HZ
from kitchenvoice.hearing.vad import FRAME
from kitchenvoice.ports import EAR_RATE_HZ, ListeningGrammar, PhraseRecogniser, Recogniser, Rescorer

__all__ = ["Recognisers", "make_listener", "recognisers", "trial_s"]

_TRIALS = 3


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
    model_folder: Path,
    grammar: ListeningGrammar,
    kept: Path | None = None,
    second: Rescorer | None = None,
    parts: Parts = EVERYTHING,
) -> Listener:
    """Make a listener with the speech model in `model_folder`.

    The compiled graph is cached in the folder `kept` between starts, if one is given. The rescorer `second` is asked
    about doubtful utterances; see `find_rescorer`. A slow machine carries fewer `parts`; see `trial_s`.
    Raises: ModelMissing, BadGrammar.
    """
    ear = recognisers(model_folder, kept, second, parts)
    return Listener(
        ear.first,
        grammar,
        cleaned=ear.cleaned,
        again=ear.again,
        second=ear.second,
        answers=ear.answers,
        reducer=NoiseReducer(),
    )


def recognisers(
    model_folder: Path, kept: Path | None = None, second: Rescorer | None = None, parts: Parts = EVERYTHING
) -> Recognisers:
    """Make the recognisers of one ear; they share the model."""
    make = partial(SentenceRecogniser, model_folder, kept)
    faster, slower = partial(make, rate_hz=FASTER_HZ, seldom=True), partial(make, rate_hz=SLOWER_HZ, seldom=True)
    return Recognisers(
        make(),
        tuple(make() for _ in range(WAYS - 1)) if parts.cleaned else (),
        (Another(faster()), Another(faster(), way=0), Another(slower(), way=WAYS - 1)) if parts.again else (),
        second if parts.second else None,
        partial(VoskRecogniser, model_folder) if parts.answers else None,
    )


def trial_s(recogniser: Recogniser, timed: Callable[[Callable[[], None]], float] = taken_s) -> float:
    """Return the time that the recogniser takes for a second of sound, seconds; 0.03 on one core of a machine of 2023.

    The least of a few tries, so that a busy moment doesn't count.
    """
    noise = np.random.default_rng(3).normal(0.0, 1000.0, EAR_RATE_HZ).astype(np.int16)

    def once() -> None:
        for start in range(0, len(noise), FRAME):
            recogniser.accept(noise[start : start + FRAME])
        recogniser.finish()

    return min(timed(once) for _ in range(_TRIALS))
