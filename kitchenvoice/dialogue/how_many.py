"""Number and size of jars: asked for where a report leaves them out or can't have them, and taken with the report."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import doubting, filling, forms, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.statements import jars_named, other_jar
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Load, Stage

__all__ = [
    "JARS_IN",
    "SIZE",
    "UNFIT",
    "ask_jars_in",
    "ask_size",
    "ask_unfit",
    "of_its_jars",
    "of_jars_named",
    "of_other_jars",
]

_OF_SOME = frozenset({"acid", "spoiled"})
"""Faults that some jars can have alone."""
SIZE = "of_size"
"""The doubt whether the jars are of the size that their load was looked up for."""


def _form(
    intent: str, slots: Callable[[Heard, int], Mapping[str, Any]], dropped: tuple[str, str], *also: str
) -> Form[Talk]:
    """Make the form that obeys a report with its number, told by itself or `also` by these; `dropped` is said where
    none is given."""
    intents = frozenset({"number", *also})

    def take(talk: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
        load, said = talk.kitchen.load(frame.load), heard.slots
        if intent == "jars_in" and load is not None and load.stage not in (Stage.PACK, Stage.CANNER):
            return None  # a lone number is read off a gauge by now
        count = forms.whole(said.get("value", said.get("count"))) if heard.intent in intents else None
        if load is not None and heard.intent in intents and said.get("all"):
            count = max(0, load.planned - load.broken - said.get("but", 0))
        of_others = load is not None and other_jar(talk, heard.text, load) is not None
        return None if count is None or of_others or not (count or intent == "jars_in") else {"count": count}

    def fill(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
        if frame is not None and frame.said is not None and "count" in values:
            talk.obey(replace(frame.said, intent=intent, slots=slots(frame.said, values["count"]), of=frame.load))
        elif frame is not None:
            frames.ask(talk, frame)

    return Form(take, fill, lambda talk, _: talk.language.say(*dropped), intents)


JARS_IN = _form("jars_in", lambda _, count: {"count": count}, ("confirming", "cancelled"), "packed_in_all")
"""How many jars are in."""
UNFIT = _form("fault", lambda said, count: {**said.slots, "jars": count}, ("step_words", "unfit"))
"""In how many jars the acid was left out, or the food is spoiled. Until somebody says so, it is all of them."""


def ask_jars_in(talk: Talk, heard: Heard, load_id: int, text: str) -> None:
    """Ask how many jars are in; a bare number will do, however many were packed aloud."""
    said = replace(heard, rival=None, asked=("jars_in_differ",))
    forms.ask(talk, "jars_in", "count", {}, text, "how_many_in", load=load_id, said=said)


def ask_unfit(talk: Talk, load_id: int, text: str) -> bool:
    """Ask how many jars have a fault that was just told of a load that was held, if some can; tell whether they can."""
    load = talk.kitchen.load(load_id)
    told = () if load is None or load.processed_t is None else load.faults
    fault = next((x for x in told if x.t == talk.t and x.jars is None and x.kind in _OF_SOME), None)
    if load is None or fault is None or (fault.kind == "acid" and load.process.acid_in != "jar"):
        return False
    prompt = filling.named(talk, load, talk.language.say("how_many", f"how_many_{fault.kind}"))
    said = Heard("fault", {"fault": fault.kind}, text, talk.t, of=load_id)
    forms.ask(talk, "unfit", "count", {}, prompt, "count", load=load_id, said=said)
    return True


def of_jars_named(talk: Talk, heard: Heard) -> Heard | None:
    """Give what is told of jars of a size to the load packed in them; `None` if none is, and that is asked."""
    jar = next(iter(jars_named(talk, heard.text)), None)
    packing = [load for load in talk.kitchen.open_loads if load.stage is Stage.PACK and heard.of in (None, load.id)]
    if jar is None or not packing:
        return heard
    fits = [load for load in packing if load.jar == jar]
    load = next((load for load in fits or packing if load.id == talk.kitchen.focus), (fits or packing)[-1])
    if of_other_jars(talk, heard, load):
        return None
    return replace(heard, of=load.id) if len(fits) == 1 < len(packing) else heard


def of_other_jars(talk: Talk, heard: Heard, load: Load) -> bool:
    """Ask of which size the jars are if it is told of another one than the load was looked up for; tell whether it was.

    Another jar takes another time: jars of another size are no jars of a load, whatever their number.
    """
    jar = other_jar(talk, heard.text, load)
    if jar is None or SIZE in heard.asked or load.fault("numbers") is not None:
        return False
    doubting.keep(talk, SIZE, [load], heard.text)
    said = {"jars": talk.language.jars(load.jar), "said": talk.language.jars(jar)}
    ask_size(talk, heard, load, filling.named(talk, load, talk.language.say("how_many", "other_jar", said)))
    return True


def ask_size(talk: Talk, heard: Heard, load: Load, prompt: str = "") -> bool:
    """Ask whether the jars are of the size that the load was looked up for, if that is in doubt; tell whether it is.

    What was `heard` waits for the answer.
    """
    now, said = talk.kitchen.load(load.id) or load, heard.sure(SIZE, of=load.id)
    doubt = next((each for each in (*now.doubts, *now.kept) if each.kind == SIZE), None)
    if doubt is None:
        return False
    if doubt in now.doubts:
        doubting.ask(talk, doubt, now, said)
    else:
        frames.ask_yes_no(talk, SIZE, prompt or doubting.question(talk, doubt, now), said, load.id, kept=True)
    return True


def of_its_jars(talk: Talk, heard: Heard) -> Heard:
    """Return what is told of a load in packing as what it can be: jars that still wait as where it is, a number as the
    count of its jars ("the carrots are at three"), where it is no pressure that its hold would begin with."""
    load, psi = talk.kitchen.load(heard.of), heard.slots.get("pressure")
    if load is None or load.stage is not Stage.PACK:
        return heard
    if "still" in heard.slots:
        return replace(heard, intent="load_select", slots={"load": load.number})
    if heard.intent != "pressure_is" or psi is None:
        return heard
    fits = psi == int(psi) and psi <= load.planned and psi < (load.process.target_psi or psi + 1)
    if not fits or talk.language.hears("of_stove", heard.text):
        return heard
    return replace(heard, intent="packed_in_all", slots={"count": int(psi)})
