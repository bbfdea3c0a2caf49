"""A no to what was just taken: the last statement about a load is taken back by it.

A loss counts at once, and says so; a reading that all is well, or a zero, just stands while an answer is waited for.
What is denied leaves a doubt wherever something counts: that something isn't so doesn't tell what is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from kitchenvoice.dialogue import doubting, filling, frames, render, taking_back
from kitchenvoice.dialogue.belonging import ends_hold
from kitchenvoice.dialogue.choosing import go_on_with, named_ones, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame, Kind
from kitchenvoice.dialogue.taking_back import standing
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import intents_that
from kitchenvoice.process import Event, Fact, Load, loads_for, waits_at_zero

__all__ = [
    "STANDS",
    "ask_if_fault_misheard",
    "ask_if_misheard",
    "ask_of_told_before",
    "deny",
    "deny_zero",
    "let_answer_stand",
    "let_stand",
    "listen_on",
]

_JUST_S = 60.0
"""For so long a no to nothing that was asked is one to what was told last. Common practice, no source."""
_AT_ONCE_S = 15.0
"""For so long it can be of nothing else. Common practice, no source."""
_STANDING = frozenset(
    {"hold_started", "hold_restarted", "pressure_held", "pressure_high", "still_rocking", "still_boiling"}
    | {"settle_started", "settle_goes_on"}
)
_WELL, _HOLDS = intents_that("well"), intents_that("holds")
"""What a no takes back, so that nothing is believed of a load that isn't so: what says that all is well, or cold."""


# ---------------------------------------------------------------- what stands unless it is denied


def ask_if_misheard(talk: Talk, load_id: int) -> None:
    """A loss counts at once; a no within the window takes it back, while time is left."""
    load = talk.kitchen.load(load_id)
    told = (event for event in reversed(talk.history) if event.kind not in ("hold_lost", "load_select"))
    event = next(each for each in told if load_id in (each.load, *_lost_by(each)))
    if load is None or load.hold is None or load.hold.lost_t is None:
        return
    prompt = talk.language.say("denying", "confirm_or_scratch")
    if load.hold.started_t + 60 * load.process.minutes > talk.t:
        _stand(talk, "loss", event, load_id, prompt)


def ask_if_fault_misheard(talk: Talk, load_id: int) -> None:
    """A fault counts at once too; a no within the window takes it back."""
    event = next(each for each in reversed(talk.history) if each.kind in ("fault", "acid_forgotten"))
    _stand(talk, "loss", event, load_id, talk.language.say("denying", "confirm_or_scratch"))


def _lost_by(event: Event) -> tuple[int, ...]:
    lost = event.data.get("lost")
    return tuple(int(str(each)) for each in lost) if isinstance(lost, tuple | list) else ()


def let_stand(talk: Talk, report: str, load_id: int, facts: Iterable[Fact]) -> None:
    """Listen for a no to what was taken as well, or as zero; nothing is asked."""
    asked = talk.question
    of_it = asked is not None and asked.kind == "check" and (asked.load == load_id or asked.window_t < talk.t)
    several = len(talk.kitchen.open_loads) > 1
    stands = any(fact.kind in _STANDING or (several and fact.kind == "cooling") for fact in facts)
    if (asked is None or asked.passive or of_it) and stands:
        event = next(each for each in reversed(talk.history) if each.kind == report)
        _stand(talk, "report", event, load_id, "")


def let_answer_stand(talk: Talk, load_id: int) -> None:
    """Listen for a no to an answer by which a doubt was settled; nothing is asked."""
    event = next((each for each in reversed(talk.history) if each.kind == "doubt_settled"), None)
    if event is not None and talk.question is None:
        _stand(talk, "report", event, load_id, "")


def _stand(talk: Talk, about: str, event: Event, load_id: int, prompt: str) -> None:
    values = {"loads": [load.id for load in talk.kitchen.open_loads], "seq": event.seq}
    several = "denial" if about == "loss" else "correction"
    expects = several if len(talk.kitchen.open_loads) > 1 else "yes_no"
    frame = Frame(kind="stands", about=about, expects=expects, prompt=prompt, load=load_id, prompted=1)
    frames.ask(talk, replace(frame, values=values), spoken=bool(prompt))


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    event = next((each for each in talk.history if each.seq == frame.values["seq"]), None)
    if event is None or (heard.intent == "yes" and frame.about == "report"):
        frames.close(talk, frame)
        return False
    if heard.intent == "yes":
        frames.close(talk, frame)
        talk.say("denying", "loss_stands")
        return True
    meant = named_ones(talk, frame, heard)
    if meant is not None and frame.about == "report":
        return _was_of_another(talk, frame, event, heard, meant)
    if meant is not None:
        return _it_was(talk, frame, event, heard, meant)
    if heard.intent != "no":
        return False
    frames.close(talk, frame)
    _take_back(talk, event, frame.load, corrected="pressure" in heard.slots)
    if frame.about == "report":
        _may_be_of_others(talk, event, heard.text)
    return True


def _was_of_another(talk: Talk, frame: Frame, event: Event, heard: Heard, meant: Sequence[Load]) -> bool:
    """Take a report back that was of another load, and take it for that one; which one is asked if several are left.

    A bare name may only turn to that load: what it claims is in doubt, and the report is taken back by a yes.
    """
    wrong = frame.load in [load.id for load in meant]
    if heard.intent in ("load_select", "choice") and not (wrong or heard.slots.get("no")):
        return _may_be_of(talk, event, meant, heard)
    if wrong is not (heard.intent == "not_load") or not (wrong or heard.slots.get("no")):
        return False
    frames.close(talk, frame)
    _take_back(talk, event, frame.load)
    out = {load.id for load in meant} if wrong else set()
    among = loads_for(talk.kitchen, event.kind) if wrong else meant
    left = [load for load in among if load.id not in out]
    said = Heard(event.kind, {name: value for name, value in event.data.items() if name != "asked"}, heard.text, talk.t)
    go_on_with(talk, left, said)
    return True


def _may_be_of(talk: Talk, event: Event, meant: Sequence[Load], heard: Heard) -> bool:
    """Doubt the load that is named just after a report that would end its hold, and that named none."""
    named = (each for each in talk.history if each.kind == "load_select" and each.load == event.load)
    unnamed = all(each.seq > event.seq or event.t - each.t > _JUST_S for each in named)
    ends = len(meant) == 1 and meant[0].claims and ends_hold(meant[0], event.kind, event.data, talk.t)
    if not (ends and unnamed and talk.t - event.t <= _JUST_S):
        return False
    doubting.raise_doubt(talk, event.kind, meant, replace(heard, intent=event.kind), {**event.data, "of": event.seq})
    return True


def _it_was(talk: Talk, frame: Frame, event: Event, heard: Heard, meant: Sequence[Load]) -> bool:
    """Take a name that follows a loss for the load that it may have been of as well: what it claims is in question."""
    out = heard.intent == "not_load"
    if out and frame.load not in [load.id for load in meant]:
        return False
    among = talk.kitchen.open_loads if out else meant
    others = [load for load in among if load.id != frame.load and load.claims]
    denied = out or heard.slots.get("no") is not None
    if denied or others:
        frames.close(talk, frame)
    if denied:
        _take_back(talk, event, frame.load)
    doubting.put_in_question(talk, heard.text, others)
    return denied or bool(others)


def _take_back(talk: Talk, event: Event, load: int | None, *, corrected: bool = False) -> None:
    """Take back what was heard wrong; a doubt that it settled goes back to the other loads."""
    taking_back.take_back(talk, event, corrected=corrected)
    if event.kind == "doubt_settled" and load is not None:
        doubting.denied(talk, int(str(event.data["doubt"])), load)


def _cancel(talk: Talk, frame: Frame) -> None:
    if frame.about == "loss":
        talk.say("denying", "loss_stands")
    else:
        talk.say("steering", "not_asked")
        talk.question = frame  # a no denies it all the same


_TO_A_LOSS = frozenset({"yes", "no", "load_select", "choice", "not_load"})
STANDS = Kind(
    _take,
    lambda _, frame: frame.prompt or frame.about,  # nothing is asked of what stands in silence
    frames.close,
    _cancel,
    lambda _talk, frame: _TO_A_LOSS if frame.about == "loss" else frozenset({"no", "choice", "not_load"}),
)
"""What was taken already, unless it is denied."""


# ---------------------------------------------------------------- a no to nothing that was asked


def deny(talk: Talk, heard: Heard) -> bool:
    """Take a no that answers no question for one to what was told last; tell whether anything hangs on it."""
    last = next((event for event in standing(talk) if event.heard and event.kind not in ("load_select", "doubt")), None)
    if last is not None and last.kind in _WELL and last.load is not None and talk.t - last.t <= _JUST_S:
        taking_back.take_back(talk, last)
        _may_be_of_others(talk, last, heard.text)
        return True
    holding = [load for load in talk.kitchen.open_loads if load.holding]
    zeros = [load for load in talk.kitchen.open_loads if waits_at_zero(load)]
    doubting.not_understood(talk, heard.text, holding)
    for load in zeros:
        deny_zero(talk, load)
    if holding and not zeros:
        talk.say("losses", "no_answer")
    return bool(holding or zeros)


def _may_be_of_others(talk: Talk, denied: Event, text: str) -> None:
    """Ask what the other loads do, too, if the no comes a while after what it was taken for."""
    if talk.t - denied.t > _AT_ONCE_S:
        doubting.not_understood(talk, text, [load for load in talk.kitchen.open_loads if load.id != denied.load])


def ask_of_told_before(talk: Talk, answered: int, text: str) -> None:
    """Ask what a load does that was told to hold just before a no that answered the question about another one."""
    just = [event.load for event in _just_told_beside(talk, answered)]
    doubting.not_understood(talk, text, [load for load in talk.kitchen.open_loads if load.id in just])


def listen_on(talk: Talk, check: Frame) -> None:
    """Listen for a no to what was told of another load just before a question about the stove ran out."""
    event = next(_just_told_beside(talk, check.load), None)
    if event is not None and event.load is not None:
        _stand(talk, "report", event, event.load, "")


def _just_told_beside(talk: Talk, load: int | None) -> Iterator[Event]:
    return (x for x in standing(talk) if x.kind in _HOLDS and x.load != load and talk.t - x.t <= _AT_ONCE_S)


def deny_zero(talk: Talk, load: Load, *, look_again: bool = False) -> None:
    """Take back a zero that isn't one, however often it was told: nobody is called to the lid by it.

    `look_again`: it is asked for anew, unless something else is asked.
    """
    told = [event for event in standing(talk) if event.load == load.id]
    zeros = [each for each in told if each.kind == "gauge_zero" or each.data.get("pressure") == 0]
    what = render.undone(talk, zeros[0])
    while zeros and (now := talk.kitchen.load(load.id)) is not None and waits_at_zero(now):
        talk.take_back(zeros.pop(0))
    talk.say("taking_back", "taken_back", what=what)
    now = talk.kitchen.load(load.id) or load
    if look_again and talk.asks_nothing:
        ask_zero(talk, now)
    else:
        talk.speak(where(talk, now))


def ask_zero(talk: Talk, load: Load) -> None:
    """Ask whether it is at zero; only then anybody is called to its weight."""
    key = "zero_again_dial" if load.process.is_dial and not load.gauge_stuck else "zero_again_weighted"
    prompt = filling.named(talk, load, talk.language.say("denying", key))
    frames.ask_yes_no(talk, "zero_again", prompt, Heard("gauge_zero", {}, "", talk.t, of=load.id), load.id)
