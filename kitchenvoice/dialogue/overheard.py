"""What was said to us and isn't understood, but has a word in it that may tell of a loss, or of opening a canner.

The words are data of the language. Where a hold counts, one such sentence puts it in question; where a canner may be
under pressure it is warned of, and of heat that is on while it cools. Of a hold that has been over for long only the
past tells, and what isn't done yet tells of none. What has none of the words wants to be missed twice.
"""

from __future__ import annotations

import re
from functools import lru_cache

from kitchenvoice.dialogue import doubting, filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Stage, ends_late

__all__ = ["catch", "contradicted", "has_word", "warn_of_the_heat", "warn_of_the_lid"]

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
    if has_word(talk, "loss", text):
        past = has_word(talk, "past", text) and not said
        loads = talk.kitchen.open_loads
        doubting.put_in_question(talk, text, [x for x in loads if past or x.claims or ends_late(x, talk.t)])
    elif often:
        doubting.not_understood(talk, text)
    return said


def contradicted(talk: Talk, text: str) -> None:
    """Put in question every hold that counts."""
    doubting.put_in_question(talk, text)


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
