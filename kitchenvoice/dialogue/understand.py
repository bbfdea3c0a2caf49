"""From an utterance to what was meant: the first alternative that is a whole sentence, never a part of one."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue.grammar import Grammar, Reading, grammar_folder, normalise
from kitchenvoice.ports import Utterance

__all__ = ["Understanding", "grade", "understand"]

_UNKNOWN = "[unk]"
_ANSWERS = frozenset({"number", "choice"})
_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Understanding:
    """What an utterance means.

    `text` is the alternative that was taken, or the best one if none was. `intent` is `None` if it means nothing, and
    `reject_reason` then tells why: `silence`, `too_soft`, `too_long`, `unknown_words`, `no_attention`, `ambiguous` or
    `no_match`. `attention` tells whether the attention phrase was said. `said` holds the words of each slot. `rival` is
    another reading that sounds alike (fifteen for fifty): say it back digit by digit.
    """

    text: str
    intent: str | None
    slots: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)
    confidence: float = 0.0
    reject_reason: str | None = None
    attention: bool = False
    rival: Reading | None = None
    said: Mapping[str, str] = field(default_factory=lambda: _NOTHING)


def understand(utterance: Utterance, grammar: Grammar) -> Understanding:
    """Find what was meant.

    The first alternative that is a whole sentence counts. If that one has several meanings, an answer to the open
    question comes before a command, and then the pairs of consequences.toml decide; otherwise it is `ambiguous`.
    """
    texts = _candidates(utterance, grammar)
    if utterance.trouble == "too_long":
        return _rejected(texts, "too_long", utterance)
    for place, text in enumerate(texts):
        readings = grammar.parse(text)
        if readings:
            chosen = _meant(readings)
            if chosen is None:
                return _rejected([text], "ambiguous", utterance)
            rival = _rival(text, chosen, texts[place + 1 :] + texts[:place], grammar)
            return Understanding(
                text, chosen.intent, chosen.slots, utterance.confidence, None, chosen.attention, rival, chosen.said
            )
    return _rejected(texts, _why_not(texts, utterance, grammar), utterance)


def _candidates(utterance: Utterance, grammar: Grammar) -> list[str]:
    """Return the texts to try, in order.

    Where a second recogniser listened for answers alone, it is the judge of what is said without the attention phrase:
    with all commands in its vocabulary the first one takes a short "yes" for something longer.
    """
    texts = [text for text in map(normalise, utterance.alternatives) if text]
    if utterance.answers is None:
        return texts
    addressed = [text for text in texts if any(reading.attention for reading in grammar.parse(text))]
    answers = [text for text in map(normalise, utterance.answers) if text]
    return [*addressed, *answers] or texts


def grade(intent: str) -> str:
    """Tell what it costs to act on an intent that was heard wrong: `information`, `reversible` or `safety`."""
    return _consequences().grades[intent]


def _why_not(texts: list[str], utterance: Utterance, grammar: Grammar) -> str:
    if not texts:
        return "too_soft" if utterance.trouble == "too_soft" else "silence"
    if any(grammar.parse_unaddressed(text) for text in texts):
        return "no_attention"
    if utterance.trouble == "too_soft":
        return "too_soft"
    return "unknown_words" if all(_UNKNOWN in text.split() for text in texts) else "no_match"


def _rejected(texts: list[str], reason: str, utterance: Utterance) -> Understanding:
    text = texts[0] if texts else ""
    return Understanding(text, None, confidence=utterance.confidence, reject_reason=reason)


def _meant(readings: tuple[Reading, ...]) -> Reading | None:
    answers = tuple(reading for reading in readings if reading.intent in _ANSWERS) or readings
    if len(answers) == 1:
        return answers[0]
    by_intent = {reading.intent: reading for reading in answers}
    for first, second in _consequences().meant:
        if len(answers) == 2 and by_intent.keys() == {first, second}:
            return by_intent[first]
    return None


def _rival(text: str, chosen: Reading, others: list[str], grammar: Grammar) -> Reading | None:
    """Find an alternative that differs in nothing but words which are taken for each other."""
    for other in others:
        if _sounds_like(text.split(), other.split()):
            for reading in grammar.parse(other):
                if (reading.intent, reading.slots) != (chosen.intent, chosen.slots):
                    return reading
    return None


def _sounds_like(one: list[str], other: list[str]) -> bool:
    if len(one) != len(other) or one == other:
        return False
    confused = _consequences().confused
    return all(a == b or frozenset((a, b)) in confused for a, b in zip(one, other, strict=True))


@dataclass(frozen=True, slots=True)
class _Consequences:
    grades: Mapping[str, str]
    meant: tuple[tuple[str, str], ...]
    confused: frozenset[frozenset[str]]


@lru_cache(maxsize=1)
def _consequences() -> _Consequences:
    with (grammar_folder() / "consequences.toml").open("rb") as file:
        data = tomllib.load(file)
    return _Consequences(
        data["grades"],
        tuple((first, second) for first, second in data["meant"]["first"]),
        _sets(data["confused"]["pairs"]),
    )


def _sets(listed: list[list[str]]) -> frozenset[frozenset[str]]:
    return frozenset(frozenset(pair) for pair in listed)
