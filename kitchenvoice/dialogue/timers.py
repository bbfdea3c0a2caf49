"""Kitchen timers: free ones, by a name of their own or by their length. A load's own timers go by reports only."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import left_on, since, timer_name
from kitchenvoice.dialogue.now import time_of_day, until_clock
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.timer_names import told_name
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Call, Timer, is_named_timer

__all__ = ["HANDLERS", "WHICH_TIMER", "tell_all", "tell_left"]

_NEAR_S = 1.0


def _ringing(talk: Talk) -> tuple[Call, ...]:
    return tuple(call for call in talk.kitchen.calls if call.name == "timer_done")


def _name_of(call: Call) -> str:
    return call.key.partition(":")[2]


def _called(talk: Talk, timer: Timer) -> str:
    return timer_name(talk, timer.name, timer.seconds / 60)


# ---------------------------------------------------------------- start


def _start(talk: Talk, heard: Heard) -> None:
    if "hour" in heard.slots:
        _alarm(talk, heard)
        return
    minutes, name = float(heard.slots["minutes"]), heard.slots.get("name") or told_name(talk, heard.text)
    again = name is not None and any(timer.name == name for timer in talk.kitchen.timers)
    talk.record("timer_start", None, heard.text, minutes=minutes, **({} if name is None else {"name": str(name)}))
    key = "timer_set" if name is None else "timer_set_again" if again else "timer_set_named"
    timer = talk.kitchen.timers[-1]
    length, code = talk.language.duration(timer.seconds), _code(talk, timer.seconds)
    talk.say("timers", key, timer=_called(talk, timer), minutes=length, code=code)


def _alarm(talk: Talk, heard: Heard) -> None:
    """Set a timer to the next time of day that is so called, by the machine's clock, if that can be trusted."""
    seconds = until_clock(talk, int(heard.slots["hour"]), int(heard.slots.get("minute", 0)), heard.slots.get("part"))
    if seconds is None:
        talk.say("timers", "unsure_clock")
        return
    talk.record("timer_start", None, heard.text, {"minutes": seconds / 60})
    at = time_of_day(talk, talk.t + seconds)
    talk.say("timers", "timer_to_clock", at=at, minutes=talk.language.duration(60 * max(1, round(seconds / 60))))


def _code(talk: Talk, seconds: float) -> str:
    """Say the number again, digit by digit, where it is said as seconds or minutes and sounds like another."""
    if seconds < 59.5:
        return talk.language.code(round(seconds))
    return talk.language.code(seconds / 60) if seconds < 3600 else ""


# ---------------------------------------------------------------- stop


def _stop(talk: Talk, heard: Heard) -> None:
    """Stop the timer that is named; without a name those that call, the only one that runs, or the one asked for."""
    name, running, ringing = heard.slots.get("name"), talk.kitchen.timers, _ringing(talk)
    if not running and not ringing:
        talk.say("timers", "no_timer")
    elif name == "all":
        _stop_these(talk, heard, running, ringing)
    elif name is not None:
        _stop_named(talk, heard, str(name))
    elif ringing:
        _stop_these(talk, heard, (), ringing)
    elif len(running) == 1:
        _stop_these(talk, heard, running, ())
    else:
        _ask_which(talk, heard, running)


def _stop_named(talk: Talk, heard: Heard, name: str) -> None:
    running = [timer for timer in talk.kitchen.timers if timer.name == name]
    ringing = [call for call in _ringing(talk) if _name_of(call) == name]
    if running or ringing:
        _stop_these(talk, heard, running, ringing)
    else:
        talk.say("timers", "no_such_timer", name=name)
        tell_all(talk)


def _stop_these(talk: Talk, heard: Heard, running: Sequence[Timer], ringing: Sequence[Call]) -> None:
    alone = len(talk.kitchen.timers) + len(_ringing(talk)) == 1
    stopped = [(timer.name, _called(talk, timer)) for timer in running]
    stopped += [(_name_of(call), timer_name(talk, _name_of(call))) for call in ringing]
    for name, _ in stopped:
        talk.record("timer_stop", None, heard.text, name=name)
    if alone and not is_named_timer(stopped[0][0]):
        talk.say("timers", "timer_stopped")
    else:
        talk.say("timers", "timers_stopped", timers=talk.language.listed([said for _, said in stopped], "and"))
        tell_all(talk)


def _ask_which(talk: Talk, heard: Heard, running: Sequence[Timer], *, spoken: bool = True) -> None:
    choices = [timer.name if is_named_timer(timer.name) else talk.language.duration(timer.seconds) for timer in running]
    prompt = talk.language.say("timers", "which_timer", timers=talk.language.listed(choices))
    forms.ask(talk, "timer_stop", "timer", {}, prompt, "which_timer", said=heard, kept=False, spoken=spoken)


def _go_on(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    """Stop the timer that was chosen; one that isn't there is asked for again."""
    heard = (frame and frame.said) or Heard("timer_stop", {}, "", talk.t)
    name, minutes, running = values.get("name"), values.get("value"), talk.kitchen.timers
    found = [timer for timer in running if name in ("all", timer.name)]
    if name is None and minutes is not None:
        found = [timer for timer in running if abs(timer.seconds - 60 * minutes) < _NEAR_S]
        found = sorted(found, key=lambda timer: timer.due_t)[:1]
    if found:
        _stop_these(talk, heard, found, ())
        return
    if name is not None or minutes is not None:
        talk.say("timers", "no_such_timer", name=str(name) if name is not None else _by_minutes(talk, minutes))
    if running:
        _ask_which(talk, heard, running, spoken=name is None and minutes is None)


WHICH_TIMER = Form(lambda _talk, _frame, heard: forms.chosen(heard, "name", "value"), _go_on)
"""Which of the timers that run is to stop."""


def _by_minutes(talk: Talk, minutes: object) -> str:
    return talk.language.phrase("names", "timer_by_minutes", minutes=talk.language.number(float(str(minutes))))


# ---------------------------------------------------------------- how long


def tell_all(talk: Talk) -> bool:
    """Say which kitchen timers are over, and what is left on those that run; tell whether there was one."""
    return _tell(talk, "any")


def _tell(talk: Talk, name: str) -> bool:
    ringing = [call for call in _ringing(talk) if name in ("any", _name_of(call))]
    for call in ringing:
        talk.say("timers", "timer_ended", timer=timer_name(talk, _name_of(call)), since=since(talk, call))
    running = [timer for timer in talk.kitchen.timers if name in ("any", timer.name)]
    for timer in running:
        talk.say("timers", "time_timer", left=left_on(talk, timer), timer=_called(talk, timer))
    return bool(ringing or running)


def tell_left(talk: Talk, name: str) -> None:
    """Say what is left on the timer of that name (`any`: on each), or since when it is over."""
    if _tell(talk, name):
        return
    if name == "any":
        talk.say("timers", "no_timer")
    else:
        talk.say("timers", "no_such_timer", name=name)
        tell_all(talk)


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType({"timer_start": _start, "timer_stop": _stop})
"""What is done to a kitchen timer."""
