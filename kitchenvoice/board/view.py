"""The view of a snapshot at a time. Pure, and the same for the page and the terminal."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from kitchenvoice.board.clocks import ClockFace, clocks_of, timers_of
from kitchenvoice.board.history import Plot, plot_of
from kitchenvoice.board.particulars import Particular, ago, particulars_of
from kitchenvoice.board.snapshot import Snapshot, TalkLine
from kitchenvoice.board.texts import Labels, load_labels
from kitchenvoice.language import in_figures, load_language
from kitchenvoice.process import Call, Load, Stage

__all__ = ["CallView", "LoadView", "View", "view_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallView:
    """An open call: the occasion, its load, what to do, since when."""

    key: str
    text: str
    name: str
    do: str
    age: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadView:
    """One open load; `here` marks the load last spoken of, `amiss` one whose time doesn't count, `lead` the most urgent
    of all: with a call, amiss, spoken of, or soonest done.

    `packed` is jars packed and jars planned during packing, else `None`.
    """

    id: int
    number: int
    name: str
    detail: str
    stage: str
    caution: str
    step: str
    clocks: tuple[ClockFace, ...]
    particulars: tuple[Particular, ...]
    here: bool
    amiss: bool = False
    lead: bool = True
    plot: Plot | None = None
    packed: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Everything on the board. `live` is False when it may be out of date; then no clock has a time."""

    live: bool
    notice: str = ""
    calls: tuple[CallView, ...] = ()
    loads: tuple[LoadView, ...] = ()
    timers: tuple[ClockFace, ...] = ()
    heard: TalkLine | None = None
    said: TalkLine | None = None
    trouble: str = ""
    question: str = ""
    answers: str = ""
    phrases: tuple[str, ...] = ()
    attention: str = ""
    language: str = "en"
    asleep: bool = False


def view_of(seen: Snapshot | None, *, age_s: float, live: bool, labels: Labels | None = None) -> View:
    """Return the view of a snapshot that was true `age_s` seconds ago. Without a snapshot nothing is known."""
    if seen is None:
        return View(live=False, notice=(labels or load_labels())("stale", "none"))
    labels = labels or load_labels(seen.language)
    seen, t = _written(seen), seen.t + age_s
    lead = _lead(seen)
    view = View(
        live=live,
        notice="" if live else labels("stale", "loop", seconds=round(age_s)),
        calls=tuple(_call(call, seen, t, labels) for call in seen.kitchen.calls),
        loads=tuple(_load(load, seen, t, lead, labels) for load in seen.kitchen.open_loads),
        timers=timers_of(seen.kitchen, t, labels),
        heard=seen.heard,
        said=seen.said,
        trouble=_trouble(seen),
        question=seen.question,
        answers=seen.answers,
        phrases=seen.phrases,
        attention=seen.attention,
        language=seen.language,
        asleep=seen.asleep,
    )
    return view if live else _without_times(view, labels)


def _written(seen: Snapshot) -> Snapshot:
    """Return the snapshot with its numbers as figures, except in phrases for the cook to say."""

    def each(texts: Mapping[int, str]) -> Mapping[int, str]:
        return {load: in_figures(load_language(seen.language), text) for load, text in texts.items()}

    def line(told: TalkLine | None) -> TalkLine | None:
        return told and replace(told, text=in_figures(load_language(seen.language), told.text))

    return replace(
        seen,
        names=each(seen.names),
        stages=each(seen.stages),
        steps=each(seen.steps),
        cautions=each(seen.cautions),
        question=in_figures(load_language(seen.language), seen.question),
        heard=line(seen.heard),
        said=line(seen.said),
    )


def _without_times(view: View, labels: Labels) -> View:
    """Remove every time: an unreliable one is worse than none."""
    hidden = labels("board", "clock_hidden")

    def hide(clock: ClockFace) -> ClockFace:
        return clock if clock.left_s is None else replace(clock, left_s=None, note=hidden)

    loads = tuple(
        replace(
            load,
            clocks=tuple(map(hide, load.clocks)),
            particulars=tuple(replace(each, age="") for each in load.particulars if not each.timed),
        )
        for load in view.loads
    )
    calls = tuple(replace(call, age="") for call in view.calls)
    return replace(view, loads=loads, calls=calls, timers=tuple(map(hide, view.timers)))


def _trouble(seen: Snapshot) -> str:
    """Return the latest trouble, until something was heard after it."""
    if seen.trouble is None or (seen.heard is not None and seen.heard.t > seen.trouble.t):
        return ""
    return seen.trouble.text


def _load(load: Load, seen: Snapshot, t: float, lead: int | None, labels: Labels) -> LoadView:
    caution = seen.cautions.get(load.id, "")
    several = len(seen.kitchen.open_loads) > 1
    return LoadView(
        id=load.id,
        number=load.number,
        name=_capital(load.food_name),  # its number stands beside it
        detail=_detail(load, labels),
        stage=labels("board", "in_doubt") if load.doubt else seen.stages.get(load.id) or load.stage.value,
        caution=caution,
        step="" if load.doubt else seen.steps.get(load.id, "").removeprefix(caution).strip(),
        clocks=clocks_of(load, t, labels),
        particulars=particulars_of(load, t, labels),
        here=several and load.id == seen.focus,
        lead=load.id == lead,
        plot=plot_of(load, seen.readings.get(load.id, ()), labels),
        amiss=_amiss(load),
        packed=(load.packed, load.planned) if load.stage is Stage.PACK else None,
    )


def _amiss(load: Load) -> bool:
    return load.doubt or (load.stage is Stage.HOLD and load.hold is not None and load.hold.lost_t is not None)


def _lead(seen: Snapshot) -> int | None:
    """Return the id of the most urgent load."""
    calling = {call.load for call in seen.kitchen.calls}

    def urgency(load: Load) -> tuple[bool, bool, bool, float]:
        soonest_t = min((timer.due_t for timer in load.timers), default=math.inf)
        return load.id not in calling, not _amiss(load), load.id != seen.focus, soonest_t

    return min(seen.kitchen.open_loads, key=urgency).id if seen.kitchen.open_loads else None


def _detail(load: Load, labels: Labels) -> str:
    process = load.process
    kind = process.watched
    jars = labels("jars", load.jar) if labels.has("jars", load.jar) else load.jar
    vessel = in_figures(load_language(labels.language), load.canner_name) or labels("load", kind)
    pack = labels("load", load.pack) if labels.has("load", load.pack) else load.pack
    return labels("load", "detail", pack=pack, jars=jars, vessel=vessel)


def _call(call: Call, seen: Snapshot, t: float, labels: Labels) -> CallView:
    load = seen.kitchen.load(call.load)
    of_kind = call.name if load is None else f"{call.name}_{load.process.watched}"
    key = of_kind if labels.has("calls", of_kind) else call.name
    key = key if labels.has("calls", key) else "unknown"
    name = "" if load is None else seen.names.get(load.id) or load.food_name
    return CallView(
        key=call.key,
        text=labels("calls", key),
        name=_capital(name),
        do=labels("calls", f"{key}_do"),
        age=labels("ago", "unsure") if call.unsure else ago(t - call.since_t, labels),
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
