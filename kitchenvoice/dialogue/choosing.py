"""The load that is meant, and where it is."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitchenvoice.dialogue import filling, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import SPOKEN_IN
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.step_words import tell_step
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import Joint
from kitchenvoice.process import Load, Stage, leading_timer, told_stage
from kitchenvoice.reference import find_food
from kitchenvoice.reference.ferments import said_of_ferment

__all__ = [
    "ByGauge",
    "InCanner",
    "ask_of_closed",
    "ask_which",
    "called_in",
    "find_loads",
    "go_on_with",
    "last_closed",
    "load_list",
    "named_in",
    "named_ones",
    "no_such_load",
    "offered",
    "refuse_without_load",
    "select",
    "spoken_loads",
    "spoken_of",
    "stage_text",
    "what_hangs",
    "where",
    "which_load",
]


@dataclass(frozen=True, slots=True)
class InCanner:
    """A load by the canner it is in."""

    canner: int


@dataclass(frozen=True, slots=True)
class ByGauge:
    """A load under pressure, named by its canner's gauge: a dial, or a weight alone."""

    is_dial: bool


def named_in(heard: Heard) -> int | str | InCanner | ByGauge | None:
    """Return by what a load is named in a sentence: number, food, canner or gauge; `None` if none is named."""
    slots = heard.slots
    said = slots.get("load") if slots.get("load") is not None else slots.get("food") or slots.get("food_group")
    if said is None and slots.get("canner") is not None:
        return InCanner(int(slots["canner"]))
    if said is None and slots.get("gauge") is not None:
        return ByGauge(slots["gauge"] == "dial")
    return said


def find_loads(talk: Talk, said: object) -> tuple[Load, ...]:
    """Return the open loads that a number ("load two"), a food, a canner or a gauge ("the dial one") can mean."""
    loads = talk.kitchen.open_loads
    if isinstance(said, ByGauge):
        shut = [load for load in loads if load.process.is_pressure]
        return tuple(load for load in shut if load.process.is_dial is said.is_dial)
    if isinstance(said, InCanner):
        busy = talk.kitchen.busy(said.canner)
        meant = tuple(load for load in loads if load.canner == said.canner and load.stage is Stage.PACK)
        return (busy,) if busy is not None else meant
    if isinstance(said, int):
        return tuple(load for load in loads if load.number == said)
    foods = {said, *find_food(str(said)).candidates}
    return tuple(load for load in loads if load.food in foods or load.food_name == said)


def spoken_loads(talk: Talk, heard: Heard) -> tuple[Load, ...]:
    """Return the open loads that a sentence names; all, if it names none."""
    said = named_in(heard)
    return talk.kitchen.open_loads if said is None else find_loads(talk, said)


def last_closed(talk: Talk) -> Load | None:
    """Return the load that was closed last, if jars of it are on the shelf: what fits no open load is of it."""
    closed = [load for load in talk.kitchen.loads if load.stage is Stage.CLOSED]
    last = max(closed, key=lambda load: max(x.seq for x in talk.history if x.load == load.id), default=None)
    return last if last is not None and last.shelved else None


def ask_of_closed(talk: Talk, text: str) -> bool:
    """Ask whether words that tell of something are about the jars that went on the shelf last; tell whether it did.

    A yes is a fault.
    """
    closed = last_closed(talk) if talk.asks_nothing else None
    if closed is not None:
        prompt = talk.language.say("choosing", "of_closed", food=closed.food_name)
        frames.ask_yes_no(talk, "closed", prompt, Heard("fault", {"fault": "short"}, text, talk.t), kept=True)
    return closed is not None


def called_in(text: str, loads: Sequence[Load]) -> list[Load]:
    """Return those of the loads whose food is named in a text, if only by its last word."""
    words = {*re.findall(r"\w+", text)}
    return [load for load in loads if words & {load.food_name.split()[-1]}]


def load_list(talk: Talk, loads: Sequence[Load], last: Joint = "or") -> str:
    """Say loads so that they can be told apart."""
    return talk.language.listed([filling.load_name(talk, load) for load in loads], last)


def ask_which(talk: Talk, loads: Sequence[Load], said: Heard | None, doubt: int | None = None) -> None:
    """Ask which of several loads is meant; the sentence then goes on with that one, or the doubt is settled by it."""
    values = {"loads": [load.id for load in loads], **({} if doubt is None else {"doubt": doubt})}
    prompt, about = which_load(talk, loads), "" if said is None else said.intent
    frames.ask(talk, Frame(kind="which", about=about, expects="load", prompt=prompt, said=said, values=values))


def go_on_with(talk: Talk, loads: Sequence[Load], said: Heard) -> None:
    """Take what was said for the one load that is left, or ask which of them."""
    if len(loads) == 1:
        talk.obey(replace(said, of=loads[0].id))
    elif loads:
        ask_which(talk, loads, replace(said, of=None))


def which_load(talk: Talk, loads: Sequence[Load]) -> str:
    """Return the question which of these loads is meant."""
    return talk.language.say("choosing", "which_load", loads=load_list(talk, loads))


def offered(talk: Talk, frame: Frame) -> list[Load]:
    """Return the open loads that a question gave to choose from."""
    return [load for load in talk.kitchen.open_loads if load.id in frame.values["loads"]]


def no_such_load(talk: Talk, loads: Sequence[Load]) -> None:
    """Say that none is called so, and what these are called."""
    talk.say("choosing", "no_such_load", loads=load_list(talk, loads, "and"))


def refuse_without_load(talk: Talk, text: str) -> None:
    """Say that no load is there to do that with, or take it for what is likely said of the ferment that is going.

    With a question of ours open, that one is asked again.
    """
    crocks = talk.kitchen.crocks if talk.asked is None else ()
    family = said_of_ferment(text) if crocks and talk.language.tag == SPOKEN_IN else None
    if family is not None:
        talk.obey(Heard("ask_family", {"family": family}, text, talk.t))
    elif talk.asked is None:
        talk.say("crocks" if crocks else "objecting", "no_load")
    else:
        talk.say("choosing", "no_answer_to_it" if talk.asked.about == "setup" else "no_loads")
        frames.again(talk, talk.asked)


def named_ones(talk: Talk, frame: Frame, heard: Heard) -> Sequence[Load] | None:
    """Return the loads that an answer names, of those offered if it can be; `None` if it is no such answer."""
    said = named_in(heard)
    if heard.slots.get("other"):
        return [load for load in offered(talk, frame) if load.id != frame.load]
    if heard.intent == "number":
        said = heard.slots.get("value")
    elif said is None or heard.intent not in ("choice", "load_select", "not_load"):
        return None
    meant = find_loads(talk, said)
    return [load for load in meant if load.id in frame.values["loads"]] or meant


def select(talk: Talk, heard: Heard) -> None:
    """Turn to the load that is named."""
    found = find_loads(talk, named_in(heard))
    found = tuple(load for load in found if load.id == heard.of) or found
    if not talk.kitchen.open_loads:
        talk.say("choosing", "no_loads")
    elif not found:
        no_such_load(talk, talk.kitchen.open_loads)
    elif len(found) > 1:
        talk.selected_t = float("-inf")  # the one before isn't meant any more
        ask_which(talk, found, heard)
    else:
        talk.record("load_select", found[0].id, heard.text)
        talk.selected_t = talk.t
        talk.speak(where(talk, found[0]))


def spoken_of(talk: Talk, load: Load, heard: str) -> None:
    """Let what is asked next without a name be about this load."""
    if load.id != talk.kitchen.focus:
        talk.record("load_select", load.id, heard)


def stage_text(talk: Talk, load: Load) -> str:
    """Name the stage of a load: of a hold whether it runs, was lost or is done, of the cooling how far it is."""
    return talk.language.phrase("stages", told_stage(load))


def what_hangs(talk: Talk, load: Load, named: str = "") -> str:
    """Return the words put before any status of a load whose hold is over but in doubt: the question is asked again."""
    if load.doubt:
        talk.note("hangs")
    open_still = load.doubt and load.processed_t and load.stage is not Stage.KEEP  # whose step says so
    return talk.language.say("objecting", "in_doubt", load_dot=named) + " " if open_still else named


def where(talk: Talk, load: Load) -> str:
    """Say at what stage a load is, how long is left of what runs, and its step; briefly, where there are several."""
    several = len(talk.kitchen.open_loads) > 1
    name = f"{filling.load_name(talk, load)}. " if several else ""
    values = {"load_dot": name, "stage": stage_text(talk, load), "step": tell_step(talk, load, brief=several)}
    timer = leading_timer(load)
    values["load_dot"] = what_hangs(talk, load, name)
    if timer is None or timer.left_s(talk.t) <= 0 or load.doubt:
        return talk.language.say("choosing", "where", values)
    return talk.language.say("choosing", "where_left", values, left=filling.left_on(talk, timer))
