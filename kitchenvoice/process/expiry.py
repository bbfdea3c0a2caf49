"""Effects of the timers: marks on the way, ends, a question about the pressure, a step or a doubt nobody answered.

A timer's end counts only once its time is up. After a report was taken back, a recorded end can meet a timer that
started later than the one it came from; that timer runs on, and `due` brings its own end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event, Value
from kitchenvoice.process import stove, timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.doubts import kept_for, open_kept
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Stage, Timer
from kitchenvoice.process.schedule import HELD_BACK, mark_t, remind_t
from kitchenvoice.process.state import Call, Kitchen
from kitchenvoice.process.tools import Fact, Outcome, as_text, call_key, enter, go_to

__all__ = ["timer_due"]


def timer_due(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Take a timer's mark or its end. A timer that isn't there any more, or isn't as far, brings nothing."""
    name, mark = as_text(event.data["timer"]), as_text(event.data["mark"])
    if name == "doubt":  # of logs that have no settled doubts yet
        gap = load.doubted("gap")
        late = gap is not None and event.t >= gap.since_t + timing.DOUBT_S
        return stove.break_off(load, event, "gap") if late else Outcome(load)
    if name == "check":
        return _check(load, event)
    if name == "step":
        return _remind(load, event)
    timer = load.timer(name)
    if timer is None or (load.doubt and name in HELD_BACK) or event.t < mark_t(timer, mark):
        return Outcome(load)
    if mark == "end" and name in HELD_BACK and (kept := kept_for(load, name)):
        return open_kept(load, event.t, kept)
    if mark == "end":
        return _ENDS[name](load.without_timer(name), timer) if name in _ENDS else Outcome(load.without_timer(name))
    load = load.with_timer(replace(timer, marks=(*timer.marks, mark)))
    counted = load.sealed is not None
    return Outcome(load, (Fact("timer_mark", load.id, {"name": name, "mark": mark, "counted": counted}),))


def _check(load: Load, event: Event) -> Outcome:
    if not load.holding or load.doubt:
        return Outcome(load)
    load = replace(load, asked_t=event.t, recheck_t=None, asks=load.asks + 1)
    return Outcome(load, (Fact("check_due", load.id),))


def _remind(load: Load, event: Event) -> Outcome:
    at = remind_t(load)
    if at is None or event.t < at:
        return Outcome(load)
    load = replace(load, waiting_t=event.t, reminded=load.reminded + 1)
    return Outcome(load, (Fact("step_waits", load.id),))


def _vent(load: Load, timer: Timer) -> Outcome:
    load = go_to(replace(load, vented_s=timer.seconds), Stage.VENT, "weight")
    return _called(load, "vent_done", timer)


def _hold(load: Load, timer: Timer) -> Outcome:
    """End the hold, and keep how often nobody answered and how old the last report is."""
    hold, heard_t = load.holds[-1], load.heard_t or timer.started_t
    hold = replace(hold, done=True, unanswered=hold.unanswered + load.asks)
    told = {"unanswered": hold.unanswered, "heard_s": max(0.0, timer.due_t - heard_t)}
    load = replace(load, holds=(*load.holds[:-1], hold), processed_t=timer.due_t, recheck_t=None, asks=0)
    window = Timer(name="window", started_t=timer.due_t, seconds=timing.window_s())
    load = go_to(load, Stage.HOLD, "off").with_timer(window)
    if load.heat_off:  # reported once the time was up, while the end waited for an answer
        return Outcome(enter(load, Stage.COOL), (Fact("hold_done", load.id, {"minutes": timer.seconds / 60, **told}),))
    return _called(load, "hold_done", timer, told)


def _settle(load: Load, timer: Timer) -> Outcome:
    return _called(go_to(load, Stage.COOL, "open"), "settle_done", timer)


def _bath_rest(load: Load, timer: Timer) -> Outcome:
    return _called(go_to(load, Stage.COOL, "unload"), "bath_rest_done", timer)


def _rest(load: Load, timer: Timer) -> Outcome:
    if load.sealed is not None:
        return Outcome(load, (Fact("rested", load.id),))  # counted before: nothing waits for the cook
    return _called(enter(load, Stage.COUNT), "rest_done", timer)


def _window(load: Load, timer: Timer) -> Outcome:
    if load.sealed is not None and load.undecided == 0:
        return Outcome(load)
    if load.failed is None:
        return Outcome(load, (Fact("window_done", load.id),))  # told once: none is known to have failed
    return _called(load, "window_done", timer)


def _called(load: Load, kind: str, timer: Timer, more: Mapping[str, Value] = MappingProxyType({})) -> Outcome:
    call = Call(key=call_key(kind, load.id), load=load.id, since_t=timer.due_t, unsure=timer.unsure)
    return Outcome(load, (Fact(kind, load.id, {"minutes": timer.seconds / 60, **more}),), (call,))


_ENDS: Mapping[str, Callable[[Load, Timer], Outcome]] = MappingProxyType(
    {
        "vent": _vent,
        "hold": _hold,
        "settle": _settle,
        "bath_rest": _bath_rest,
        "rest": _rest,
        "window": _window,
    }
)
