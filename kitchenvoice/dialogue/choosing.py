"""Which load is meant, and where it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kitchenvoice.dialogue import filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.language import Joint
from kitchenvoice.process import Load, Stage, Timer
from kitchenvoice.reference import find_food

__all__ = [
    "InCanner",
    "ask_which_load",
    "find_loads",
    "leading_timer",
    "load_list",
    "named_in",
    "select",
    "stage_text",
    "where",
]


_VENTING = {"steam_again": "vent_lost", "weight": "vent_done"}
_COOLING = {step: f"cool_{step}" for step in ("settle", "open", "bath_rest", "unload")}


@dataclass(frozen=True, slots=True)
class InCanner:
    """A load by the canner it is in."""

    canner: int


def named_in(heard: Heard) -> int | str | InCanner | None:
    """Return by what a load is named in a sentence: its number, its food, its canner; `None` if none is named."""
    slots = heard.slots
    said = slots.get("load") if slots.get("load") is not None else slots.get("food") or slots.get("food_group")
    if said is None and slots.get("canner") is not None:
        return InCanner(int(slots["canner"]))
    return said


def find_loads(talk: Talk, said: object) -> tuple[Load, ...]:
    """Return the open loads that a number ("load two"), a food ("the carrots") or a canner ("canner two") can mean."""
    loads = talk.kitchen.open_loads
    if isinstance(said, InCanner):
        busy = talk.kitchen.busy(said.canner)
        meant = tuple(load for load in loads if load.canner == said.canner and load.stage is Stage.PACK)
        return (busy,) if busy is not None else meant
    if isinstance(said, int):
        return tuple(load for load in loads if load.number == said)
    foods = {said, *find_food(str(said)).candidates}
    return tuple(load for load in loads if load.food in foods or load.food_name == said)


def load_list(talk: Talk, loads: Sequence[Load], last: Joint = "or") -> str:
    """Say loads so that they can be told apart."""
    return talk.language.listed([filling.load_name(talk, load) for load in loads], last)


def ask_which_load(
    talk: Talk,
    loads: Sequence[Load],
    then: Callable[[Load], None],
    lapse: Callable[[float], None] | None = None,
    report: str = "",
) -> None:
    """Ask which of several loads is meant, then go on with that one; `lapse` is what happens if nobody says.

    With a `lapse` one that runs may be lost: then the question outlives a command, and none is called done meanwhile.
    She may name another load than those that were offered: then `then` says if it doesn't fit.
    """
    running = (load.id for load in loads if lapse is not None and (load.timer("hold") or load.timer("vent")))
    at_stake = frozenset(running)

    def answer(heard: Heard) -> bool:
        said = named_in(heard)
        if heard.intent == "no":
            talk.question = None
            talk.say("talk", "cancelled")
            return True
        if heard.intent not in ("choice", "load_select", "number") or (said is None and heard.intent != "number"):
            return False
        if heard.intent == "number":
            said = heard.slots.get("value")
        meant = find_loads(talk, said)
        found = [load for load in meant if load.id in {x.id for x in loads}] or meant
        if len(found) != 1:
            talk.say("talk", "no_such_load", loads=load_list(talk, loads, "and"))
            return True
        talk.question = None
        then(found[0])
        return True

    left = talk.language.say("talk", "cancelled")
    prompt = talk.language.say("talk", "which_load", loads=load_list(talk, loads))
    intents = frozenset({"load_select", "choice", "number"})
    keep = bool(at_stake)
    talk.ask(
        Question("load", prompt, answer, intents, lapse, dropped=left, keep=keep, at_stake=at_stake, report=report)
    )


def select(talk: Talk, heard: Heard) -> None:
    """Turn to the load she names."""
    found = find_loads(talk, named_in(heard))
    if not talk.kitchen.open_loads:
        talk.say("talk", "no_loads")
    elif not found:
        talk.say("talk", "no_such_load", loads=load_list(talk, talk.kitchen.open_loads, "and"))
    elif len(found) > 1:
        talk.selected_t = float("-inf")  # she has left the one before
        ask_which_load(talk, found, lambda load: _turn_to(talk, load, heard.text))
    else:
        _turn_to(talk, found[0], heard.text)


def _turn_to(talk: Talk, load: Load, heard: str) -> None:
    talk.record("load_select", load.id, heard)
    talk.selected_t = talk.t
    talk.speak(where(talk, load))


def stage_text(talk: Talk, load: Load) -> str:
    """Name the stage of a load: of a hold whether it runs, was lost or is done, of the cooling how far it is."""
    key = load.stage.value
    if load.stage is Stage.VENT:
        key = _VENTING.get(load.step, key)
    elif load.stage is Stage.HOLD:
        hold = load.hold
        if hold is not None and hold.done:
            key = "hold_done"
        elif hold is not None and hold.lost_t is not None:
            key = "hold_lost"
        elif not load.process.is_pressure:
            key = "hold_bath"
    elif load.stage is Stage.COOL:
        key = _COOLING.get(load.step, "cool" if load.process.is_pressure else "cool_bath")
    return talk.language.phrase("stages", key)


def where(talk: Talk, load: Load) -> str:
    """Say at what stage a load is, how long is left of what runs, and its step; briefly, where there are several."""
    several = len(talk.kitchen.open_loads) > 1
    name = f"{filling.load_name(talk, load)}. " if several else ""
    values = {"load_dot": name, "stage": stage_text(talk, load), "step": talk.tell_step(load, brief=several)}
    timer = leading_timer(load)
    if timer is None or timer.left_s(talk.t) <= 0 or load.doubt:
        return talk.language.say("answers", "where", values)
    return talk.language.say("answers", "where_left", values, left=filling.left_on(talk, timer))


def leading_timer(load: Load) -> Timer | None:
    """Return the timer that a load waits for, if one runs."""
    running = (load.timer(name) for name in ("hold", "vent", "settle", "bath_rest", "rest"))
    return next((timer for timer in running if timer is not None), None)
