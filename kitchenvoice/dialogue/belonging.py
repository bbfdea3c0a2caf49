"""The load that a report belongs to: the one just named, the only one it can be of, or those that take it best."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.grammar import intents_that
from kitchenvoice.process import (
    Event,
    Load,
    Stage,
    apply,
    canner_state,
    ends_late,
    loads_for,
    maybe_shut,
    object_to,
    raised_by,
    step_of,
    waits_for_heat_off,
)
from kitchenvoice.process.timing import cool_s

__all__ = [
    "cooling",
    "ends_hold",
    "is_late",
    "is_moot",
    "just_named",
    "lost_to_pressure",
    "may_have",
    "steaming",
    "under_pressure",
    "viable",
]

_CHOSEN_S = 60.0
_TAKEN, _AFTER_YES, _NOTHING, _REFUSED = 1, 2, 3, 4
_LOSSES = intents_that("loss")
_BY_WEIGHT, _BY_GAUGE, _AWAITED = intents_that("by_weight"), intents_that("by_gauge"), intents_that("awaited")
_COUNTS_JARS = frozenset({"jars_in", "packed", "packed_in_all"})
_OUT = frozenset({Stage.REST, Stage.COUNT, Stage.KEEP})
_FALLS = frozenset({"pressure_low", "weight_quiet"})
_CALLED = frozenset({"hold_done", "call_again"})


def just_named(talk: Talk) -> bool:
    """True if the cook turned to a load by its name a moment ago."""
    return talk.t - talk.selected_t <= _CHOSEN_S


def viable(talk: Talk, report: str, data: Mapping[str, Any]) -> tuple[Load, ...]:
    """Return the load just named if it takes the report, or refuses it: then that is said, and no other one gets it.

    Else those that take it best: awaited, taken, after a yes.
    """
    loads = loads_for(talk.kitchen, report)
    trouble = {load.id: _trouble(talk, load, report, data) for load in loads}
    named = talk.kitchen.focus if just_named(talk) else None
    best = trouble.get(named, _NOTHING) if named is not None else _NOTHING
    if best == _REFUSED or best <= (_TAKEN if "count" in data else _AFTER_YES):
        return tuple(load for load in loads if load.id == named)
    if report in _BY_GAUGE:
        return _by_gauge(talk, data) or loads
    if report == "gauge_zero" and loads:
        warm = [load for load in cooling(talk) if not load.at_zero]
        return (*warm, *(load for load in loads if load.stage is Stage.VENT)) or loads
    fitting = tuple(load for load in loads if trouble[load.id] == min(trouble.values()))
    return tuple(load for load in fitting if report not in _BY_WEIGHT or not load.process.is_dial) or fitting


def _by_gauge(talk: Talk, data: Mapping[str, Any]) -> tuple[Load, ...]:
    """Return every load whose gauge may be read: no number tells which one was. Zero is of one that cools, if any."""
    shut = [load for load in talk.kitchen.open_loads if load.process.is_pressure and not load.lid_off]
    shut_vent = [load for load in shut if canner_state(load) == "shut"]
    under = tuple(load for load in shut if load in shut_vent or load.stage in (Stage.COME_UP, Stage.HOLD, Stage.COOL))
    zero = [load for load in cooling(talk) if not load.at_zero] if data.get("pressure") == 0 else []
    return tuple(zero) or under


def may_have(load: Load, report: str | None, beside: Collection[str | None]) -> bool:
    """False if a report can't be of this load, such as a gauge reading of one whose weight is told to rock."""
    own, other = (_BY_GAUGE, _BY_WEIGHT) if load.process.is_dial else (_BY_WEIGHT, _BY_GAUGE)
    return report not in other or own.isdisjoint(beside)


def cooling(talk: Talk) -> tuple[Load, ...]:
    """Return the loads that can be at zero by now, told or not that their heat is off."""
    loads = [load for load in talk.kitchen.open_loads if load.process.is_pressure]
    return tuple(load for load in loads if (load.stage is Stage.COOL and not load.lid_off) or _is_cold(talk, load))


def _is_cold(talk: Talk, load: Load) -> bool:
    return waits_for_heat_off(load) and talk.t - (load.over_t or talk.t) >= cool_s(load.jar)


def _trouble(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> int:
    """Rank: awaited by the step the load is at, taken, taken after a yes, without effect, refused.

    What ends one too soon ranks alike for a hold that asks first and a vent that doesn't: it is asked whose it is.
    What starts a hold is never given to the load that waits for it while another one can have reported it, and jars
    that are in without a count can be those of any load being packed, however many it has.
    """
    if raised_by(load, report, data, talk.t) is not None:
        return 0 if report == "fault" or is_late(load, report, data, talk.t) else _TAKEN
    if report in _BY_WEIGHT and load.process.is_dial:
        return _NOTHING
    objection = object_to(talk.kitchen, load, report, data, talk.t)
    if report == "jars_in" and "count" not in data and (objection is None or objection.override):
        return 0 if load.stage is Stage.PACK else _TAKEN
    if objection is not None:
        lost = _TAKEN if report in _LOSSES else _AFTER_YES
        return lost if objection.override else _REFUSED
    if not _changes(talk, load, report, data):
        return _NOTHING
    if report in _BY_WEIGHT and load.stage in (Stage.CANNER, Stage.VENT) and not maybe_shut(load):
        return _AFTER_YES
    step = step_of(load)
    awaited = report not in _AWAITED or (step is not None and report in step.done_by)
    awaited = awaited or (report == "heat_on" and load.heat_off)
    return 0 if awaited and not (report == "heat_off" and _called_long_ago(talk, load)) else _TAKEN


def _called_long_ago(talk: Talk, load: Load) -> bool:
    """True if a load was called so long ago that heat that is off can as well be another one's."""
    calls = (event.t for event in reversed(talk.history) if event.load == load.id and event.kind in _CALLED)
    return talk.t - next(calls, talk.t) > _CHOSEN_S


def _changes(talk: Talk, load: Load, report: str, data: Mapping[str, Any]) -> bool:
    """True if the report would do anything to the load. The engine is pure, so it can simply be tried."""
    event = Event(seq=talk.last_seq + 1, t=talk.t, kind=report, load=load.id, data=dict(data))
    after, facts = apply(talk.kitchen, event)
    return bool(facts) or after.load(load.id) != load


def ends_hold(load: Load, report: str, data: Mapping[str, Any], t: float) -> bool:
    """True if the report ends what counts of that load, or has counted, if it is of it."""
    if not load.claims:
        return is_late(load, report, data, t) or (report == "fault" and load.stands)
    if report == "weight_on":
        return load.timer("vent") is not None
    psi, target = data.get("pressure"), load.process.target_psi or 0.0
    return report in _LOSSES or (load.holding and psi is not None and psi < target)


def is_late(load: Load, report: str, data: Mapping[str, Any], t: float) -> bool:
    """True if a report tells of too little just after the end of the load's hold."""
    raised = raised_by(load, report, data, t)
    return raised is not None and raised[0] == "late"


def under_pressure(talk: Talk) -> list[Load]:
    """Return the pressure loads whose hold counts, or ended just now."""
    loads = (load for load in talk.kitchen.open_loads if load.process.is_pressure)
    return [load for load in loads if load.holding or ends_late(load, talk.t)]


def steaming(talk: Talk) -> list[Load]:
    """Return the loads of which steam tells: those that vent, and those in steam whose time counts, or did just now."""
    return [
        load
        for load in talk.kitchen.open_loads
        if load.timer("vent") or (load.process.is_steam and (load.claims or ends_late(load, talk.t)))
    ]


def lost_to_pressure(talk: Talk) -> list[Load]:
    """Return the pressure loads whose hold was lost, and hasn't started again."""
    loads = (load for load in talk.kitchen.open_loads if load.process.is_pressure and load.processed_t is None)
    return [load for load in loads if load.stage is Stage.HOLD and not load.holding]


def is_moot(talk: Talk, report: str, slots: Mapping[str, Any]) -> bool:
    """True if a report that fits nowhere tells only what must be: water that boils in a canner under steam, no lid on
    jars that are out, a gauge at zero beside an open vent, as many jars as there are, a low pressure while none counts.
    """
    loads = talk.kitchen.open_loads
    if report in _COUNTS_JARS:
        return not any(load.claims for load in loads) or any(slots.get("count") in (None, load.jars) for load in loads)
    if report == "lid_off":
        return all(load.stage in _OUT for load in loads)
    if report == "gauge_zero":
        return all(load.stage is Stage.VENT and not maybe_shut(load) for load in loads)
    if report == "boiling":
        return all(load.process.is_pressure and not load.lid_off for load in loads)
    return report in _FALLS and all(load.stage is Stage.COME_UP for load in loads)
