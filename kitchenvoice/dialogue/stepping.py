"""From step to step: done, next, back, and giving up a load."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import filling, frames
from kitchenvoice.dialogue.belonging import just_named
from kitchenvoice.dialogue.checks import challenge_again
from kitchenvoice.dialogue.choosing import ask_which, spoken_of, what_hangs, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.step_words import tell_step
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Stage, following, step_of
from kitchenvoice.reference.nearness import asks

__all__ = ["HANDLERS"]


def _advance(talk: Talk, heard: Heard) -> None:
    """Go to the next step; "done" says that the present one is checked, "next" doesn't."""
    load, checked = talk.focus, heard.intent == "step_done"
    if load is None:
        talk.say_idle()
        return
    step = step_of(load)
    flawed = load.fault("gear") is not None and load.stage in (Stage.PACK, Stage.CANNER)
    if flawed and talk.language.hears("will_do", heard.text):
        talk.speak(filling.named(talk, load, tell_step(talk, load, again=True)))  # that puts nothing right
        return
    if checked and flawed:
        talk.record("fault_mended", load.id, heard.text, fault="gear")
        if step is None or "gear" not in step.traits:
            talk.speak(filling.named(talk, load, tell_step(talk, talk.kitchen.load(load.id) or load)))
            return
    blocked = step is None or step.done_by or (following(load) is None and load.stage is not Stage.PACK)
    if blocked and step is not None and checked and "lid_locked" in step.done_by:
        talk.obey(replace(heard, intent="lid_locked", slots={}, of=load.id))
    elif blocked and checked and heard.of is None and (other := _one_to_check(talk)) is not None:
        spoken_of(
            talk, other, heard.text
        )  # asked by its name first: nothing is checked by a word that may be of either
        talk.speak(filling.named(talk, other, tell_step(talk, other)))
    elif blocked:
        told = tell_step(talk, load, again=True)
        told = told if asks(heard.text) else talk.language.say("stepping", "by_report", step=told)
        talk.speak(filling.named(talk, load, what_hangs(talk, load) + told))
    elif step is not None and step.check and not checked:
        challenge_again(talk, load, step)
    else:
        talk.record("step_done", load.id, heard.text, step=heard.slots.get("step", load.step))


def _one_to_check(talk: Talk) -> Load | None:
    """Return the one open load whose step waits for such a word, if it is one."""
    waiting = [x for x in talk.kitchen.open_loads if (step := step_of(x)) and step.check and not step.done_by]
    return waiting[0] if len(waiting) == 1 else None


def _previous_step(talk: Talk, heard: Heard) -> None:
    load = talk.focus
    if load is None:
        talk.say_idle()
    elif load.stage not in (Stage.PACK, Stage.CANNER):
        talk.say("stepping", "scratch_instead")
    else:
        talk.record("previous_step", load.id, heard.text)


def _give_up(talk: Talk, heard: Heard) -> None:
    """End a load that can't or shouldn't be finished, after a yes; its record stays, uncounted."""
    loads, named = talk.kitchen.open_loads, talk.kitchen.load(heard.of)
    if named is not None:
        _ask_give_up(talk, heard, named)
    elif len(loads) > 1 and not just_named(talk):
        ask_which(talk, loads, heard)
    elif talk.focus is None:
        talk.say_idle()
    else:
        _ask_give_up(talk, heard, talk.focus)


def _ask_give_up(talk: Talk, heard: Heard, load: Load) -> None:
    if load.given_up_t is not None:
        talk.speak(where(talk, load))
        return
    name = {"load_name": filling.load_by_number(talk, load)}
    if "give_up" not in heard.asked:
        key = "give_up" if load.processed_t is None else "give_up_processed"
        frames.ask_yes_no(talk, "give_up", talk.language.say("stepping", key, name), heard, load.id)
        return
    hot = _still_hot(load)
    facts = talk.record("load_given_up", load.id, heard.text, canner=True)
    if any(fact.kind == "given_up_hot" for fact in facts):
        return
    talk.say("stepping", "given_up", name)
    if hot:
        talk.say("stepping", hot, urgency=Urgency.CAUTION)


def _still_hot(load: Load) -> str:
    """Name the caution for a canner that is on the heat or not open yet; none where there is nothing to say."""
    if load.stage not in (Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL) or load.lid_off:
        return ""
    if load.process.is_pressure:
        return "given_up_hot_pressure"
    return "given_up_hot_bath" if load.processed_t is None else "given_up_cooling_bath"


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {"step_done": _advance, "next_step": _advance, "previous_step": _previous_step, "load_given_up": _give_up}
)
"""What is done with each word about the steps."""
