"""Endpoint detection: early after a complete sentence, later where the grammar allows more words."""

from __future__ import annotations

from kitchenvoice.hearing import thresholds as th
from kitchenvoice.ports import ListeningGrammar

__all__ = ["has_ended", "patience_s"]


def patience_s(text: str, grammar: ListeningGrammar) -> float:
    """Return the silence, in seconds, that ends the utterance after `text` (a partial result).

    A leading `[unk]` is ignored: noise before a sentence makes it no less complete. That affects the timing only;
    whether to act on the sentence is decided elsewhere, on the whole text.
    """
    words = text.split()
    while words and words[0] == "[unk]":
        words.pop(0)
    if not words:
        return th.STRAY_S if text else th.WORDLESS_S
    spoken = " ".join(words)
    goes_on = grammar.can_continue(spoken)
    if grammar.is_sentence(spoken):
        waits_s = th.QUESTION_S if grammar.only_asks(spoken) else th.OPEN_S
        return waits_s if goes_on else th.CLOSED_S
    return th.UNFINISHED_S if goes_on else th.STRAY_S


def has_ended(patience: float, silence_s: float, stable_s: float, text: str) -> bool:
    """True if the utterance is over.

    Args:
        patience: from `patience_s`.
        silence_s: seconds since the last frame with voice.
        stable_s: seconds since the last change of the text.
        text: the partial text.
    """
    if silence_s >= patience and stable_s >= th.STABLE_S:
        return True
    stuck = th.STUCK_CLOSED_S if patience <= th.CLOSED_S else th.STUCK_S
    return bool(text) and stable_s >= stuck
