"""Taking back what was said: the last report of the cook that stands, to any depth.

Where a hold or vent hangs on it, it is asked about first. A loss that is taken back lets a hold count on, if the cook
says that it held the whole time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from kitchenvoice.dialogue import filling, frames, render
from kitchenvoice.dialogue.choosing import where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard, tells_zero
from kitchenvoice.grammar import intents_that
from kitchenvoice.process import Doubt, Event, Kitchen, Load, Stage, Value, fold

__all__ = ["disown", "event_of", "left_open", "question", "scratch", "standing", "take_back", "told_zero"]

_AT_ONCE_S = 60.0
"""For so long after a report "scratch that" takes it back without a question. Common practice, no source."""

_UNANSWERED = frozenset({"silence", "sleep"})
_VOUCH = intents_that("holds") | {"steam_steady"}
_NOT_TOLD = frozenset(
    {"timer_due", "call_again", "session_start", "answer_call", "load_select", "scratched", "step_entered", "doubt"}
)


def scratch(talk: Talk, heard: Heard) -> None:
    """Take back the last report, or the question that it led to."""
    if "seq" in heard.slots:
        take_back(talk, next((each for each in talk.history if each.seq == heard.slots["seq"]), None))
        return
    question = talk.question
    if question is not None and not _leaves_the_report(question):
        frames.cancel(talk)
        return
    if question is not None:
        frames.close(talk, question)
    talk.parked = tuple(each for each in talk.parked if each.doubt is not None)
    newest, event = next(_told(talk), None), _last_told(talk)
    if newest is not None and newest.data.get("by") in _UNANSWERED and newest.data.get("lost"):
        talk.say("taking_back", "stands_unanswered")
        return
    if event is not None and event.kind == "fault":
        prompt = talk.language.say("taking_back", "scratch_fault", what=render.undone(talk, event))
        frames.ask_yes_no(talk, "scratch", prompt, replace(heard, slots={"seq": event.seq}), event.load)
        return
    if event is None or not _ends_what_counts(talk, event):
        take_back(talk, event)
        return
    data = {"loads": (event.load,), "kind": "taken_back", "of": event.seq}
    talk.record("doubt", None, heard.text, data)  # what may not have been so is no claim any more: asked at once
    load = talk.kitchen.load(event.load)
    if load is None or not load.doubt:
        take_back(talk, event)


def disown(talk: Talk, heard: Heard) -> None:
    """Take back the last report that nobody wants to have made ("that was the radio"), at once or after a yes.

    At once just after it, or over a question that it led to; "oops" wants a yes, and is of nothing told long ago.
    """
    last, sure = _last_told(talk), heard.intent == "disown"
    if talk.question is not None and talk.question.kind == "check" and talk.language.hears("vague", heard.text):
        frames.again(talk, talk.question)  # "not quite" answers, and takes nothing back
        return
    kept = next((event for event in standing(talk) if event.data.get("kept") and event.heard), None)
    if sure and kept is not None and talk.t - kept.t <= _AT_ONCE_S and (last is None or last.seq < kept.seq):
        talk.take_back(kept)
        talk.say("confirming", "answered_no")
        return
    just = last is not None and talk.t - last.t <= _AT_ONCE_S
    asked = talk.asked is not None and not _leaves_the_report(talk.asked)
    if sure and (last is None or just or asked):
        scratch(talk, heard)
    elif last is None:
        talk.say("taking_back", "nothing_to_take_back")
    elif sure or just:
        prompt = talk.language.say("taking_back", "disown", what=render.undone(talk, last))
        said = Heard("scratch", {"seq": last.seq}, heard.text, talk.t)
        frames.ask_yes_no(talk, "disown" if just else "disown_late", prompt, said, last.load)
    else:
        talk.say("taking_back", "mistake", what=render.undone(talk, last))


def _ends(talk: Talk, event: Event) -> str:
    load = talk.kitchen.load(event.load)
    values = {"what": render.undone(talk, event), "hold_word": "" if load is None else filling.hold_word(talk, load)}
    return talk.language.say("taking_back", "scratch_ends", values)


def event_of(talk: Talk, doubt: Doubt) -> Event | None:
    """Return the report that a doubt would take back."""
    return next((each for each in talk.history if each.seq == doubt.data.get("of")), None)


def question(talk: Talk, doubt: Doubt, load: Load) -> str:
    """Ask whether a report that a hold hangs on is to be taken back."""
    event = event_of(talk, doubt)
    if event is None:
        return filling.named(talk, load, talk.language.say("doubting", "taken_back"))
    return _ends(talk, event)


def _leaves_the_report(question: Frame) -> bool:
    """True if "scratch that" over this question means a report: it was taken, or none led to it."""
    return question.kind in ("check", "step", "stands") or question.about == "forgotten"


def _ends_what_counts(talk: Talk, event: Event) -> bool:
    """True if taking this back ends a hold or vent that has counted for a while, or was confirmed."""
    scratched: dict[str, Value] = {"seq": event.seq, "kind": event.kind}
    gone = Event(seq=talk.last_seq + 1, t=talk.t, kind="scratched", load=event.load, data=scratched)
    without = fold([*talk.history, gone]).load(event.load)
    now, then = _counts(talk.kitchen.load(event.load)), _counts(without)
    late = talk.t - event.t > _AT_ONCE_S or event.data.get("answered") is True
    return now is not None and now != then and late


def _counts(load: Load | None) -> tuple[str, float] | None:
    """Return what counts of a load, its vent or its hold, and since when; what is done counts too."""
    timer = None if load is None else load.timer("hold") or load.timer("vent")
    if timer is not None:
        return timer.name, timer.started_t
    if load is not None and load.processed_t is not None:
        return "hold", load.holds[-1].started_t
    return None if load is None or not load.vented_s or load.holds else ("vent", load.vented_s)


def take_back(talk: Talk, event: Event | None, *, corrected: bool = False) -> None:
    """Scratch an event, and say where its load is now; not if a number `corrected` it, which is taken next."""
    if event is None:
        talk.say("taking_back", "nothing_to_take_back")
        return
    what, before = render.undone(talk, event), talk.kitchen
    for each in (*_told_with(talk, event), event):
        talk.take_back(each)
    talk.say("taking_back", "taken_back", what=what)
    if not corrected:
        left_open(talk, event, before)


def left_open(talk: Talk, event: Event, before: Kitchen) -> None:
    """Ask about what hangs on a report that was taken back, and say where its load is now."""
    unvouched = _unvouched(talk, event)
    revived = dict.fromkeys((*_revived(talk, before), *_over(talk, unvouched)))
    asked = {"in_question": tuple(revived), "unheard": unvouched}
    for kind, loads in asked.items():
        if loads:
            talk.record("doubt", None, "", {"kind": kind, "loads": loads})
    load = talk.kitchen.load(event.load)
    if load is not None and load.doubt:
        return  # what is asked now says where it is
    if load is not None and load.stage is not Stage.CLOSED:
        if load.stage is Stage.PACK and event.kind == "packed":
            values = filling.values_of(talk, {"packed": load.packed}, load)
            talk.speak(filling.named(talk, load, talk.language.say("render", "packed", values)))
        else:
            talk.speak(where(talk, load))
    elif not talk.kitchen.open_loads:
        talk.say("taking_back", "no_load_left")


def _told_with(talk: Talk, event: Event) -> Iterator[Event]:
    """Yield what the same answer told: a fault mended by a check that is clear after all, loads cleared by a name."""
    for each in list(standing(talk)):
        same = (each.t, each.heard, each.load, each.seq) == (event.t, event.heard, event.load, event.seq - 1)
        cleared = each.data.get("by") == "named" and not each.data.get("lost")
        if (each.kind == "fault_mended" and same) or (cleared and each.t == event.t and each.seq < event.seq):
            yield each


def _revived(talk: Talk, before: Kitchen) -> tuple[int, ...]:
    """Return the loads whose vent or hold counts on again: nobody knows yet whether all held meanwhile."""
    now = [
        load for load in talk.kitchen.open_loads if _counts(load) is not None and load.doubted("in_question") is None
    ]
    return tuple(load.id for load in now if _counts(before.load(load.id)) is None)


def _unvouched(talk: Talk, event: Event) -> tuple[int, ...]:
    """Return the load that holds or vents, or has just held, without the report that it does."""
    load = talk.kitchen.load(event.load)
    if load is None or load.doubt or event.kind not in _VOUCH or event.t > (load.processed_t or event.t):
        return ()
    return (load.id,)


def _over(talk: Talk, loads: Iterable[int]) -> tuple[int, ...]:
    return tuple(load.id for load in talk.kitchen.open_loads if load.id in loads and not load.claims)


def _last_told(talk: Talk) -> Event | None:
    return next((event for event in _told(talk) if event.data.get("by") not in _UNANSWERED), None)


def _told(talk: Talk) -> Iterator[Event]:
    told = (event for event in standing(talk) if event.kind in ("doubt_settled", *talk.language.table("undo")))
    return (event for event in told if event.kind not in _NOT_TOLD and "of" not in event.data)


def told_zero(talk: Talk, load: Load) -> bool:
    """Tell whether the last that was told of a load's pressure is that there is none."""
    told = (each for each in standing(talk) if each.load == load.id)
    read = (each for each in told if each.kind == "gauge_zero" or "pressure" in each.data)
    return any(tells_zero(each.kind, each.data) for each in [*read][:1])


def standing(talk: Talk) -> Iterator[Event]:
    """Yield what was recorded and not taken back, the latest first."""
    gone = {event.data["seq"] for event in talk.history if event.kind == "scratched"}
    return (event for event in reversed(talk.history) if event.seq not in gone)
