"""The handler of each intent, of each kind of question, and of each form."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import (
    altitude,
    asking,
    checks,
    confirming,
    consulting,
    counting,
    courtesies,
    crocks,
    denying,
    everyday,
    forms,
    going_off,
    how_many,
    losses,
    pantry,
    plan_day,
    planning,
    reports,
    sensing,
    setup,
    sheets,
    starting,
    steering,
    stepping,
    timers,
    which,
)
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Form, Kind
from kitchenvoice.dialogue.turn import Heard

__all__ = ["FORMS", "HANDLERS", "KINDS"]

HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        **steering.HANDLERS,
        **setup.HANDLERS,
        **timers.HANDLERS,
        **crocks.HANDLERS,
        **asking.HANDLERS,
        **reports.HANDLERS,
        **going_off.HANDLERS,
        **counting.HANDLERS,
        **stepping.HANDLERS,
        **courtesies.HANDLERS,
        **everyday.HANDLERS,
        **sensing.HANDLERS,
        "have": planning.plan_by_voice,
        "ask_yield": planning.plan_by_voice,
        "ask_day": plan_day.tell_day,
        "ask_sheet": sheets.read_sheet,
    }
)
"""What is done with each intent."""

KINDS: Mapping[str, Kind[Talk]] = MappingProxyType(
    {
        "yes_no": confirming.YES_NO,
        "which": which.WHICH,
        "form": forms.FORM,
        "check": replace(checks.CHECK, lapse=denying.listen_on),
        "loss": losses.LOSS,
        "step": checks.STEP,
        "stands": denying.STANDS,
    }
)
"""What each kind of question does."""

FORMS: Mapping[str, Form[Talk]] = MappingProxyType(
    {
        "load_start": starting.START,
        "consult": consulting.CONSULT,
        "plan": planning.PLAN,
        "sheet": sheets.SHEET,
        "opened": pantry.OPENED,
        "timer_stop": timers.WHICH_TIMER,
        "crock": crocks.WHICH_CROCK,
        "jars_in": how_many.JARS_IN,
        "unfit": how_many.UNFIT,
        "altitude": altitude.ALTITUDE,
        "setup": setup.SETUP,
        "note": pantry.NOTE,
    }
)
"""All that is asked for piece by piece."""
