"""Answers to "which load?": a name, "both", "neither", "not that one".

Naming a load settles the others only together with it: a load that is named and then denied gives the doubt back to the
others.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitchenvoice.dialogue import frames, losses
from kitchenvoice.dialogue.choosing import go_on_with, load_list, named_ones, no_such_load, offered, which_load
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.doubting import can_wait, doubt_of, ids_of, settle
from kitchenvoice.dialogue.question import Frame, Kind
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Doubt, Load, raised_by, waits_for_heat_off

__all__ = ["WHICH"]

_STARTS = intents_that("begins")


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    doubt = doubt_of(talk, frame)
    if frame.doubt is not None and doubt is None:
        frames.close(talk, frame)
        return False
    if heard.intent in ("both", "neither"):
        frames.close(talk, frame)
        _all_of_them(talk, frame, doubt, heard)
        return True
    if heard.intent == "no":
        return _none_named(talk, frame, doubt)
    meant = named_ones(talk, frame, heard)
    if meant is None:
        return False
    if heard.intent == "not_load":
        _not_that_one(talk, frame, doubt, meant)
        return True
    if len(meant) > 1:
        frames.again(talk, frame)  # a name of several
        return True
    if not meant:
        no_such_load(talk, offered(talk, frame))
        return True
    frames.close(talk, frame)
    _chosen(talk, frame, doubt, meant[0], heard)
    return True


def _chosen(talk: Talk, frame: Frame, doubt: Doubt | None, load: Load, heard: Heard) -> None:
    touched = [] if doubt is None else ids_of(talk, doubt)
    by_weight = doubt is not None and "pressure" in doubt.data and not load.process.is_dial
    asked = doubt is not None and doubt.kind == "fault" and raised_by(load, "fault", doubt.data, talk.t) is not None
    if doubt is not None and load.id in touched and not (by_weight or asked):
        losses.named(talk, doubt, load, heard)
        return
    if doubt is not None:
        settle(talk, doubt.id, "named", held=touched, heard=heard.text)
    said = frame.said
    if doubt is not None and by_weight and said is None:  # a restart has forgotten the sentence
        said = Heard("pressure_is", {"pressure": doubt.data["pressure"]}, heard.text, talk.t)
    elif doubt is not None and asked and said is None:
        said = Heard("fault", {"fault": doubt.data["fault"]}, heard.text, talk.t)
    if said is not None:
        talk.obey(said.sure(of=load.id))


def _none_named(talk: Talk, frame: Frame, doubt: Doubt | None) -> bool:
    """A bare no names none: what is in doubt stays so, and is asked again."""
    if doubt is None:
        frames.close(talk, frame)
        talk.say("confirming", "cancelled")
    else:
        talk.say("which", "name_or_neither")
        frames.again(talk, frame)
    return True


def _not_that_one(talk: Talk, frame: Frame, doubt: Doubt | None, meant: Sequence[Load]) -> None:
    out = {load.id for load in meant}
    left = [load for load in offered(talk, frame) if load.id not in out]
    frames.close(talk, frame)
    if doubt is not None:
        settle(talk, doubt.id, "not_load", held=[each for each in out if each in ids_of(talk, doubt)])
    if doubt is not None and doubt_of(talk, frame) is not None:
        return  # it is asked of those that are left
    if frame.said is not None:
        go_on_with(talk, left, frame.said.sure())


def _all_of_them(talk: Talk, frame: Frame, doubt: Doubt | None, heard: Heard) -> None:
    """Take "both" for each of them, "neither" for none. One reading is of one gauge: it starts no two holds."""
    if heard.intent == "both" and doubt is None and frame.said is not None and frame.said.intent in _STARTS:
        talk.say("which", "one_by_one")
        return
    if heard.intent == "neither" and doubt is None:
        talk.say("confirming", "cancelled")
    elif heard.intent == "neither" and doubt is not None:
        talk.say("confirming", "any")
        settle(talk, doubt.id, "neither", held=ids_of(talk, doubt), heard=heard.text)
    else:
        touched = [] if doubt is None else ids_of(talk, doubt)
        if doubt is not None:
            settle(talk, doubt.id, "both", lost=touched, heard=heard.text)
        if frame.said is None:
            return
        for number in frame.values["loads"]:
            if number not in touched:
                talk.obey(frame.said.sure(of=number))


def _lapse(talk: Talk, frame: Frame) -> None:
    doubt = doubt_of(talk, frame)
    if doubt is not None:
        frames.close(talk, frame)
        if can_wait(talk, doubt):
            return
        talk.say("which", "nobody_said_which", urgency=Urgency.CAUTION)
        settle(talk, doubt.id, "silence", lost=ids_of(talk, doubt))
        return
    waiting = [load for load in offered(talk, frame) if waits_for_heat_off(load)]
    if frame.said is not None and frame.said.intent == "heat_off" and waiting:
        frames.close(talk, frame)
        names = load_list(talk, waiting, "and")
        talk.say("which", "nobody_said_whose_heat", urgency=Urgency.CAUTION, loads=names)


def _cancel(talk: Talk, frame: Frame) -> None:
    if frame.doubt is None:
        talk.say("confirming", "cancelled")
    else:
        losses.cancel_doubt(talk, frame)


def _prompt(talk: Talk, frame: Frame) -> str:
    if frame.doubt is not None and doubt_of(talk, frame) is None:
        return ""
    loads = offered(talk, frame)
    return which_load(talk, loads) if loads else ""


_ANSWERS = frozenset({"load_select", "choice", "number", "both", "neither", "not_load", "yes", "no"})
WHICH = Kind(_take, _prompt, _lapse, _cancel, lambda _talk, _frame: _ANSWERS)
"""A sentence that waits for its load, or a doubt that may touch several."""
