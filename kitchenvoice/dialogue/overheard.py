"""What was said to us and isn't understood, or explains nothing: it may tell of a loss, or of opening a canner.

Where a hold counts, words that tell of a loss, which are data of the language, put it in question at once. So does
what is missed twice. A typed statement of which nothing was made is kept, and asked about at the hold's end. Where a
canner may be under pressure it is warned of, and of heat that is on while it cools. Of a hold that has been over for
long only the past tells.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

from kitchenvoice.dialogue import doubting, filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.grammar import intents_that, normalise
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Kitchen, Load, Stage, ends_late
from kitchenvoice.reference.nearness import asks

__all__ = [
    "SPOKEN_IN",
    "catch",
    "contradicted",
    "has_word",
    "left_open",
    "question",
    "second_thoughts",
    "tells_of_loss",
    "warn_of_the_heat",
    "warn_of_the_lid",
    "without_name",
]

_WELL, _LOSSES = intents_that("well"), intents_that("loss")
_COUNTS = intents_that("counts")
_TELLS = intents_that("report", "of_load", "tells") - intents_that("well", "calm")
SPOKEN_IN = "en"
"""The language of the knowledge base."""
_LEAST_PSI = 5
"""Smaller numbers are of jars, or of no gauge."""
_HEATED = frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL})


def catch(talk: Talk, text: str, *, often: bool) -> bool:
    """Look for what may be told by a sentence that isn't understood; tell whether that was answered.

    `often`: it is not the first that isn't.
    """
    said = warn_of_the_lid(talk) if has_word(talk, "lid", text) else False
    if has_word(talk, "heat_on", text):
        said = warn_of_the_heat(talk) or said
    if said and has_word(talk, "future", text):
        return True
    if not left_open(talk, text, past=has_word(talk, "past", text) and not said) and often:
        doubting.not_understood(talk, text)
    return said


def left_open(talk: Talk, text: str, *, past: bool = False, kept: bool = True) -> bool:
    """Put in question what a sentence of which nothing was made may have ended; tell whether its words tell of a loss.

    A typed statement that tells of none is `kept`, and asked about at the end.
    """
    counting = [load for load in talk.kitchen.open_loads if load.claims]
    if len(counting) == 1 and counting[0].holding and counting[0].process.is_dial and _names_less(talk, text):
        talk.record("doubt", None, text, {"kind": "pressure_low", "loads": (counting[0].id,)})
        return True
    if tells_of_loss(talk, text):
        question(talk, text, past=past)
        return True
    if kept and talk.written and talk.language.tag == SPOKEN_IN and not asks(without_name(talk, text)):
        doubting.note_unexplained(talk, without_name(talk, text))
    return False


def tells_of_loss(talk: Talk, text: str) -> bool:
    """Tell whether a sentence has a word of a loss, by itself or said of a thing of the stove, or a low number."""
    said_of_a_thing = has_word(talk, "loss_of", text) and has_word(talk, "thing", text)
    return has_word(talk, "loss", text) or said_of_a_thing or _names_less(talk, text)


def question(talk: Talk, text: str, *, past: bool = False) -> None:
    """Put in question every hold that counts or has just ended; of the `past`, those that were over long before too."""
    loads = talk.kitchen.open_loads
    doubting.put_in_question(talk, text, [x for x in loads if past or x.claims or ends_late(x, talk.t)])


def second_thoughts(talk: Talk, intent: str, text: str, before: Kitchen, asked: Frame | None) -> None:
    """Put in question what a sentence leaves open that was understood, if nothing else did.

    It names less than the target, says that all is well again, tells of a loss that lost nothing or was before, calls
    something wrong, or tells something of a load of which nothing came. `before` and `asked` are the kitchen and the
    open question as they were.
    """
    now = talk.kitchen
    if talk.asleep or before.doubts or now.doubts or _counting(now) != _counting(before) or intent in _COUNTS:
        return
    idle = talk.last_seq == before.seq and talk.question is asked
    past, returned = has_word(talk, "past", text), has_word(talk, "returned", text)
    less = (asked is None or asked.passive or asked.of_stove) and _names_less(talk, text)
    if intent == "mistake" or (intent in _WELL and returned) or (intent in _LOSSES and past) or less:
        question(talk, text, past=past and intent in _LOSSES)
    elif intent in _LOSSES - {"heat_off"}:
        doubting.put_in_question(talk, text, [load for load in now.open_loads if load.claims])
    elif intent in _TELLS and idle and _counting(now):
        doubting.note_unexplained(talk, text)


def _counting(kitchen: Kitchen) -> frozenset[int]:
    return frozenset(load.id for load in kitchen.open_loads if load.claims)


def _names_less(talk: Talk, text: str) -> bool:
    """Tell whether a text has a number below the target of a hold in it, and not of jars or minutes."""
    least = min((load.process.target_psi or 0 for load in talk.kitchen.open_loads if load.claims), default=0)
    if least <= _LEAST_PSI:
        return False
    low = {talk.language.number(psi) for psi in range(_LEAST_PSI, math.ceil(least))}
    counted, before = (
        set(talk.language.choices("overheard", "counted")),
        set(talk.language.choices("overheard", "tens")),
    )
    words = ["", *normalise(text).split(), ""]
    return any(
        word in low and words[at] not in before and words[at + 2] not in counted for at, word in enumerate(words[1:-1])
    )


def contradicted(talk: Talk, text: str) -> None:
    """Put in question every hold that counts."""
    doubting.put_in_question(talk, text)


def without_name(talk: Talk, text: str) -> str:
    """Return a text without the wake phrase."""
    return normalise(text).removeprefix(normalise(talk.profile.attention)).strip()


def has_word(talk: Talk, of: str, text: str) -> bool:
    """Tell whether a sentence has a word of one kind, as the table `overheard` of the language has them."""
    return bool(_pattern(talk.language.choices("overheard", of)).search(text))


@lru_cache(maxsize=16)
def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"\b({'|'.join(words)})\b")


def warn_of_the_lid(talk: Talk) -> bool:
    """Warn of a canner that may be under pressure, whoever listens; tell whether there is one."""
    shut = any(_may_be_under_pressure(load) for load in talk.kitchen.open_loads)
    if shut:
        talk.say("objections", "leave_lid", urgency=Urgency.CAUTION)
    return shut


def warn_of_the_heat(talk: Talk) -> bool:
    """Say that the heat goes off where a canner cools; tell whether one does."""
    cooling = [
        load
        for load in talk.kitchen.open_loads
        if load.stage is Stage.COOL and load.process.is_pressure and not load.lid_off
    ]
    for load in cooling:
        values = filling.values_of(talk, {}, load)
        talk.say("facts", "heat_still_on", values, urgency=Urgency.CAUTION)
    return bool(cooling)


def _may_be_under_pressure(load: Load) -> bool:
    waits = load.at_zero and load.timer("settle") is None
    return load.process.is_pressure and load.stage in _HEATED and not load.lid_off and not waits
