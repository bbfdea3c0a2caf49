"""The one number in a typed sentence that isn't understood, where a gauge is watched: it is asked back as a reading."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kitchenvoice.dialogue import frames, overheard, statements
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.not_understood import Miss
from kitchenvoice.dialogue.rewording import spots
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import meant
from kitchenvoice.grammar import written
from kitchenvoice.process import Stage
from kitchenvoice.reference.nearness import asks
from kitchenvoice.reference.weighing import likelihood

__all__ = ["ask_reading"]

_LONGEST, _MOST_WORDS = 5, 12
_NEVER = ("denies", "at_no_time", "of_jars", "of_a_count")
"""What tells that it doesn't read so, or tells of jars or how many there are."""
_ZERO = "gauge_zero"
_WATCHED = frozenset({Stage.COME_UP, Stage.HOLD, Stage.COOL})


def ask_reading(talk: Talk, miss: Miss) -> bool:
    """Ask whether the gauge reads the only number that a statement names; tell whether it is asked."""
    said, load = overheard.without_name(talk, miss.text), talk.focus
    if load is None or not load.process.is_dial or load.stage not in _WATCHED or load.at_zero:
        return False
    if asks(said) or not _may_read(talk, said, cools=load.stage is Stage.COOL):
        return False

    def read(span: str) -> Mapping[str, Any] | None:
        reading = meant(miss.live.parse(talk.language.phrase("reading_off", "gauge_reads", number=span)))
        of_gauge = reading is not None and (reading.slots.get("pressure") or reading.intent == _ZERO)
        return reading.slots if reading is not None and of_gauge else None

    found = spots(talk.language.put_right(said), _LONGEST, read)
    told = {float(slots.get("pressure") or 0) for _, slots in found if slots is not None}
    if len(told) != 1:
        return False
    enough = load.holding and min(told) >= (load.process.target_psi or 0)
    if enough and likelihood(said) >= statements.LIKELY_TOLD:
        return False  # "about eleven most of the time": what it tells is asked about
    sentence = talk.language.phrase("reading_off", "gauge_reads", number=talk.language.number(told.pop()))
    reading = meant(miss.live.parse(sentence))
    if reading is None:
        return False
    talk.note("guessed", miss.text, intent=reading.intent, slots=reading.slots)
    prompt = talk.language.say("unmatched", "did_you_say", said=written(sentence))
    heard = Heard(reading.intent, reading.slots, miss.text, talk.t)
    frames.ask_yes_no(talk, "said", prompt, heard, as_heard=sentence)
    return True


def _may_read(talk: Talk, said: str, *, cools: bool) -> bool:
    """True if a statement may tell what the gauge reads: it has a number of that kind, and tells of nothing else."""
    language = talk.language
    if not language.has("reading_off", "gauge_reads") or len(said.split()) > _MOST_WORDS:
        return False
    one = cools and language.hears("one_read", said)  # "i tipped one a little", "the second one is fine"
    numbers = {*range(statements.MOST_PSI)} - (set() if cools else {0}) - (set() if one else {1})
    else_ = statements.is_of_other_matters(talk, said) or statements.is_of_gauge(talk, said)
    return language.names_one(numbers, said) and not else_ and not any(language.hears(each, said) for each in _NEVER)
