"""Confirming a loss: what may have ended a vent or hold is a doubt in the log, and is asked about until it is settled.

Which load is asked first where it may be several, then whether it is so. Naming a load settles the others only together
with it: a load that is named and then denied gives the doubt back to the others. No answer, sleep, and whatever is no
answer count as lost. What is open is asked again by itself: after a restart, and after anything that came between.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import checks, filling, frames, reports, taking_back
from kitchenvoice.dialogue.choosing import ask_which, named_ones
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.frames import Frame, Kind
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Doubt, Load, Stage, raised_by

__all__ = [
    "LOSS",
    "WHICH",
    "answered_by_report",
    "ask_open",
    "denied",
    "doubt_of",
    "forget_all",
    "named",
    "not_understood",
    "note_asleep",
    "raise_doubt",
    "settle",
]

_BREATH_S = 60.0
"""For so long what was reported can be taken back as misheard, while time is left. Common practice, no source."""
_OF_ONE_REPORT = frozenset({"heat_off", "pressure_low", "weight_quiet", "boil_lost", "steam_stopped"})
_YES_HELD = frozenset({"gap", "unheard", "low_number", "steam_stopped"})
"""Doubts that are asked about so that a yes says that it held; of the others a yes says that it was lost."""
_REPORTS_HELD = MappingProxyType({"weighted": "weight_rocking", "bath": "boiling"})
_STARTS = frozenset({"pressure_is", "weight_rocking", "boiling", "steam_steady", "weight_on"})
_KEYS = MappingProxyType({"dial": "pressure", "weighted": "weight"})


def raise_doubt(
    talk: Talk, kind: str, loads: Sequence[Load], heard: Heard, data: Mapping[str, Any], among: Sequence[Load] = ()
) -> None:
    """Write down what may have ended a vent or hold, and ask. `among` are the loads that the sentence may be of."""
    fresh = [load for load in loads if load.doubted(kind) is None]
    if fresh:
        said = {name: value for name, value in data.items() if name != "asked"}
        talk.record("doubt", None, heard.text, {**said, "kind": kind, "loads": tuple(load.id for load in fresh)})
    now = [talk.kitchen.load(load.id) for load in loads]
    doubt = next((found for load in now if load is not None and (found := load.doubted(kind))), None)
    if doubt is None:
        return
    if len(among) > 1:
        ask_which(talk, among, heard, doubt.id)
    else:
        ask(talk, doubt)


def doubt_of(talk: Talk, frame: Frame) -> Doubt | None:
    """Return the doubt that a frame asks about, if it is still open."""
    return next((each for each in talk.kitchen.doubts if each.id == frame.doubt), None)


def ask_open(talk: Talk) -> bool:
    """Ask about the oldest doubt that is open, unless something presses; tell whether it did."""
    if talk.asleep or (talk.question is not None and talk.question.pressing):
        return False
    waiting = {each.doubt for each in (talk.question, *talk.parked) if each is not None and each.prompted < 2}
    doubt = next((each for each in talk.kitchen.doubts if each.id not in waiting), None)
    if doubt is not None:
        ask(talk, doubt)
    return doubt is not None


def ask(talk: Talk, doubt: Doubt, load: Load | None = None) -> None:
    """Ask which load it is, or whether it is so of the one that is left."""
    loads = talk.kitchen.in_doubt(doubt.id)
    if load is None and len(loads) > 1 and doubt.kind in _OF_ONE_REPORT:
        ask_which(talk, loads, None, doubt.id)
        return
    load = load or loads[0]
    prompt = _question(talk, doubt, load)
    values, expects = {"doubt": doubt.id}, _expects(doubt, load)
    frame = Frame(kind="loss", about=doubt.kind, expects=expects, prompt=prompt, load=load.id, values=values)
    frames.ask(talk, frame)


def _gauge(load: Load) -> str:
    return (load.process.gauge or "weighted") if load.process.is_pressure else "bath"


def _expects(doubt: Doubt, load: Load) -> str:
    if doubt.kind not in ("unheard", "low_number"):
        return "yes_no"
    return {"dial": "gauge_reading", "weighted": "weight_check"}.get(_gauge(load), "boil_check")


def _question(talk: Talk, doubt: Doubt, load: Load) -> str:
    """Say what is asked, by what is left now."""
    values, say = filling.values_of(talk, doubt.data, load), talk.language.say
    gauge = _gauge(load)
    if doubt.kind == "heat_off":
        timer = load.timer("hold") or load.timer("vent")
        left = max(0.0, timer.left_s(talk.t)) if timer is not None else 0.0
        key = "hold_not_done" if left > 0 else "hold_over"
        told = filling.values_of(talk, {"left_s": left, "unsure": timer is not None and timer.unsure}, load)
        return filling.named(talk, load, say("objections", key, told))
    if doubt.kind == "gap":
        return say("talk", "gap_vent" if not load.holding else f"gap_{_KEYS.get(gauge, 'boil')}", values)
    if doubt.kind in ("unheard", "low_number"):
        return say("facts", f"check_{gauge}" if load.holding else "check_steam", values)
    if doubt.kind == "steam_stopped":
        return say("facts", "check_steam", values)
    if doubt.kind == "taken_back":
        return taking_back.question(talk, doubt, load)
    if doubt.kind == "late" or (doubt.kind in _OF_ONE_REPORT and load.may_go_back):
        return filling.named(talk, load, say("doubts", f"late_{_KEYS.get(gauge, 'boil')}", values))
    return filling.named(talk, load, say("doubts", doubt.kind, values))


# ---------------------------------------------------------------- settling


def settle(
    talk: Talk, doubt: int, by: str, *, lost: Sequence[int] = (), held: Sequence[int] = (), heard: str = ""
) -> None:
    """Write down the answer."""
    load = next(iter((*lost, *held)), None)
    answer = {"doubt": doubt, "lost": tuple(lost), "held": tuple(held), "by": by}
    facts = talk.record("doubt_settled", load, heard, answer)
    gone = next((fact.load for fact in facts if fact.kind in ("hold_lost", "vent_stopped")), None)
    if gone is not None and gone != talk.kitchen.focus:
        talk.record("load_select", gone)  # what she asks next is of the one in trouble


def _held(talk: Talk, frame: Frame, doubt: Doubt, load: Load, by: str, heard: str = "") -> None:
    frames.close(talk, frame)
    if doubt.kind == "heat_off":
        timer = load.timer("hold")
        left = max(0.0, timer.left_s(talk.t)) if timer is not None else 0.0
        key = "hold_not_done" if left > 0 else "hold_over"
        values = filling.values_of(talk, {"left_s": left}, load)
        talk.speak(filling.named(talk, load, talk.language.say("declined", key, values)), Urgency.READBACK)
    elif doubt.kind == "taken_back":
        talk.say("talk", "cancelled")
    elif doubt.kind in _OF_ONE_REPORT - {"steam_stopped"} | {"late"}:
        talk.say("declined", "any")
    settle(talk, doubt.id, by, held=(load.id,), heard=heard)


def _lost(talk: Talk, frame: Frame, doubt: Doubt, load: Load, by: str, heard: str = "") -> None:
    """One report was of one load: with it the others are settled."""
    frames.close(talk, frame)
    if doubt.kind == "taken_back":
        taking_back.take_back(talk, taking_back.event_of(talk, doubt))
        return
    rest = [each.id for each in talk.kitchen.in_doubt(doubt.id) if each.id != load.id]
    settle(talk, doubt.id, by, lost=(load.id,), held=rest if doubt.kind in _OF_ONE_REPORT else (), heard=heard)


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    doubt, load = doubt_of(talk, frame), talk.kitchen.load(frame.load)
    if doubt is None or load is None:
        frames.close(talk, frame)
        return False
    if frame.expects == "gauge_reading":
        return checks.take_reading(talk, frame, heard)
    if heard.intent == "no" and frame.expects != "yes_no":
        frames.close(talk, frame)
        reports.take_for_id(talk, load.id, "weight_quiet" if load.process.is_pressure else "boil_lost", {}, heard)
        return True
    if heard.intent in ("yes", "no"):
        held = (heard.intent == "yes") == (doubt.kind in _YES_HELD)
        (_held if held else _lost)(talk, frame, doubt, load, heard.intent, heard.text)
        return True
    of_it = heard.of in (None, load.id)
    if heard.intent == "steam_steady" and doubt.kind == "steam_stopped" and of_it:
        _lost(talk, frame, doubt, load, "report", heard.text)  # it is steady again: the vent starts over
        reports.take_for_id(talk, load.id, heard.intent, {}, heard)
        return True
    if heard.intent == _REPORTS_HELD.get(_gauge(load)) and doubt.kind in ("unheard", "low_number") and of_it:
        _held(talk, frame, doubt, load, "report", heard.text)
        reports.take_for_id(talk, load.id, heard.intent, {}, heard)
        return True
    return False


def answered_by_report(talk: Talk, load: Load) -> None:
    """Settle what a report that it holds answers: something not understood, or a number that said nothing."""
    for doubt in load.doubts:
        if doubt.kind in ("unheard", "low_number"):
            frames.close(talk, _frame_of(doubt))
            settle(talk, doubt.id, "report", held=(load.id,))


def not_understood(talk: Talk, text: str) -> None:
    """Ask what each hold does that counts: what was said to us and not understood may have been a loss."""
    loads = tuple(load for load in talk.kitchen.open_loads if load.holding and load.doubted("unheard") is None)
    if loads:
        talk.record("doubt", None, text, {"kind": "unheard", "loads": tuple(load.id for load in loads)})
        talk.question = None if talk.question is not None and talk.question.kind == "check" else talk.question


def denied(talk: Talk, doubt: int, load: int) -> None:
    """Give a doubt back to the other loads: the one that was named wasn't it."""
    if talk.kitchen.in_doubt(doubt):
        settle(talk, doubt, "no", held=(load,))


# ---------------------------------------------------------------- no answer


def _lapse(talk: Talk, frame: Frame) -> None:
    doubt = doubt_of(talk, frame)
    frames.close(talk, frame)
    if doubt is None:
        return
    if doubt.kind in ("heat_off", "late", "taken_back"):
        talk.say("talk", "nobody_said_no", urgency=Urgency.CAUTION)
    loads = [frame.load] if frame.load is not None and doubt.kind not in _OF_ONE_REPORT else _ids(talk, doubt)
    settle(talk, doubt.id, "silence", lost=[each for each in loads if each is not None])


def _ids(talk: Talk, doubt: Doubt) -> list[int]:
    return [load.id for load in talk.kitchen.in_doubt(doubt.id)]


def _cancel(talk: Talk, frame: Frame) -> None:
    """Take back what was just reported, while time is left; else it is no answer."""
    doubt = doubt_of(talk, frame)
    if doubt is None:
        return
    loads = talk.kitchen.in_doubt(doubt.id)
    timers = [load.timer("hold") for load in loads]
    in_time = talk.t - doubt.t <= _BREATH_S and all(timer is not None and timer.left_s(talk.t) > 0 for timer in timers)
    if doubt.kind in _OF_ONE_REPORT - {"steam_stopped"} and in_time:
        talk.say("talk", "cancelled")
        settle(talk, doubt.id, "taken back", held=[load.id for load in loads])
    elif doubt.kind in ("heat_off", "late", "taken_back"):
        ask(talk, doubt, talk.kitchen.load(frame.load))
    else:
        settle(talk, doubt.id, "cancel", lost=_ids(talk, doubt))


def forget_all(talk: Talk) -> None:
    """Nobody will answer: whatever is in doubt counts as lost."""
    for doubt in talk.kitchen.doubts:
        if doubt.kind in ("heat_off", "late"):
            talk.say("talk", "nobody_said_no", urgency=Urgency.CAUTION)
        settle(talk, doubt.id, "sleep", lost=_ids(talk, doubt))


def _prompt(talk: Talk, frame: Frame) -> str:
    doubt, load = doubt_of(talk, frame), talk.kitchen.load(frame.load)
    if doubt is None or load is None or load not in talk.kitchen.in_doubt(doubt.id):
        return ""
    return _question(talk, doubt, load)


def _intents(_: Talk, frame: Frame) -> frozenset[str]:
    checked = {"gauge_reading": {"pressure_is", "pressure_low", "number"}, "weight_check": {"weight_rocking"}}
    more = checked.get(frame.expects, {"boiling"} if frame.expects == "boil_check" else set())
    bad = {"weight_check": {"weight_quiet"}, "boil_check": {"boil_lost"}}.get(frame.expects, set())
    return frozenset({"yes", "no", *more, *bad})


LOSS = Kind(_take, _prompt, _lapse, _cancel, _intents)
"""A doubt about one load."""


# ---------------------------------------------------------------- which load


def _which_take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    doubt = doubt_of(talk, frame)
    if frame.doubt is not None and doubt is None:
        frames.close(talk, frame)
        return False
    offered = [int(each) for each in frame.values["loads"]]
    if heard.intent in ("both", "neither"):
        frames.close(talk, frame)
        _all_of_them(talk, frame, doubt, offered, heard)
        return True
    if heard.intent == "no":
        return _none_named(talk, frame, doubt)
    meant = named_ones(talk, frame, heard)
    if meant is None:
        return False
    if heard.intent == "not_load":
        _not_that_one(talk, frame, doubt, meant)
        return True
    if len(meant) != 1:
        loads = [load for load in talk.kitchen.open_loads if load.id in offered]
        names = talk.language.listed([filling.load_name(talk, load) for load in loads], "and")
        talk.say("talk", "no_such_load", loads=names)
        return True
    frames.close(talk, frame)
    _chosen(talk, frame, doubt, meant[0], heard)
    return True


def _chosen(talk: Talk, frame: Frame, doubt: Doubt | None, load: Load, heard: Heard) -> None:
    touched = [] if doubt is None else _ids(talk, doubt)
    if doubt is not None and load.id in touched:
        named(talk, doubt, load, heard)
        return
    if doubt is not None:
        settle(talk, doubt.id, "named", held=touched, heard=heard.text)
    if frame.said is not None:
        talk.obey(frame.said.sure(of=load.id))


def named(talk: Talk, doubt: Doubt, load: Load, heard: Heard) -> None:
    """Take the load that was named for the one that lost it; of the heat, and after the end, it is asked first."""
    if doubt.kind == "heat_off" or load.may_go_back:
        ask(talk, doubt, load)
    else:
        _lost(talk, _frame_of(doubt), doubt, load, "named", heard.text)
        reports.ask_if_misheard(talk, load.id)


def _frame_of(doubt: Doubt) -> Frame:
    return Frame(kind="loss", about=doubt.kind, expects="yes_no", prompt="", values={"doubt": doubt.id})


def note_asleep(talk: Talk, heard: Heard) -> None:
    """Write down what may be a loss though nobody listens: it is asked about once somebody does, or counts."""
    psi = heard.slots.get("pressure")
    for load in talk.kitchen.open_loads:
        below = psi is not None and psi < (load.process.target_psi or 0)
        late = raised_by(load, heard.intent, dict(heard.slots), talk.t)
        if heard.intent in _OF_ONE_REPORT or below or heard.intent == "gauge_zero":
            kind = late[0] if late is not None else heard.intent if heard.intent in _OF_ONE_REPORT else "pressure_low"
            talk.record("doubt", None, heard.text, {**(late[1] if late else {}), "kind": kind, "loads": (load.id,)})


def _none_named(talk: Talk, frame: Frame, doubt: Doubt | None) -> bool:
    """A bare no names none: what is in doubt stays so, and is asked again."""
    if doubt is None:
        frames.close(talk, frame)
        talk.say("talk", "cancelled")
    else:
        talk.say("doubts", "name_or_neither")
        frames.again(talk, frame)
    return True


def _not_that_one(talk: Talk, frame: Frame, doubt: Doubt | None, meant: Sequence[Load]) -> None:
    out = {load.id for load in meant}
    left = [load for load in talk.kitchen.open_loads if load.id in frame.values["loads"] and load.id not in out]
    frames.close(talk, frame)
    if doubt is not None:
        settle(talk, doubt.id, "not that one", held=[each for each in out if each in _ids(talk, doubt)])
    elif frame.said is not None and len(left) == 1:
        talk.obey(frame.said.sure(of=left[0].id))
    elif frame.said is not None and left:
        ask_which(talk, left, frame.said)


def _all_of_them(talk: Talk, frame: Frame, doubt: Doubt | None, offered: list[int], heard: Heard) -> None:
    """Take "both" for each of them, "neither" for none. One reading is of one gauge: it starts no two holds."""
    if heard.intent == "both" and doubt is None and frame.said is not None and frame.said.intent in _STARTS:
        talk.say("doubts", "one_by_one")
        return
    if heard.intent == "neither" and doubt is None:
        talk.say("talk", "cancelled")
    elif heard.intent == "neither" and doubt is not None:
        talk.say("declined", "any")
        settle(talk, doubt.id, "neither", held=_ids(talk, doubt), heard=heard.text)
    elif doubt is not None:
        settle(talk, doubt.id, "both", lost=_ids(talk, doubt), heard=heard.text)
    elif frame.said is not None:
        for number in offered:
            talk.obey(frame.said.sure(of=number))


def _which_lapse(talk: Talk, frame: Frame) -> None:
    doubt = doubt_of(talk, frame)
    if doubt is not None:
        frames.close(talk, frame)
        talk.say("talk", "nobody_said_which", urgency=Urgency.CAUTION)
        settle(talk, doubt.id, "silence", lost=_ids(talk, doubt))
        return
    waiting = [
        load for load in talk.kitchen.open_loads if load.id in frame.values["loads"] and _waits_for_heat_off(load)
    ]
    if frame.said is not None and frame.said.intent == "heat_off" and waiting:
        frames.close(talk, frame)
        names = talk.language.listed([filling.load_name(talk, load) for load in waiting], "and")
        talk.say("talk", "nobody_said_whose_heat", urgency=Urgency.CAUTION, loads=names)


def _waits_for_heat_off(load: Load) -> bool:
    return load.stage is Stage.HOLD and load.processed_t is not None


def _which_cancel(talk: Talk, frame: Frame) -> None:
    if frame.doubt is None:
        talk.say("talk", "cancelled")
    else:
        _cancel(talk, frame)


def _which_prompt(talk: Talk, frame: Frame) -> str:
    if frame.doubt is not None and doubt_of(talk, frame) is None:
        return ""
    loads = [load for load in talk.kitchen.open_loads if load.id in frame.values["loads"]]
    names = talk.language.listed([filling.load_name(talk, load) for load in loads])
    return talk.language.say("talk", "which_load", loads=names) if loads else ""


def _which_intents(_: Talk, __: Frame) -> frozenset[str]:
    return frozenset({"load_select", "choice", "number", "both", "neither", "not_load", "yes", "no"})


WHICH = Kind(_which_take, _which_prompt, _which_lapse, _which_cancel, _which_intents)
"""A sentence that waits for its load, or a doubt that may touch several."""
