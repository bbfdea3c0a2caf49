"""The ear of the product, put together."""

from __future__ import annotations

from pathlib import Path

from kitchenvoice.hearing.listener import Listener
from kitchenvoice.hearing.vosk_recogniser import SentenceRecogniser
from kitchenvoice.ports import ListeningGrammar

__all__ = ["make_listener"]


def make_listener(model_folder: Path, grammar: ListeningGrammar, kept: Path | None = None) -> Listener:
    """Make a listener with the speech model in `model_folder`, both for the sound as it is and for the cleaned one.

    The finished graph is kept in the folder `kept` from one start to the next, if one is given.
    Raises: ModelMissing, BadGrammar.
    """
    return Listener(SentenceRecogniser(model_folder, kept), grammar, cleaned=SentenceRecogniser(model_folder, kept))
