"""How many jars: asked where a report left the number out or can't have it, taken with the report it belongs to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import forms, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.turn import Heard

__all__ = ["JARS_IN", "WITHOUT_ACID", "ask_jars_in", "ask_without_acid"]


def _form(intent: str, slots: Callable[[int], Mapping[str, Any]], dropped: str) -> Form:
    """Make the form that obeys a report with its number; `dropped` is said where none is given."""

    def take(_: Talk, __: Frame, heard: Heard) -> Mapping[str, Any] | None:
        count = forms.whole(heard.slots.get("value")) if heard.intent == "number" else None
        return None if count is None or not (count or intent == "jars_in") else {"count": count}

    def fill(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
        if frame is not None and frame.said is not None and "count" in values:
            talk.obey(replace(frame.said, intent=intent, slots=slots(values["count"]), of=frame.load))
        elif frame is not None:
            frames.ask(talk, frame)

    return Form(take, fill, lambda talk, _: talk.language.say("talk", dropped))


JARS_IN = _form("jars_in", lambda count: {"count": count}, "cancelled")
"""How many jars are in."""
WITHOUT_ACID = _form("fault", lambda count: {"fault": "acid", "jars": count}, "unfit")
"""In how many jars the acid was left out. Until somebody says so, it is all of them."""


def ask_jars_in(talk: Talk, heard: Heard, load_id: int, text: str) -> None:
    """Ask how many jars are in; a bare number will do."""
    forms.ask(talk, "jars_in", "count", {}, text, "count", load=load_id, said=replace(heard, rival=None, asked=()))


def ask_without_acid(talk: Talk, heard: Heard, load_id: int, text: str) -> None:
    """Ask how many jars lack the acid."""
    forms.ask(talk, "without_acid", "count", {}, text, "count", load=load_id, said=heard)
