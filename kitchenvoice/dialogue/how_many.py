"""How many jars, and of which size: asked where a report left it out or can't have it, taken with the report."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import filling, forms, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import JAR_SIZES
from kitchenvoice.process import Stage

__all__ = ["JARS_IN", "WITHOUT_ACID", "ask_jars_in", "ask_without_acid", "of_jars_named"]


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


def of_jars_named(talk: Talk, heard: Heard) -> Heard | None:
    """Give what is told of jars of a size to the load packed in them; `None` if none is, and that is asked.

    Another jar takes another time: jars of another size are no jars of a load, whatever their number.
    """
    jar = _named(talk, heard.text)
    packing = [load for load in talk.kitchen.open_loads if load.stage is Stage.PACK and heard.of in (None, load.id)]
    fits = [load for load in packing if load.jar == jar]
    if jar is None or not packing or "other_jar" in heard.asked:
        return heard
    if not fits:
        load = next((load for load in packing if load.id == talk.kitchen.focus), packing[-1])
        values = {"jars": talk.language.jars(load.jar), "said": talk.language.jars(jar)}
        prompt = talk.language.say("talk", "other_jar", values)
        talk.ask_yes_no("other_jar", filling.named(talk, load, prompt), replace(heard, of=load.id), load.id)
        return None
    return replace(heard, of=fits[0].id) if len(fits) == 1 < len(packing) else heard


def _named(talk: Talk, text: str) -> str | None:
    """Return the one jar size that is named in a text; `None` for none, and for several."""
    words = {form: jar for jar in JAR_SIZES for form in (talk.language.jars(jar), talk.language.jars(jar, 1))}
    words = {form.split(" ", 1)[-1] if form.startswith("one ") else form: jar for form, jar in words.items()}
    longest = "|".join(sorted(map(re.escape, words), key=len, reverse=True))
    named = {words[each] for each in re.findall(rf"\b(?:{longest})\b", text.lower())}
    return named.pop() if len(named) == 1 else None
