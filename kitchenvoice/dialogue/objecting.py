"""Objections to a report, in words; a time in one goes on while it is asked about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kitchenvoice.dialogue import doubting, filling
from kitchenvoice.dialogue.choosing import where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import window_shut
from kitchenvoice.dialogue.turn import Objected
from kitchenvoice.process import Load

__all__ = ["objection_text", "why_text"]

_RESTED_S = 60.0
"""Rest of less isn't told: the jars came out with the count, as far as anybody said."""


def objection_text(talk: Talk, load: Load, kind: str, data: Mapping[str, Any], since_s: float = 0.0) -> str:
    """Put an objection into words, so many seconds after it was made."""
    now = dict(data)
    for name, on_s in (("left_s", -since_s), ("rested_s", since_s), ("hours", since_s / 3600)):
        if name in now:
            now[name] = max(0.0, now[name] + on_s)
    told = doubting.acid_told(load)
    if kind == "acid_unconfirmed" and told is not None:
        return doubting.question(talk, told, load)
    values = filling.values_of(talk, now, load)
    if "hours" in now:
        values["hours"] = talk.language.duration(now["hours"] * 3600)
    if "other" in now:
        other = talk.kitchen.load(int(now["other"]))
        values["other"] = other.food_name if other is not None else ""
    if kind == "not_decided" and window_shut(load, talk.t):
        kind = "not_decided_late"
    elif kind == "not_decided" and load.unfit:
        kind = "not_decided_unfit"
    if kind == "rest_not_done" and now["rested_s"] < _RESTED_S:
        kind = "rest_untold"
    if "where" in talk.language.gaps("objecting", kind):
        values["where"] = where(talk, load)
    return talk.language.say("objecting", kind, values)


def why_text(talk: Talk, objected: Objected) -> str:
    """Put an objection made earlier into words that are true now; nothing of a load that is gone."""
    load = talk.kitchen.load(objected.load)
    return "" if load is None else objection_text(talk, load, objected.kind, objected.data, talk.t - objected.t)
