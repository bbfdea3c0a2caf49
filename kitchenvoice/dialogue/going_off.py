"""Heat that goes off: in words of everyday as well, and of every canner where all are meant.

Before the time is up it is asked whether the heat is off: that all held until now is no answer to that.
"""

from __future__ import annotations

from dataclasses import replace

from kitchenvoice.dialogue import doubting, reports
from kitchenvoice.dialogue.choosing import called_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.statements import goes_off
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Load, waits_for_heat_off

__all__ = ["HANDLERS", "tells_heat_off"]

_SEVERAL = 2


def tells_heat_off(talk: Talk, text: str) -> Heard | None:
    """Return the report that typed words tell in which heat goes off, or a canner is taken from it."""
    said, hot = without_name(talk, text), _hot(talk)
    if not (talk.written and hot and goes_off(talk, said)):
        return None
    named = tuple(load.id for load in called_in(said, hot))
    return Heard("heat_off", {}, text, talk.t, of=named[0] if len(named) == 1 else None, among=named)


def _heat_off(talk: Talk, heard: Heard) -> None:
    """Take it for its load; of all at once one is asked after the other."""
    hot = _hot(talk)
    named = [load for load in hot if load.id in heard.among]
    if len(named) >= _SEVERAL:  # "the carrots instead of the beans"
        holding = [load for load in named if load.claims]
        doubting.raise_doubt(talk, "heat_off", holding, replace(heard, among=()), {}, among=named)
        return
    if heard.of is not None or heard.among or len(hot) < _SEVERAL or not talk.language.hears("all_of_them", heard.text):
        reports.take(talk, heard, "heat_off", {})
        return
    for load in hot:
        if load.claims:
            talk.record("doubt", None, heard.text, {"kind": "heat_off", "loads": (load.id,)})
        else:
            reports.take(talk, replace(heard, of=load.id), "heat_off", {})


def _hot(talk: Talk) -> list[Load]:
    """Return the loads of which it can be told."""
    return [load for load in talk.kitchen.open_loads if load.claims or waits_for_heat_off(load)]


HANDLERS = {"heat_off": _heat_off}
"""What is done with heat that is off."""
