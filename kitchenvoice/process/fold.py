"""Fold events into state: the one place where a report changes a load.

`apply` is pure and total for events that `validate` lets through: one that doesn't fit changes nothing but the time.
Whether a report should be taken at all is asked before, in `objections`; those that no yes can overrule are held to
here as well, so that no caller and no taken-back report can get round them. What came of an event is told as facts;
the dialogue puts them into words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event, Value
from kitchenvoice.process import doubts, stove
from kitchenvoice.process.changing import replace
from kitchenvoice.process.counts import COUNTING
from kitchenvoice.process.crocks import CROCKS, unsure_crocks
from kitchenvoice.process.expiry import timer_due
from kitchenvoice.process.faults import FAULTS
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Process, Stage, Timer, unnamed_timer
from kitchenvoice.process.objections import REOPENS, object_to
from kitchenvoice.process.schedule import mark_t
from kitchenvoice.process.state import Call, Kitchen
from kitchenvoice.process.steps import following, preceding, step_of, steps_of, up_to
from kitchenvoice.process.timing import call_again_s, window_s
from kitchenvoice.process.tools import Fact, Outcome, as_float, as_int, as_text, call_key, enter

__all__ = ["RECORDED_FACTS", "apply", "fold"]

RECORDED_FACTS = frozenset(
    {
        "vent_started",
        "vent_stopped",
        "vent_done",
        "hold_started",
        "hold_lost",
        "hold_restarted",
        "hold_done",
        "load_closed",
    }
)
"""Facts that are written to the log beside the event they follow from; the fold itself never reads them."""

Handler = Callable[[Kitchen, Load, Event], Outcome]


def apply(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Return the kitchen after `event`, and what came of it."""
    if event.t < kitchen.t:
        event = replace(event, t=kitchen.t)
    kitchen = replace(kitchen, t=event.t, seq=max(kitchen.seq, event.seq))
    if event.kind in _KITCHEN:
        return _KITCHEN[event.kind](kitchen, event)
    handler = _LOAD.get(event.kind)
    load = kitchen.load(event.load)
    if handler is None or load is None or (load.stage is Stage.CLOSED and event.kind not in REOPENS):
        return kitchen, ()
    objection = object_to(kitchen, load, event.kind, event.data, event.t)
    if objection is not None and not objection.override:
        return kitchen, ()
    outcome = handler(kitchen, load, event)
    if load.stage is Stage.CLOSED:
        outcome = replace(outcome, load=_renumbered(kitchen, outcome.load))
    return _put(kitchen, load, outcome, event), outcome.facts


def _renumbered(kitchen: Kitchen, load: Load) -> Load:
    """Return a reopened load, under a number free among open loads."""
    used = {each.number for each in kitchen.open_loads}
    return replace(load, number=max(used) + 1) if load.number in used else load


def _put(kitchen: Kitchen, before: Load, outcome: Outcome, event: Event) -> Kitchen:
    """Return the kitchen with what came of an event."""
    load = _with_window(doubts.without_moot(outcome.load), event.t)
    after = kitchen.with_load(_stepped(before, load, event))
    return _drop_settled_calls(_add_calls(after, outcome.calls))


def _with_window(load: Load, t: float) -> Load:
    """Let the hours for failed jars run on, where counts or decisions are open again."""
    done_t = load.processed_t
    if load.stage is not Stage.COUNT or done_t is None or load.timer("window") or t >= done_t + window_s():
        return load
    return load.with_timer(Timer(name="window", started_t=done_t, seconds=window_s()))


def fold(events: Iterable[Event]) -> Kitchen:
    """Return the kitchen that these events amount to; scratched ones count as not having happened."""
    history = tuple(events)
    scratched = {as_int(event.data.get("seq")) for event in history if event.kind == "scratched"}
    kitchen = Kitchen()
    for event in history:
        if event.seq in scratched:
            used = event.load or 0 if event.kind == "load_start" else 0
            seq, last_load = max(kitchen.seq, event.seq), max(kitchen.last_load, used)
            kitchen = replace(kitchen, t=max(kitchen.t, event.t), seq=seq, last_load=last_load)
        else:
            kitchen, _ = apply(kitchen, event)
    return kitchen


def _stepped(before: Load, load: Load, event: Event) -> Load:
    """Note when a load came to another step."""
    if (before.stage, before.step) == (load.stage, load.step):
        return load
    return replace(load, waiting_t=event.t, reminded=0)


# ---------------------------------------------------------------- calls


def _add_calls(kitchen: Kitchen, calls: tuple[Call, ...]) -> Kitchen:
    kept = tuple(call for call in kitchen.calls if call.key not in {new.key for new in calls})
    return replace(kitchen, calls=(*kept, *calls))


def _drop_settled_calls(kitchen: Kitchen) -> Kitchen:
    """Forget calls of loads that have moved on."""
    return replace(kitchen, calls=tuple(call for call in kitchen.calls if _still_wanted(kitchen, call)))


def _still_wanted(kitchen: Kitchen, call: Call) -> bool:
    load = kitchen.load(call.load)
    if call.load is None:
        return True
    if load is None:
        return False
    if call.name == "hold_lost":
        back = load.stage is Stage.HOLD or load.step in ("vent_again", "vent_open", "mend", "stopped")
        return back and load.hold is not None and load.hold.lost_t is not None
    if call.name in _WANTS_STEP:
        return load.step == _WANTS_STEP[call.name]
    if call.name == "rest_done":
        return load.stage is Stage.COUNT and load.sealed is None
    return load.stage in (Stage.REST, Stage.COUNT) and (load.sealed is None or load.undecided > 0)


_WANTS_STEP = MappingProxyType(
    {"vent_done": "weight", "hold_done": "off", "not_cooling": "off", "settle_done": "open", "bath_rest_done": "unload"}
)


# ---------------------------------------------------------------- kitchen-wide events


def _load_start(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Open a load. Whoever records the event gives it a number that no load had before."""
    data = event.data
    if event.load is None:
        return kitchen, ()
    load = Load(
        id=event.load,
        number=as_int(data.get("number", event.load)),
        food=as_text(data["food"]),
        food_name=as_text(data["food_name"]),
        pack=as_text(data["pack"]),
        jar=as_text(data["jar"]),
        planned=as_int(data["count"]),
        canner=as_int(data.get("canner")),
        canner_name=as_text(data.get("canner_name") or ""),
        process=_process(data),
        opened_t=event.t,
    )
    load = enter(load, Stage.PACK)
    kitchen = replace(kitchen.with_load(load), focus=load.id, last_load=max(kitchen.last_load, load.id))
    return kitchen, (Fact("load_opened", load.id),)


def _process(data: Mapping[str, Value]) -> Process:
    def number(name: str) -> float | None:
        return None if data.get(name) is None else as_float(data[name])

    def texts(name: str) -> tuple[str, ...]:
        value = data.get(name) or ()
        return tuple(str(text) for text in value) if isinstance(value, tuple | list) else (str(value),)

    return Process(
        method=as_text(data["method"]),
        minutes=as_float(data["minutes"]),
        psi=number("psi"),
        target_psi=number("target_psi") if data.get("target_psi") is not None else number("psi"),
        gauge=as_text(data["gauge"]) if data.get("gauge") else None,
        altitude_ft=as_int(data["altitude_ft"]),
        headspace=as_text(data.get("headspace") or ""),
        salt_tsp=number("salt_tsp"),
        acid=as_text(data.get("acid") or ""),
        acid_in=as_text(data.get("acid_in") or "jar"),
        water=as_text(data.get("water") or ""),
        heat_vent_minutes=number("heat_vent_minutes") or 0.0,
        no_bubbles=data.get("no_bubbles") is True,
        cautions=texts("cautions"),
        source=texts("source"),
    )


def _load_select(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    return kitchen if kitchen.load(event.load) is None else replace(kitchen, focus=event.load), ()


def _timer_start(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Start a kitchen timer; one of the same name is set anew, and stops calling."""
    name = as_text(event.data.get("name") or unnamed_timer(event.seq))
    timer = Timer(name=name, started_t=event.t, seconds=60 * as_float(event.data["minutes"]))
    calls = tuple(call for call in kitchen.calls if call.key != call_key("timer_done", name))
    return replace(kitchen, timers=(*(x for x in kitchen.timers if x.name != name), timer), calls=calls), ()


def _timer_stop(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Stop the timer of that name, running or calling; without a name, only calling ones."""
    name = event.data.get("name")
    timers = tuple(timer for timer in kitchen.timers if timer.name != name)
    gone = "timer_done:" if name is None else call_key("timer_done", as_text(name))
    calls = tuple(x for x in kitchen.calls if not (x.key.startswith(gone) if name is None else x.key == gone))
    return replace(kitchen, timers=timers, calls=calls), ()


def _answer_call(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Let the calls rest. Their loads' steps are said in answer to it, and wait to be said again from now."""
    keys = event.data.get("keys")
    answered = set(keys) if isinstance(keys, tuple | list) else {call.key for call in kitchen.calls}
    called = {call.load for call in kitchen.calls if call.key in answered}
    loads = tuple(replace(load, waiting_t=event.t) if load.id in called else load for load in kitchen.loads)
    return replace(kitchen, loads=loads, calls=tuple(x for x in kitchen.calls if x.key not in answered)), ()


def _call_again(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    key = as_text(event.data.get("key") or "")
    call = next((call for call in kitchen.calls if call.key == key), None)
    if call is None:
        return kitchen, ()
    reminders = call.reminders + 1
    while call.since_t + call_again_s(call.key, reminders) <= event.t:
        reminders += 1  # reminders that fell into a gap are not made up for
    again = replace(call, reminders=reminders)
    kitchen = replace(kitchen, calls=tuple(again if x.key == key else x for x in kitchen.calls))
    since: dict[str, Value] = {"key": key, "since_s": event.t - call.since_t, "unsure": call.unsure}
    return kitchen, (Fact("call_again", call.load, since),)


def _session_start(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """After a gap nobody knows whether steam, pressure or boil held, and perhaps not how long it was."""
    kitchen, facts = doubts.after_gap(kitchen, event)
    return _unsure(kitchen) if event.data.get("unknown") is True else kitchen, facts


def _doubt(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    return doubts.opened(kitchen, event)


def _doubt_settled(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    return doubts.settled(kitchen, event, lambda before, load, outcome: _put(before, load, outcome, event))


def _unsure(kitchen: Kitchen) -> Kitchen:
    """Mark everything that counts as unsure: time went by uncounted."""
    loads = (replace(load, timers=_all_unsure(load.timers)) for load in kitchen.loads)
    calls = tuple(replace(call, unsure=True) for call in kitchen.calls)
    crocks = unsure_crocks(kitchen, kitchen.t)
    return replace(kitchen, loads=tuple(loads), timers=_all_unsure(kitchen.timers), calls=calls, crocks=crocks)


def _all_unsure(timers: tuple[Timer, ...]) -> tuple[Timer, ...]:
    return tuple(replace(timer, unsure=True) for timer in timers)


def _kitchen_timer_due(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    name, mark = as_text(event.data["timer"]), as_text(event.data["mark"])
    timer = next((timer for timer in kitchen.timers if timer.name == name), None)
    if timer is None or event.t < mark_t(timer, mark):
        return kitchen, ()
    fact = Fact(
        "timer_mark" if mark != "end" else "timer_done",
        None,
        {"name": name, "mark": mark, "minutes": timer.seconds / 60},
    )
    rest = tuple(x for x in kitchen.timers if x.name != name)
    if mark != "end":
        return replace(kitchen, timers=(*rest, replace(timer, marks=(*timer.marks, mark)))), (fact,)
    call = Call(key=call_key("timer_done", name), load=None, since_t=timer.due_t, unsure=timer.unsure)
    return _add_calls(replace(kitchen, timers=rest), (call,)), (fact,)


def _timer_due(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    if event.load is None:
        return _kitchen_timer_due(kitchen, event)
    load = kitchen.load(event.load)
    if load is None or load.stage is Stage.CLOSED:
        return kitchen, ()
    outcome = timer_due(kitchen, load, event)
    return _put(kitchen, load, outcome, event), outcome.facts


_KITCHEN: Mapping[str, Callable[[Kitchen, Event], tuple[Kitchen, tuple[Fact, ...]]]] = MappingProxyType(
    {
        "load_start": _load_start,
        "load_select": _load_select,
        "timer_start": _timer_start,
        "timer_stop": _timer_stop,
        "answer_call": _answer_call,
        "call_again": _call_again,
        "session_start": _session_start,
        "doubt": _doubt,
        "doubt_settled": _doubt_settled,
        "timer_due": _timer_due,
        **CROCKS,
    }
)


# ---------------------------------------------------------------- steps


def _step_done(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Pass the step that is named, and those before it that want no word. One that ends with a report isn't passed."""
    load = up_to(load, str(event.data.get("step"))) or load
    step = step_of(load)
    after = following(load)
    if step is None or step.done_by or after is None:
        return Outcome(load)
    checked = load.checked if step.id in load.checked else (*load.checked, step.id)
    return Outcome(replace(load, checked=checked, step=after.id), (Fact("step_entered", load.id),))


def _step_back(_: Kitchen, load: Load, __: Event) -> Outcome:
    before = preceding(load)
    if before is not None:
        return Outcome(replace(load, step=before.id), (Fact("step_entered", load.id),))
    if load.stage is Stage.CANNER:
        last = steps_of(Stage.PACK, load.process)[-1]
        least = load.broken if load.broken > (load.packed or load.planned) else 0  # those that broke were in as well
        load = replace(load, stage=Stage.PACK, step=last.id, packed=max(load.packed, least), loaded=None)
        return Outcome(load, (Fact("step_entered", load.id),))
    return Outcome(load, (Fact("no_step_before", load.id),))


def _was_steady(_: Kitchen, load: Load, event: Event) -> Outcome:
    return doubts.of_old_logs(load, event)


_LOAD: Mapping[str, Handler] = MappingProxyType(
    {
        "step_done": _step_done,
        "previous_step": _step_back,
        "was_steady": _was_steady,
        **stove.REPORTS,
        **FAULTS,
        **COUNTING,
    }
)
