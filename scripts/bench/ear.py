"""The ears compared: the product's, the same without its second engine, without noise reduction, with phrase lists, and
free dictation."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from kitchenvoice.dialogue.understand import Understanding, understand
from kitchenvoice.grammar import Grammar, GrammarBook
from kitchenvoice.hearing import (
    FreeRecogniser,
    Listener,
    SentenceRecogniser,
    SileroDetector,
    VoskRecogniser,
    find_rescorer,
)
from kitchenvoice.hearing.assembly import Recognisers, recognisers
from kitchenvoice.ports import EAR_RATE_HZ, ListeningGrammar, Samples, Utterance

__all__ = [
    "MODEL",
    "ROOT",
    "SYSTEMS",
    "Attention",
    "Decision",
    "best_only",
    "book",
    "grammar_for",
    "listen",
    "meant",
    "recogniser",
    "utterances",
]

ROOT = Path(__file__).resolve().parents[2]
MODEL = ROOT / "models" / "vosk-model-small-en-us-0.15"
BLOCK = 512
"""One frame of the listener: 32 ms, the resolution of a decision's time."""

Attention = Literal["required", "optional"]

SYSTEMS = ("ear", "alone", "uncleaned", "stage", "big", "free")
"""`ear` is the product; `stage` and `big` give the engine a phrase list instead of sentences."""


@dataclass(frozen=True, slots=True)
class Decision:
    """Decision on one utterance, its time (samples since the clip's start) and its computing time.

    Computing time is the shorter of wall time and processor time: wall time where two cores share the work, processor
    time where other processes interfere. Alone it would take no longer than either.
    """

    at: int
    last_block_s: float
    utterance: Utterance
    understanding: Understanding


@lru_cache(maxsize=1)
def book() -> GrammarBook:
    """Return the project's grammars."""
    return GrammarBook.load()


@lru_cache(maxsize=64)
def grammar_for(stages: tuple[str, ...], attention: Attention, question: str | None) -> Grammar:
    """Return the grammar of these stages."""
    return book().grammar(stages, attention=attention, question=question)


def listen(system: str, samples: Samples, grammar: Grammar) -> Iterator[Decision]:
    """Yield the decisions of this ear while the sound comes in."""
    _detector().reset()
    listener = _listener(system, grammar)
    for start in range(0, len(samples), BLOCK):
        begun = time.perf_counter(), time.process_time()
        heard = listener.feed(samples[start : start + BLOCK])
        spent = min(time.perf_counter() - begun[0], time.process_time() - begun[1])
        for utterance in heard:
            yield Decision(start + BLOCK, spent, utterance, understand(utterance, grammar))
    for utterance in listener.flush():
        late = len(samples) + round(0.5 * EAR_RATE_HZ)
        yield Decision(late, 0.0, utterance, understand(utterance, grammar))


def utterances(samples: Samples, grammar: ListeningGrammar) -> tuple[Utterance, ...]:
    """Return what the product's ear hears of a whole clip by any grammar."""
    listener = _listener("ear", grammar)
    return listener.feed(samples) + listener.flush()


def meant(understanding: Understanding) -> dict[str, Any] | None:
    """Return intent and slots as plain data, `None` for a rejection."""
    if understanding.intent is None:
        return None
    return {"intent": understanding.intent, "slots": {k: _plain(v) for k, v in understanding.slots.items()}}


def best_only(decision: Decision, grammar: Grammar) -> Understanding:
    """Return the understanding from the first alternative alone."""
    return understand(replace(decision.utterance, alternatives=decision.utterance.alternatives[:1]), grammar)


def _plain(value: Any) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, int | float):
        return float(value)
    return str(value)


def _listener(system: str, grammar: ListeningGrammar) -> Listener:
    if system in ("ear", "alone"):
        ours = _ours()
        second = ours.second if system == "ear" else None
        return Listener(
            ours.first,
            grammar,
            _detector(),
            cleaned=ours.cleaned,
            again=ours.again,
            second=second,
            answers=ours.answers,
        )
    kind = {"uncleaned": "sentences", "free": "free"}.get(system, "phrases")
    return Listener(recogniser(kind), grammar, _detector())


@lru_cache(maxsize=1)
def _ours() -> Recognisers:
    return recognisers(MODEL, second=find_rescorer())


@lru_cache(maxsize=3)
def recogniser(kind: str) -> Any:
    """Return the one recogniser of a kind: `sentences`, `phrases` or `free`."""
    return {"phrases": VoskRecogniser, "free": FreeRecogniser}.get(kind, SentenceRecogniser)(MODEL)


@lru_cache(maxsize=1)
def _detector() -> SileroDetector:
    return SileroDetector()
