"""Doubts about a vent or hold: opened by an event, when it is heard or missed, and open until another settles them.

A claim is "at or above the target, without a break, for the tested time". `doubt` names the loads that it may touch,
and `doubt_settled` those that are lost by it and those that held, and by which answer; a load that it doesn't name
stays in doubt. While one is open the end of vent and hold waits. Silence settles it as lost, nothing but an answer as
held. What may only have told of something is kept: it is asked about at the end, and until then the time goes on.
Jars of another size than the load was looked up for take another time: they are asked about before any time starts,
or at once. What no stove makes good outlives the hold that it was told in. A restart with a gap is a doubt of its
own, and lets the silence about the others begin anew. What was held after all stays as a remark with the load. Logs
from before there were such events have `was_steady` instead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event, Value
from kitchenvoice.process import holds, stove, timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.faults import FAULTS
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Doubt, Remark, Stage
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.tools import Fact, Outcome, as_float, as_int, as_text, keep
from kitchenvoice.process.vent import vent_broken

__all__ = [
    "DOUBT_KINDS",
    "THINGS",
    "after_gap",
    "doubted_of",
    "ends_late",
    "kept_for",
    "kind_for",
    "of_old_logs",
    "open_kept",
    "opened",
    "raised_by",
    "settled",
    "spoils_start",
    "without_moot",
]

_LOSSES = frozenset({"heat_off", "boil_lost", "pressure_low", "weight_quiet", "steam_stopped", "weight_on", "fault"})
_WHY = MappingProxyType({"pressure_low": "pressure", "weight_quiet": "weight", "boil_lost": "boil"})
"""Losses that can still be of a hold that ended just before, and what was lost by them."""
THINGS = MappingProxyType(
    {
        "of_acid": "acid",
        "of_food": "numbers",
        "of_size": "numbers",
        "of_jars": "gear",
        "of_vent": "air",
        "of_altitude": "numbers",
        "of_weight": "numbers",
        "of_gauge": "numbers",
        "of_fault": "air",
        "gauge_stuck": "gauge",
        "of_cooling": "cooling",
        "opened": "cooling",
    }
)
"""Doubts of what no hold makes good, and the fault that each is if it is so."""
_OF_THE_VENT = frozenset(
    {"in_question", *THINGS, "unexplained"} - {"of_acid", "of_jars", "of_cooling", "opened", "gauge_stuck"}
)
_BEFORE_A_HOLD = _OF_THE_VENT - {"in_question"}
"""What is asked about before a hold starts, with all that was told in its vent: no hold makes that good."""
_OUTLIVE = {*THINGS, "unexplained"}
_AFTER = frozenset({"in_question", "fault", *_OUTLIVE})
"""What may contradict a hold however long it has been over."""
DOUBT_KINDS = (
    _LOSSES | _OUTLIVE | {"gap", "unheard", "low_number", "late", "settings", "taken_back", "in_question", "kept"}
)
"""What a doubt can be: a report that may be of this load, or what nobody watched, understood, or could mean.

`unexplained` may be of anything. `kept` opens what was kept of a load. `settings` (altitude or gauge corrected after
the start) is kept as a remark at once: no answer about the hold settles it. `late` is a report of too little soon
after the end.
"""


def ends_late(load: Load, t: float) -> bool:
    """True if a report of too little may still be of the hold that ended just before `t`."""
    return load.may_go_back and 0 <= t - (load.processed_t or t) <= timing.LATE_S


def opened(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Open a doubt on each of its loads with a claim. An open one of its kind goes on."""
    kind, facts = as_text(event.data["kind"]), list[Fact]()
    told = {name: value for name, value in event.data.items() if name not in ("loads", "kind")}
    for load in _named(kitchen, event.data.get("loads")):
        if kind == "kept":
            early = told.get("early") is True
            asked = tuple(each for each in load.kept if not early or _is_of_the_vent(each.kind, each.data))
            early = early and load.stage is Stage.COME_UP  # it isn't any more if that was taken back
            outcome = open_kept(load, event.t, asked) if load.claims or load.stands or early else Outcome(load)
            kitchen = kitchen.with_load(outcome.load)
            facts += outcome.facts
        elif told.get("kept") is True and not (kind == "of_size" and (load.claims or load.stands)):
            kept = MappingProxyType({**event.data, "kind": kind_for(load, kind)})
            kitchen = kitchen.with_load(keep(load, replace(event, data=kept)))
        elif kind == "settings":
            kitchen = kitchen.with_load(_with_remark(load, Remark(kind=kind, t=event.t)))
        elif _touches(load, kind, told, event.t) and load.doubted(kind) is None:
            doubt = Doubt(id=event.seq, kind=kind, t=event.t, since_t=event.t, data=MappingProxyType(told))
            kitchen = kitchen.with_load(replace(load, doubts=(*load.doubts, doubt)))
            facts.append(Fact("doubt", load.id, {"kind": kind, **told}))
    return kitchen, tuple(facts)


def kept_for(load: Load, timer: str) -> tuple[Doubt, ...]:
    """Return what is asked about before this timer's end counts: at the end of a vent what may be of the vent."""
    return tuple(each for each in load.kept if timer != "vent" or each.kind in _OF_THE_VENT)


def open_kept(load: Load, t: float, kept: tuple[Doubt, ...] | None = None) -> Outcome:
    """Ask about what was kept, before the end of vent or hold counts, or the load is closed."""
    kept = load.kept if kept is None else kept
    fresh = tuple(replace(each, t=t, since_t=t) for each in kept if load.doubted(each.kind) is None)
    load = replace(load, doubts=(*load.doubts, *fresh), kept=tuple(each for each in load.kept if each not in kept))
    return Outcome(load, tuple(Fact("doubt", load.id, {"kind": doubt.kind, **doubt.data}) for doubt in fresh))


def kind_for(load: Load, kind: str) -> str:
    """Return the kind of doubt that words raise for this load: before its hold those of the stove are of its vent."""
    if kind == "of_acid" and not load.process.acid:
        return "of_food"
    early = load.stage in (Stage.PACK, Stage.CANNER, Stage.VENT, Stage.COME_UP)
    kind = "of_vent" if kind == "in_question" and early else kind
    return "in_question" if kind == "of_vent" and not load.process.is_pressure else kind


def spoils_start(load: Load, kind: str, data: Mapping[str, Value]) -> bool:
    """True if no vent or hold of a load that has yet to hold may count before this is settled: heat off, air, fault,
    vent."""
    ahead = holds.has_yet_to_hold(load) or holds.has_yet_to_vent(load)
    if kind == "heat_off":
        return ahead and not load.heat_off
    if _is_of_the_vent(kind, data) and load.stage is Stage.COME_UP:
        return load.process.is_pressure
    return (kind == "fault" and ahead) or (_lets_air_in(data) and stove.may_lose_air(load))


def _is_of_the_vent(kind: str, data: Mapping[str, Value]) -> bool:
    return kind in _BEFORE_A_HOLD or data.get("in_vent") is True


def _lets_air_in(data: Mapping[str, Value]) -> bool:
    return data.get("air") is True or data.get("pressure") == 0


def _touches(load: Load, kind: str, data: Mapping[str, Value], t: float) -> bool:
    if spoils_start(load, kind, data):
        return True
    if kind == "late" or (kind in _WHY and not load.claims):
        return ends_late(load, t)
    if kind == "weight_on":
        return load.timer("vent") is not None
    return load.claims or (kind == "taken_back" and load.may_go_back) or (load.stands and kind in _AFTER)


def _with_remark(load: Load, remark: Remark) -> Load:
    known = any((each.kind, each.by) == (remark.kind, remark.by) for each in load.remarks)
    return load if known else replace(load, remarks=(*load.remarks, remark))


def _named(kitchen: Kitchen, value: Value) -> Iterator[Load]:
    numbers = set(value) if isinstance(value, tuple | list) else {value}
    return (load for load in kitchen.open_loads if load.id in numbers)


def after_gap(kitchen: Kitchen, event: Event) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Doubt everything that needed watching, and begin the silence about open doubts anew."""
    facts = []
    off_s = event.data.get("off_s")
    gap = event.data.get("unknown") is True or as_float(off_s or 0) > 0
    for load in kitchen.open_loads:
        doubts = tuple(replace(doubt, since_t=event.t) for doubt in load.doubts if not gap or doubt.kind != "gap")
        if gap and load.claims:
            told = MappingProxyType({"off_s": off_s})
            doubts = (*doubts, Doubt(id=event.seq, kind="gap", t=event.t, since_t=event.t, data=told))
            facts.append(Fact("doubt", load.id, {"kind": "gap", "off_s": off_s}))
        elif gap and stove.may_lose_air(load) and (off_s is None or as_float(off_s) >= timing.AIR_S):
            load = replace(holds.back(load, air=True), waiting_t=event.t, reminded=0)
            facts.append(Fact("step_entered", load.id))
        kitchen = kitchen.with_load(without_moot(replace(load, doubts=doubts)))
    return kitchen, tuple(facts)


# ---------------------------------------------------------------- settling


def settled(
    kitchen: Kitchen, event: Event, put: Callable[[Kitchen, Load, Outcome], Kitchen]
) -> tuple[Kitchen, tuple[Fact, ...]]:
    """Settle a doubt for the loads named: those that held go on, the lost ones start over. `put` takes the outcome.

    A report that has found its load leaves no remark on the others.
    """
    number, by = as_int(event.data["doubt"]), as_text(event.data.get("by") or "")
    facts: list[Fact] = []
    for load in _in_doubt(kitchen, number, event.data.get("held")):
        doubt = next(each for each in load.doubts if each.id == number)
        left = replace(load, doubts=tuple(each for each in load.doubts if each.id != number))
        of_another = event.data.get("lost") or by in ("withdrawn", "named")  # or another doubt goes on
        quiet = of_another or doubt.kind in ("taken_back", "unexplained", "opened", "of_cooling")  # nothing was meant
        quiet = quiet or not (load.claims or load.stands)
        left = left if quiet else _with_remark(left, Remark(kind=doubt.kind, t=event.t, by=by))
        kitchen = put(kitchen, load, Outcome(left))
        facts.append(Fact("doubt_settled", load.id, {"kind": doubt.kind, "by": by}))
    for load in _in_doubt(kitchen, number, event.data.get("lost")):
        doubt = next(each for each in load.doubts if each.id == number)
        outcome = _lost(kitchen, load, doubt, event)
        kitchen = put(kitchen, load, outcome)
        facts += outcome.facts
    return kitchen, tuple(facts)


def _in_doubt(kitchen: Kitchen, number: int, value: Value) -> list[Load]:
    return [load for load in _named(kitchen, value) if any(doubt.id == number for doubt in load.doubts)]


def _lost(kitchen: Kitchen, load: Load, doubt: Doubt, event: Event) -> Outcome:
    """Start the doubted hold or vent over: by the report itself if there was one, else for want of a witness.

    Nobody knows of what is in the jars either: it is a fault. What nobody explained is asked about again.
    """
    settled = replace(load, doubts=tuple(each for each in load.doubts if each is not doubt))
    answered = event.data.get("by") in ("yes", "no")
    unproved = "told" if answered else "gap" if doubt.kind == "gap" else "doubt"
    if doubt.kind == "of_vent" and load.stage in (Stage.VENT, Stage.COME_UP):
        return vent_broken(
            settled, event, unproved, "under_pressure" if load.stage is Stage.COME_UP else "weight_early"
        )
    if doubt.kind in THINGS or (doubt.kind == "fault" and load.stands):
        told = replace(event, kind="fault", load=load.id, data=MappingProxyType({"fault": _fault_of(load, doubt)}))
        return FAULTS["fault"](kitchen, settled, told)
    if load.may_go_back:
        why = as_text(doubt.data.get("why") or _WHY.get(doubt.kind, unproved))
        return holds.revoke(settled, event, why, air=_lets_air_in(doubt.data))
    if load.stands:  # its jars can't go back to the heat as they are
        short = replace(event, kind="fault", load=load.id, data=MappingProxyType({"fault": "short"}))
        return FAULTS["fault"](kitchen, replace(load, doubts=()), short)
    air = _lets_air_in(doubt.data)
    kind = "pressure_low" if air and doubt.kind not in _LOSSES else doubt.kind
    report = replace(event, kind=kind, load=load.id, data=MappingProxyType({**doubt.data, "air": air}))
    if kind in _LOSSES:
        outcome = {**stove.REPORTS, **FAULTS}[kind](kitchen, settled, report)
        if load.stage is Stage.VENT and outcome.load.stage is Stage.COME_UP:  # by now; it was told of a part of it
            step = "weight_early" if kind == "weight_on" else "under_pressure"
            return vent_broken(settled, report, "weight", step)
        if not outcome.load.claims:
            return outcome
    return stove.break_off(load, report, unproved)


def _fault_of(load: Load, doubt: Doubt) -> str:
    """Name the fault: jars that are out of their canner can only be spoiled."""
    if doubt.kind == "fault":
        return as_text(doubt.data.get("fault") or "air")
    return "spoiled" if doubt.kind == "of_jars" and load.lid_off else THINGS[doubt.kind]


def without_moot(load: Load) -> Load:
    """Drop doubts without a claim. Heat reported off is off, whatever else was lost."""
    after = {"late", "taken_back", *_AFTER, *_WHY}
    kept = tuple(
        each
        for each in load.doubts
        if load.claims or (each.kind in after and load.stands) or _is_of_the_next(load, each)
    )
    if not (load.claims or load.stands) and (load.kept or load.doubts):  # what is in the jars is asked about later
        all_told = (*load.kept, *(each for each in load.doubts if each not in kept))
        lasting = (each for each in all_told if each.kind in _OUTLIVE and load.given_up_t is None)
        load = replace(load, kept=tuple(lasting))
    if kept == load.doubts:
        return load
    cold = load.doubted("heat_off") is not None and load.stage is Stage.HOLD and load.processed_t is None
    load = replace(load, doubts=kept)
    return holds.gone_cold(load) if cold and not load.heat_off else load


def _is_of_the_next(load: Load, doubt: Doubt) -> bool:
    """True if it is of what a hold still has to start with; heat was off in the one that was lost meanwhile."""
    lost_t = None if load.hold is None else load.hold.lost_t
    lasts = lost_t is None or doubt.t > lost_t or doubt.kind != "heat_off"
    return lasts and spoils_start(load, doubt.kind, doubt.data)


def doubted_of(load: Load) -> tuple[str, ...]:
    """Name what was doubted of a load and stands: on its record, its label and the shelf list."""
    told = [remark.kind for remark in load.remarks]
    if load.unfit:
        told.append("unfit" if load.all_unfit else "unfit_some")
    if load.hold is not None and load.hold.unanswered:
        told.append("unanswered")
    if load.process.acid and "acid" not in load.checked and load.holds:
        told.append("acid")
    if load.hold is not None and not load.hold.done and load.stage in (Stage.REST, Stage.COUNT, Stage.KEEP):
        told.append("not_held")
    return tuple(dict.fromkeys(told))


def raised_by(load: Load, report: str, data: Mapping[str, Value], t: float) -> tuple[str, Mapping[str, Value]] | None:
    """Return the doubt raised by a report on its own load, with its data; `None` for a report that says it all.

    Heat that is off in a hold is asked about, a low number where the weight tells the pressure, whatever tells of too
    little just after the end, and since when a gauge is stuck that is told after it.
    """
    target, psi = load.process.target_psi or 0.0, data.get("pressure")
    below = psi is not None and as_float(psi) < target
    dial = load.process.is_dial
    if load.timed_out(t) and (load.heat_off or report == "heat_off"):
        return None
    if report == "fault" and data.get("fault") == "gauge" and load.stands and load.process.is_pressure:
        return "gauge_stuck", {}
    if report == "heat_off" and load.holding:
        return "heat_off", {}
    if load.holding and not dial and psi is not None and 0 < as_float(psi) < target:
        return "low_number", {"pressure": psi}
    if ends_late(load, t) and _is_loss(load, report, below=below):
        read = {"air": True} if report == "gauge_zero" else {} if psi is None else {"pressure": psi}
        return "late", {"why": _WHY.get(report, "pressure"), **read}
    return None


def _is_loss(load: Load, report: str, *, below: bool) -> bool:
    if not load.process.is_pressure:
        return report == "boil_lost"
    if report == "gauge_zero":
        return True
    if load.process.is_dial:
        return (report == "pressure_is" and below) or report == "pressure_low"
    return report in ("weight_quiet", "pressure_low") or (report == "pressure_is" and below)


def of_old_logs(load: Load, event: Event) -> Outcome:
    """Take the answer `was_steady` of logs that have no other: whether all held while nobody was listening."""
    gap = load.doubted("gap")
    if gap is None:
        return Outcome(load)
    if event.data.get("ok") is True:
        left = replace(load, doubts=tuple(each for each in load.doubts if each.kind != "gap"))
        return Outcome(left, (Fact("doubt_settled", load.id, {"kind": "gap"}),))
    return stove.break_off(load, event, "gap")
