"""The ear of the product, put together."""

from __future__ import annotations

from pathlib import Path

from kitchenvoice.hearing.listener import Listener
from kitchenvoice.hearing.noise import WAYS
from kitchenvoice.hearing.vosk_recogniser import SentenceRecogniser
from kitchenvoice.ports import ListeningGrammar

__all__ = ["make_listener", "recognisers"]


def make_listener(model_folder: Path, grammar: ListeningGrammar, kept: Path | None = None) -> Listener:
    """Make a listener with the speech model in `model_folder`, with as many recognisers as noise is taken out in ways.

    The finished graph is kept in the folder `kept` from one start to the next, if one is given.
    Raises: ModelMissing, BadGrammar.
    """
    first, *others = recognisers(model_folder, kept)
    return Listener(first, grammar, cleaned=others)


def recognisers(model_folder: Path, kept: Path | None = None) -> tuple[SentenceRecogniser, ...]:
    """Make the recognisers of one ear: one that hears always, and those that join it where it is noisy."""
    return tuple(SentenceRecogniser(model_folder, kept) for _ in range(WAYS))
