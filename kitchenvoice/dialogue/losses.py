"""Answers to the question about a doubt of one load: either it is so, or all held.

No answer, sleep, and whatever is no answer count as lost. "Never mind" and "scratch that" are no answer: what was told
and is not to count puts the hold in question.
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import checks, denying, doubting, filling, frames, taking_back
from kitchenvoice.dialogue.checks import CHECKS, HELD_AND_LOST
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.doubting import OF_ONE_REPORT, YES_HELD, doubt_of, ids_of, settle
from kitchenvoice.dialogue.how_many import SIZE, ask_unfit
from kitchenvoice.dialogue.question import Frame, Kind
from kitchenvoice.dialogue.returning import OF_A_LOSS, is_of, starts
from kitchenvoice.dialogue.statements import is_of_other_matters
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency
from kitchenvoice.process import THINGS, Doubt, Load

__all__ = ["LOSS", "cancel_doubt", "named", "unknown"]

_REPORTS = MappingProxyType({CHECKS[watched]: reports for watched, reports in HELD_AND_LOST.items()})
"""The reports that answer a question about the stove."""
_WAITS = frozenset({"in_question", "unexplained", *THINGS})
"""Doubts without a report of a loss: silence settles them only when the process says so."""
_AGAIN_S = 90.0
"""Pause after two questions without an answer; from then on each is as long as all before."""
_BACK = {"pressure_is", *(well for well, _ in HELD_AND_LOST.values())}
"""Reports with which a hold that was lost starts anew."""
_NO_PROOF = ("vague", "hedged")
"""Kinds of words by which an answer doesn't say that it held."""
_NO_ANSWER = {("unexplained", "no"): "was", **{(kind, "yes"): "did" for kind in ("in_question", *THINGS)}}
"""Words of an answer to something else."""
_DONE = ("happening", "past")
"""Kinds of words by which heat is told to have gone off."""


def named(talk: Talk, doubt: Doubt, load: Load, heard: Heard) -> None:
    """Take the load that was named for the one that lost it; of the heat, and after the end, it is asked first."""
    if (doubt.kind == "heat_off" and load.claims) or (load.may_go_back and doubt.kind != "fault"):
        doubting.ask(talk, doubt, load)
    else:
        _lost(talk, doubting.frame_of(talk, doubt, load), doubt, load, "named", heard.text)
        (denying.ask_if_misheard if load.claims else denying.let_answer_stand)(talk, load.id)


def _held(talk: Talk, frame: Frame, doubt: Doubt, load: Load, by: str, heard: str = "") -> None:
    frames.close(talk, frame)
    if doubt.kind == "heat_off" and load.claims:
        key, values = doubting.time_of(talk, load)
        talk.speak(filling.named(talk, load, talk.language.say("confirming", key, values)), Urgency.READBACK)
    elif doubt.kind == "taken_back":
        talk.say("confirming", "cancelled")
    elif doubt.kind in OF_ONE_REPORT - {"steam_stopped"} | {"late"}:
        talk.say("confirming", "any")
    settle(talk, doubt.id, by, held=(load.id,), heard=heard)
    denying.let_answer_stand(talk, load.id)
    told = next((event.heard for event in taking_back.standing(talk) if event.seq == doubt.id), "")
    done = talk.written and any(talk.language.hears(each, told) for each in _DONE)
    if doubt.kind == "heat_off" and done and not is_of_other_matters(talk, heard):
        rest = [] if talk.language.hears("now_so", told) else [load]
        doubting.put_in_question(talk, told, rest, told=True)  # that it isn't off now leaves open whether it was


def _lost(talk: Talk, frame: Frame, doubt: Doubt, load: Load, by: str, heard: str = "") -> None:
    """One report was of one load: with it the others are settled, but for one that was named before it."""
    frames.close(talk, frame)
    if doubt.kind == "unexplained":
        doubting.ask_of_what(talk, doubt, load)
        return
    if doubt.kind == "taken_back":
        taking_back.take_back(talk, taking_back.event_of(talk, doubt))
        return
    rest = [each for each in ids_of(talk, doubt) if each not in (load.id, *frame.values.get("named", ()))]
    _take_back_elsewhere(talk, doubt)
    settle(talk, doubt.id, by, lost=(load.id,), held=rest if doubt.kind in OF_ONE_REPORT else (), heard=heard)
    if doubt.kind in THINGS:
        ask_unfit(talk, load.id, heard)


def _take_back_elsewhere(talk: Talk, doubt: Doubt) -> None:
    """Take back a report that was taken for another load before it was known to be of this one."""
    if (event := taking_back.event_of(talk, doubt)) is not None:
        taking_back.take_back(talk, event)


def _is_back(talk: Talk, frame: Frame, doubt: Doubt, load: Load, heard: Heard) -> None:
    """Take what is back for a yes, and start the hold anew that was lost by it; without heat nothing is back."""
    _lost(talk, frame, doubt, load, "yes", heard.text)
    told = str(heard.slots.get("again") or "pressure_is")
    if load.claims and doubt.kind == "heat_off":
        checks.report(talk, load.id, "heat_on", heard)
    if load.claims and told in _BACK:
        slots = heard.slots if told == "pressure_is" else {}
        starts(talk, replace(heard, intent=told, slots=slots, of=load.id))


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    doubt, load = doubt_of(talk, frame), talk.kitchen.load(frame.load)
    if doubt is None or load is None:
        frames.close(talk, frame)
        return False
    if heard.intent == "disown" and talk.language.hears("vague", heard.text):
        heard = replace(heard, intent="no")  # "not quite"
    of_it = heard.of in (None, load.id)
    if heard.intent == "back_at" and doubt.kind in OF_A_LOSS and of_it and is_of(load, heard):
        _is_back(talk, frame, doubt, load, heard)
        return True
    if heard.intent == "no" and frame.expects in _REPORTS:
        frames.close(talk, frame)
        checks.report(talk, load.id, HELD_AND_LOST[load.process.watched][1], heard)
        return True
    if frame.expects == "gauge_reading":
        if heard.intent != "no":
            return checks.take_reading(talk, frame, heard)
        talk.say("losses", "no_answer")
        frames.again(talk, frame)  # no number: the silence about it goes on
        return True
    if heard.intent == "disown" and "words" in doubt.data:
        _held(talk, frame, doubt, load, "withdrawn")  # the words weren't about it
        return True
    other = _NO_ANSWER.get((doubt.kind, heard.intent))
    asked_so = other is not None and (doubting.told_so(doubt) or talk.language.hears(other, frame.prompt.lower()))
    if other is not None and talk.language.hears(other, heard.text) and not asked_so:
        frames.again(talk, frame)  # "it did" is no answer to whether it was
        return True
    if heard.intent == "yes" and doubting.told_so(doubt) and talk.language.hears("all_held", heard.text):
        frames.again(talk, frame)  # "yes, the whole time" is no answer to whether it fell
        return True
    if heard.intent in ("yes", "no"):
        says_so = heard.intent == ("no" if doubting.told_so(doubt) else "yes")
        held = says_so == (doubt.kind in YES_HELD)
        if held and any(talk.language.hears(each, heard.text) for each in _NO_PROOF):
            talk.say("losses", "has_to_be_sure")
            frames.again(talk, frame)
            return True
        (_held if held else _lost)(talk, frame, doubt, load, "yes" if says_so else "no", heard.text)
        if frame.said is not None and (held or doubt.kind == SIZE):  # jars that are out are out, of any size
            talk.obey(replace(frame.said, t=talk.t, of=load.id))
        return True
    if heard.intent == "steam_steady" and doubt.kind == "steam_stopped" and of_it:
        _lost(talk, frame, doubt, load, "report", heard.text)  # it is steady again: the vent starts over
        checks.report(talk, load.id, heard.intent, heard)
        return True
    well, _ = HELD_AND_LOST.get(load.process.watched, ("", ""))
    if heard.intent == well and doubt.kind in ("unheard", "low_number") and of_it:
        _held(talk, frame, doubt, load, "report", heard.text)
        checks.report(talk, load.id, heard.intent, heard)
        return True
    return False


def _lapse(talk: Talk, frame: Frame) -> None:
    """Take silence for a loss where one was reported; the end of a hold waits for all other answers, asked again."""
    doubt = doubt_of(talk, frame)
    lower = doubt is not None and doubt.data.get("lower") is True  # a reading of later tells of that too
    if doubt is not None and doubt.kind == "unheard" and not lower:
        frames.close(talk, frame)
        doubting.withdraw(talk, doubt)  # a reading of later doesn't tell of this
        return
    if doubt is not None and (doubt.kind in _WAITS or "words" in doubt.data or lower) and talk.question is not None:
        asked = (frame.load, *frame.values.get("named", ()))
        first, *_ = loads = talk.kitchen.in_doubt(doubt.id)
        unasked = [load for load in loads if load.id not in asked]
        if unasked:
            doubting.ask(talk, doubt, unasked[0])
            return
        again_s = max(_AGAIN_S, talk.t - doubt.since_t)
        values = {**frame.values, "named": ()}
        talk.question = replace(talk.question, load=first.id, values=values, stale_t=talk.t + again_s)
        return
    frames.close(talk, frame)
    if doubt is None or doubting.can_wait(talk, doubt):
        return
    if doubt.kind in ("heat_off", "late", "taken_back"):
        talk.say("doubting", "nobody_said_no", urgency=Urgency.CAUTION)
    loads = talk.kitchen.in_doubt(doubt.id)
    rest = [load for load in loads if load.id != frame.load and doubt.kind in OF_ONE_REPORT]
    doubting.put_in_question(talk, "", rest)  # it was named as another's, and nobody said so twice
    lost = [load.id for load in loads if load.id == frame.load]
    _take_back_elsewhere(talk, doubt)
    settle(talk, doubt.id, "silence", lost=lost, held=[load.id for load in rest])


def unknown(talk: Talk, frame: Frame, heard: str) -> None:
    """Take a hold as lost if nobody knows; ask again about what can be checked."""
    doubt, load = doubt_of(talk, frame), talk.kitchen.load(frame.load)
    if doubt is not None and load is not None and doubt.kind in YES_HELD and frame.expects == "yes_no":
        _lost(talk, frame, doubt, load, "unknown", heard)
    else:
        frames.again(talk, frame)


def cancel_doubt(talk: Talk, frame: Frame) -> None:
    """Take it for no answer: whether all held is asked of what was reported, and all else is lost by it."""
    doubt = doubt_of(talk, frame)
    if doubt is None:
        return
    if doubt.kind in OF_ONE_REPORT - {"steam_stopped", "fault"}:
        doubting.withdraw(talk, doubt)
        if not talk.kitchen.doubts:
            talk.say("confirming", "cancelled")
    elif doubt.kind in ("late", "taken_back", "fault", "opened"):
        doubting.ask(talk, doubt, talk.kitchen.load(frame.load))
    else:
        settle(talk, doubt.id, "cancel", lost=ids_of(talk, doubt))


def _prompt(talk: Talk, frame: Frame) -> str:
    doubt, load = doubt_of(talk, frame), talk.kitchen.load(frame.load)
    if doubt is None or load is None or load not in talk.kitchen.in_doubt(doubt.id):
        return ""
    return doubting.question(talk, doubt, load, again=True)


def _intents(_: Talk, frame: Frame) -> frozenset[str]:
    numbers = ("pressure_is", "pressure_low", "number") if frame.expects == "gauge_reading" else ()
    return frozenset({*numbers, *_REPORTS.get(frame.expects, ())})


LOSS = Kind(_take, _prompt, _lapse, cancel_doubt, _intents)
"""A doubt about one load."""
