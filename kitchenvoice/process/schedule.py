"""Coming events of the clock: timer marks and ends, reminders, questions about the pressure, crocks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kitchenvoice.ports import Value
from kitchenvoice.process import timing
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Timer
from kitchenvoice.process.state import DAY_S, Kitchen

__all__ = ["HELD_BACK", "Due", "check_t", "due", "mark_t", "next_due", "remind_t"]

HELD_BACK = frozenset({"vent", "hold"})
"""Timers of a claim: while it is in doubt they bring nothing."""

_LONG_S = 3600.0
_LATE_S = 1.0
"""What should have been called longer ago than this, while nobody could be told, isn't called any more."""


@dataclass(frozen=True, slots=True)
class Due:
    """An event that becomes true at `t`."""

    t: float
    kind: str
    load: int | None
    data: Mapping[str, Value]

    @property
    def waits(self) -> bool:
        """True for a call that can wait for a listener: a question about the stove, a crock."""
        return self.kind == "crock_check" or self.data.get("timer") == "check"


def due(kitchen: Kitchen) -> tuple[Due, ...]:
    """Return everything that the clock will bring if nothing else happens, soonest first."""
    doubted = {load.id for load in kitchen.open_loads if load.doubt}
    coming = [each for each in _of_calls(kitchen) if each.load not in doubted]
    for timer in kitchen.timers:
        coming.extend(_of_timer(timer, None, kitchen.t))
    for crock in kitchen.crocks:
        coming.append(Due(crock.told_t + DAY_S, "crock_check", None, {"food": crock.food, "crock": crock.number}))
    called = {call.load for call in kitchen.calls}
    for load in kitchen.open_loads:
        coming.extend(_of_load(load, kitchen.t))
        again_t = remind_t(load)
        if again_t is not None and load.id not in called:
            coming.append(Due(again_t, "timer_due", load.id, {"timer": "step", "mark": "due"}))
    return tuple(sorted(coming, key=lambda each: (each.t, each.load or 0, each.kind)))


def next_due(kitchen: Kitchen) -> Due | None:
    """Return the soonest of them, `None` if nothing is running."""
    coming = due(kitchen)
    return coming[0] if coming else None


def _of_load(load: Load, t: float) -> Iterator[Due]:
    for doubt in () if load.lid_off else load.doubts:  # nothing presses once the jars are out: it waits for an answer
        silence: dict[str, Value] = {"doubt": doubt.id, "lost": (load.id,), "by": "silence"}
        wait_s = timing.WORDS_S if "words" in doubt.data else timing.DOUBT_S
        yield Due(doubt.since_t + wait_s, "doubt_settled", load.id, silence)
    for timer in load.timers:
        if not (load.doubt and timer.name in HELD_BACK):
            yield from _of_timer(timer, load.id, t)
    asked_at = check_t(load)
    if asked_at is not None:
        yield Due(asked_at, "timer_due", load.id, {"timer": "check", "mark": "due"})


def _of_timer(timer: Timer, load: int | None, t: float) -> Iterator[Due]:
    """Yield the coming calls on the way, and the end, told however late.

    On the way of a timer that isn't sure nothing is called: it would be no minute before the end. Only the two hours
    for jars that failed are, as the most that is left.
    """
    for mark, left_s in _marks(timer) if timer.name == "window" or not timer.unsure else ():
        if mark not in timer.marks and timer.due_t - left_s >= t - _LATE_S:
            yield Due(timer.due_t - left_s, "timer_due", load, {"timer": timer.name, "mark": mark})
    yield Due(timer.due_t, "timer_due", load, {"timer": timer.name, "mark": "end"})


def mark_t(timer: Timer, mark: str) -> float:
    """Return the time of that call of the timer; an unknown mark comes at its end."""
    return timer.due_t - dict(_marks(timer)).get(mark, 0.0)


def _marks(timer: Timer) -> Iterator[tuple[str, float]]:
    """Calls on the way: half of a long hold, five minutes and one minute before the end, two hours of the window."""
    if timer.name == "window":
        yield "two_hours", 2 * 3600.0
        return
    if timer.seconds > _LONG_S * 4 or timer.name in ("settle", "bath_rest", "rest"):
        return
    minutes = timer.seconds / 60
    if minutes >= 20:
        yield "half", timer.seconds / 2
    if minutes > 10 or timer.name == "vent":
        yield "five", 300.0
    if minutes >= 5 and timer.name != "vent":
        yield "one", 60.0


def check_t(load: Load) -> float | None:
    """When to ask for the pressure, the weight or the boil; `None` where no hold counts.

    Sooner near the target, later where nothing changes.
    """
    hold = load.hold
    if hold is None or not hold.running or load.doubt:
        return None
    if load.recheck_t is not None:
        return load.recheck_t
    seen = max(x for x in (hold.started_t, load.last_psi_t, load.asked_t) if x is not None)
    if seen == hold.started_t:
        wait = timing.CHECK_FIRST_S
    elif load.process.is_dial and load.last_psi is not None and load.last_psi < (load.process.target_psi or 0) + 1:
        wait = timing.check_after_s(timing.CHECK_NEAR_S, load.same, load.asks)
    else:
        base_s = timing.CHECK_EVERY_S if load.process.is_dial else 2 * timing.CHECK_EVERY_S
        wait = timing.check_after_s(base_s, load.same, load.asks)
    timer = load.timer("hold")
    at = seen + wait
    return at if timer is None or at < timer.due_t - 60 else None


def remind_t(load: Load) -> float | None:
    """When to say the present step again because nothing was reported; `None` if it isn't said again."""
    wait_s = timing.remind_after_s(load.step, load.reminded)
    return None if wait_s is None else load.waiting_t + wait_s


def _of_calls(kitchen: Kitchen) -> Iterator[Due]:
    for call in kitchen.calls:
        reminders = call.reminders
        while call.since_t + timing.call_again_s(call.key, reminders) < kitchen.t - _LATE_S:
            reminders += 1
        at = call.since_t + timing.call_again_s(call.key, reminders)
        yield Due(at, "call_again", call.load, {"key": call.key})
