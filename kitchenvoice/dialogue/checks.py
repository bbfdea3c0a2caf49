"""Questions of our own: what the gauge reads, whether the weight rocks or the water boils, and the one a step asks.

One is asked at a time; the others wait until it is answered or nobody answers. What a report has answered meanwhile
isn't asked any more, and none is asked more than twice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import filling, frames
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import values_of
from kitchenvoice.dialogue.question import Frame, Kind
from kitchenvoice.dialogue.statements import is_not_of_now
from kitchenvoice.dialogue.step_words import step_text, tell_step, worded
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Fact, Load, Step, step_of

__all__ = [
    "CHECK",
    "CHECKS",
    "HELD_AND_LOST",
    "STEP",
    "ask_about",
    "ask_clearly",
    "ask_due",
    "ask_now",
    "ask_step",
    "challenge_again",
    "note_checks",
    "put_off",
    "report",
    "take_reading",
]

_NOTHING: Mapping[str, Any] = MappingProxyType({})
_SILENT = 2
"""The second question that comes while the first is unanswered says how long nothing was reported. From then on each is
asked once only."""

CHECKS: Mapping[str, str] = MappingProxyType(
    {"dial": "gauge_reading", "weighted": "weight_check", "bath": "boil_check", "steam": "steam_check"}
)
_ANSWERS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "dial": frozenset({"pressure_is", "pressure_low", "nearly", "number"}),
        "weighted": frozenset({"weight_rocking", "weight_quiet"}),
        "bath": frozenset({"boiling", "boil_lost"}),
        "steam": frozenset({"steam_steady", "steam_stopped"}),
    }
)


HELD_AND_LOST: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "weighted": ("weight_rocking", "weight_quiet"),
        "bath": ("boiling", "boil_lost"),
        "steam": ("steam_steady", "steam_stopped"),
    }
)
"""By what is watched: the report that it held, and that it didn't. A dial tells a number instead."""


def note_checks(talk: Talk, facts: Sequence[Fact]) -> None:
    """Put the questions that the clock brought in line."""
    for fact in facts:
        if fact.kind == "check_due" and fact.load is not None and fact.load not in talk.checks:
            talk.checks.append(fact.load)


def put_off(talk: Talk, before: Frame | None) -> None:
    """Let a question about the stove that was pushed aside come again, once; drop one that a report has answered."""
    if before is None or before.kind != "check":
        return
    load = talk.kitchen.load(before.load)
    waits = load is not None and _still_asked(load)
    if talk.question == before and not waits:
        talk.question = None
    elif talk.question != before and waits and before.prompted == _asked_at_first(talk):
        talk.checks = [*(each for each in talk.checks if each != before.load), int(before.load or 0)]
        talk.parked = tuple(each for each in talk.parked if not each.same(before))


def _still_asked(load: Load) -> bool:
    return load.holding and not load.doubt and load.asked_t is not None


def ask_due(talk: Talk) -> None:
    """Ask the next question about the stove that waits."""
    while talk.checks:
        load = talk.kitchen.load(talk.checks.pop(0))
        if load is not None and _still_asked(load):
            ask_now(talk, load)
            return


def _asked_at_first(talk: Talk) -> int:
    """An old hand is asked once, anybody else once more if nobody answers."""
    return 1 if talk.brief else 0


def ask_now(talk: Talk, load: Load) -> None:
    """Ask what the gauge reads, whether the weight rocks or the water boils, whenever the clock would."""
    kind = load.process.watched
    first = _asked_at_first(talk) if load.asks < _SILENT else 1
    prompt, expects = _check_prompt(talk, load, kind, load.asks), CHECKS[kind]
    frame = Frame(kind="check", about=kind, expects=expects, prompt=prompt, load=load.id, prompted=first)
    frames.ask(talk, replace(frame, values={"asks": load.asks}))


def ask_about(talk: Talk, load: Load) -> None:
    """Ask the same of what was just said, in its own words."""
    talk.quote(already=False)
    ask_now(talk, load)


def ask_clearly(talk: Talk, load: Load) -> None:
    """Ask what the stove does; of an answer that is none, say what is wanted of it."""
    asked = talk.question
    if asked is None or asked.kind != "check" or asked.load != load.id:
        ask_now(talk, load)
        return
    key = "need_number" if asked.about == "dial" else "yes_or_no"
    talk.say("checks", key, prompt=frames.words(talk, asked))
    frames.wait_on(talk, asked)


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    load_id = frame.load or 0
    if frame.about == "dial":
        return take_reading(talk, frame, heard)
    good, bad = HELD_AND_LOST[frame.about]
    told = {"yes": good, "no": bad, good: good}.get(heard.intent)
    if told is None:
        return False
    if told == good and is_not_of_now(talk, heard.text):
        ask_clearly(talk, talk.kitchen.load(load_id) or talk.kitchen.open_loads[0])  # "it was" isn't "it is"
        return True
    frames.close(talk, frame)
    report(talk, load_id, told, heard)
    return True


def report(
    talk: Talk, load_id: int, kind: str, heard: Heard, slots: Mapping[str, Any] = _NOTHING, rival: Any = None
) -> None:
    """Take an answer for the report that it is, of the load that was asked about."""
    answer = heard.intent in ("yes", "no")
    talk.obey(replace(heard, intent=kind, slots=slots, of=load_id, rival=rival, answer=answer))


def _prompt(talk: Talk, frame: Frame) -> str:
    load = talk.kitchen.load(frame.load)
    if load is None or not load.holding or load.doubt:
        return ""
    return _check_prompt(talk, load, frame.about, int(frame.values.get("asks", 0)))


def _cancel(talk: Talk, frame: Frame) -> None:
    talk.checks = [load for load in talk.checks if load != frame.load]
    talk.say("confirming", "cancelled")


def _intents(_: Talk, frame: Frame) -> frozenset[str]:
    return _ANSWERS[frame.about]


CHECK = Kind(_take, _prompt, lambda _talk, _frame: None, _cancel, _intents)  # what follows silence is added
"""What the stove does, of a hold that counts."""


def _check_prompt(talk: Talk, load: Load, kind: str, asks: int) -> str:
    """Ask; once in each silence say how long nothing was reported."""
    prompt = talk.language.say("checks", f"check_{kind}", values_of(talk, {}, load))
    if asks != _SILENT or load.heard_t is None:
        return prompt
    values = values_of(talk, {"since_s": talk.t - load.heard_t}, load)
    bare = talk.language.say("checks", f"check_{kind}", {**values, "load_dot": ""})
    return talk.language.say("checks", "check_unheard", {**values, "check": bare})


def take_reading(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take the bare number, or the report that answers the question, for the load that it was about."""
    load_id = frame.load or 0
    if heard.intent == "pressure_low" and not heard.addressed:
        frames.close(talk, frame)
        report(talk, load_id, "pressure_low", heard, dict(heard.slots))
        return True
    said = {"number": "value", "pressure_is": "pressure"}.get(heard.intent)
    if said is None or heard.slots.get(said) is None:
        return False
    frames.close(talk, frame)
    rival = None if heard.rival is None else {"pressure": heard.rival.get(said)}
    report(talk, load_id, "pressure_is", heard, {"pressure": heard.slots[said]}, rival)
    return True


# ---------------------------------------------------------------- challenges of a step


def ask_step(talk: Talk) -> None:
    """Listen for the answer to the challenge that was just spoken; nobody is asked twice."""
    load = talk.focus
    step = step_of(load) if load is not None else None
    if load is None or step is None or not step.check or talk.question is not None:
        return
    if not talk.tells_step(load):
        return
    text = step_text(talk, load)
    frames.ask(talk, _step_frame(load, step, text), spoken=False)


def _step_frame(load: Load, step: Step, prompt: str) -> Frame:
    return Frame(kind="step", about=step.id, expects="step_check", prompt=prompt, load=load.id, prompted=1)


def challenge_again(talk: Talk, load: Load, step: Step) -> None:
    """Ask once more for a check that was passed over; the next time, only for the word that ends it."""
    again = talk.question is not None and talk.question.passive and talk.question.values.get("again")
    key = "unchecked_still" if again else "unchecked_first"
    text = filling.named(
        talk,
        load,
        talk.language.say("checks", key, step=tell_step(talk, load, again=True), check=worded(talk, step).check),
    )
    talk.speak(text, Urgency.CAUTION)
    frames.ask(talk, replace(_step_frame(load, step, step_text(talk, load)), values={"again": True}), spoken=False)


def _take_step(talk: Talk, frame: Frame, heard: Heard) -> bool:
    load = talk.kitchen.load(frame.load)
    if heard.intent not in ("step_done", "yes", "no") or load is None or load.step != frame.about:
        return False
    step = step_of(load)
    failed = heard.intent == "no" and step is not None and "gear" in step.traits
    if failed or load.fault("gear") is not None:
        frames.close(talk, frame)
        report(talk, load.id, "fault" if failed else "step_done", heard, {"fault": "gear"} if failed else _NOTHING)
        return True
    if heard.intent == "no":
        return False
    frames.close(talk, frame)
    talk.record("step_done", load.id, heard.text, step=frame.about)
    return True


STEP = Kind(
    _take_step,
    lambda _, frame: frame.prompt,
    frames.close,
    lambda talk, _: talk.say("confirming", "cancelled"),
    lambda _talk, _frame: frozenset({"step_done"}),
)
"""The challenge of a step."""
