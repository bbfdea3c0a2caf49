"""Why a report should not simply be taken: too early, in the wrong stage, or a count that doesn't add up.

An objection is a value, not an error. `override` means that an explicit yes makes the report acceptable (it is then
recorded as it was said); without it the report is refused and the load stays where it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from kitchenvoice.ports import Value
from kitchenvoice.process import timing
from kitchenvoice.process.counts import undecided
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import OTHER_NUMBERS, Stage
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.steps import maybe_shut, unchecked
from kitchenvoice.process.stove import lost_at_zero
from kitchenvoice.process.tools import as_float, as_int, asked_of

__all__ = ["REOPENS", "REPORT_STAGES", "Objection", "loads_for", "object_to"]

_NOTHING: Mapping[str, Value] = MappingProxyType({})

_OF_LOADS = frozenset(set(Stage) - {Stage.IDLE, Stage.PLAN, Stage.GEAR, Stage.START, Stage.CLOSED})
REPORT_STAGES: Mapping[str, frozenset[Stage]] = MappingProxyType(
    {
        "step_done": frozenset({Stage.PACK, Stage.CANNER, Stage.KEEP}),
        "previous_step": frozenset({Stage.PACK, Stage.CANNER}),
        "packed": frozenset({Stage.PACK}),
        "jars_in": frozenset({Stage.PACK, Stage.CANNER}),
        "lid_locked": frozenset({Stage.CANNER}),
        "heat_on": frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL}),
        "steam_steady": frozenset({Stage.CANNER, Stage.VENT}),
        "steam_stopped": frozenset({Stage.VENT}),
        "weight_on": frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP}),
        "weight_rocking": frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD}),
        "weight_quiet": frozenset({Stage.HOLD}),
        "pressure_is": frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL}),
        "pressure_low": frozenset({Stage.HOLD}),
        "boiling": frozenset({Stage.CANNER, Stage.COME_UP, Stage.HOLD}),
        "boil_lost": frozenset({Stage.HOLD}),
        "heat_off": frozenset({Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL}),
        "gauge_zero": frozenset({Stage.VENT, Stage.COME_UP, Stage.COOL}),
        "lid_off": frozenset({Stage.COOL}),
        "jars_out": frozenset({Stage.COOL, Stage.REST, Stage.COUNT}),
        "jar_broke": frozenset(
            set(Stage) - {Stage.IDLE, Stage.PLAN, Stage.GEAR, Stage.START, Stage.KEEP, Stage.CLOSED}
        ),
        "liquid_lost": frozenset({Stage.COOL, Stage.REST, Stage.COUNT, Stage.KEEP}),
        "tally": frozenset({Stage.REST, Stage.COUNT, Stage.KEEP}),
        "seal_count": frozenset({Stage.REST, Stage.COUNT, Stage.KEEP}),
        "jar_outcome": frozenset({Stage.COUNT, Stage.KEEP}),
        "load_close": frozenset({Stage.COUNT, Stage.KEEP}),
        "was_steady": frozenset({Stage.VENT, Stage.HOLD}),
        "fault": _OF_LOADS,
        "fault_mended": _OF_LOADS,
    }
)
"""In which stages a load can take each report."""

_PRESSURE_ONLY = frozenset(
    {"steam_steady", "steam_stopped", "weight_on", "weight_rocking", "weight_quiet", "pressure_is"}
    | {"pressure_low", "gauge_zero"}
)
_BATH_ONLY = frozenset({"boiling", "boil_lost"})
_TELLS_PRESSURE = frozenset({"weight_rocking", "pressure_is"})
"""Of a vent: that its weight is on. Of one with a fault nothing."""
_SHUTS = _TELLS_PRESSURE | {"weight_on"}
"""Before the vent: that there is none."""
REOPENS = frozenset({"fault", "tally"})
"""What a closed load with jars on the shelf is opened again by."""

_ON_THE_HEAT = frozenset({"heat_off", "pressure_is", "jar_broke"})
_OF_GIVEN_UP = _ON_THE_HEAT | {"gauge_zero", "lid_off", "jars_out"}
"""What a load can still be told that was given up: its canner is led to its opening, once its heat is off."""


@dataclass(frozen=True, slots=True)
class Objection:
    """Why not: a `kind` with a sentence of its own, and the values in that sentence."""

    kind: str
    data: Mapping[str, Value] = field(default_factory=lambda: _NOTHING)
    override: bool = False


def loads_for(kitchen: Kitchen, report: str) -> tuple[Load, ...]:
    """Return the open loads that this report can belong to."""
    stages = REPORT_STAGES.get(report, frozenset(Stage))
    return tuple(load for load in kitchen.open_loads if load.stage in stages and _fits(load, report))


def _fits(load: Load, report: str) -> bool:
    is_open = load.stage is Stage.VENT and not maybe_shut(load)
    if is_open and (report == "gauge_zero" or (report in _TELLS_PRESSURE and load.step == "mend")):
        return False  # while steam pours out there is no pressure to be gone
    if load.stage is Stage.CANNER and report in _SHUTS and load.step != "heat":
        return False  # its lid isn't locked yet
    if report == "gauge_zero" and load.stage is Stage.COME_UP and not lost_at_zero(load):
        return False  # it hasn't come up yet
    if report == "heat_on" and load.stage is Stage.COOL:
        return load.heat_off and not load.lid_off  # it was on all the while, and nothing has cooled
    if load.given_up_t is not None and report not in (_ON_THE_HEAT if load.step == "off" else _OF_GIVEN_UP):
        return False
    if report in _PRESSURE_ONLY:
        return load.process.is_pressure
    return not (report in _BATH_ONLY and load.process.is_pressure)


def object_to(kitchen: Kitchen, load: Load, report: str, data: Mapping[str, Value], t: float) -> Objection | None:
    """Return the objection to taking this report for this load at `t`, `None` if there is none.

    `data["asked"]` names the objections (one or several) that an explicit yes has overruled already.
    """
    stage = Stage.KEEP if report in REOPENS and load.shelved else load.stage
    if stage not in REPORT_STAGES.get(report, frozenset(Stage)) or not _fits(load, report):
        return Objection("wrong_stage", {"report": report})
    check = _CHECKS.get(report)
    if check is None:
        return None
    overruled = asked_of(data)
    found = check(kitchen, load, data, t)
    return next((each for each in found if not (each.override and each.kind in overruled)), None)


def _jars_in(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    yield from _gear(kitchen, load, data, t)
    other = kitchen.in_the_way_of(load)
    if other is not None:
        yield Objection("canner_busy", {"other": other.id})
    packed, planned = load.standing, max(0, load.planned - load.broken)
    count = as_int(data["count"]) if data.get("count") is not None else packed
    if count < 1:
        yield Objection("no_jars")
    yield from _acid(load)
    first = load.stage is Stage.PACK
    if data.get("count") is None and first and load.broke_packing and not load.packed:
        yield Objection("broke_packing")
    if data.get("count") is not None and count != packed and not (first and count == planned):
        yield Objection("jars_in_differ", {"count": count, "expected": packed}, override=True)
    elif data.get("count") is None and first and packed != planned:
        kind = "jars_untold" if packed < planned else "jars_in_differ"
        yield Objection(kind, {"count": packed, "expected": planned}, override=True)


def _acid(load: Load) -> Iterator[Objection]:
    """Ask for the acid before anything is heated: it can't be added later."""
    if any(step.id == "acid" for step in unchecked(load, Stage.PACK)):
        yield Objection("acid_unconfirmed", override=True)


def _water(load: Load) -> Iterator[Objection]:
    """Ask for the water over the lids before anything is heated: whatever else was said to it is no yes."""
    early = load.stage in (Stage.CANNER, Stage.COME_UP) and not load.holds
    if early and any(step.id == "water_over" for step in unchecked(load, Stage.CANNER)):
        yield Objection("water_unconfirmed", override=True)


def _heat_on(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    yield from _gear(kitchen, load, data, t)
    yield from _water(load)


def _starts(_: Kitchen, load: Load, data: Mapping[str, Value], __: float) -> Iterator[Objection]:
    again = load.stage is Stage.HOLD and load.hold is not None and load.hold.lost_t is not None
    if load.by_other_numbers and not load.holding:
        yield Objection("by_other_numbers")
    yield from _unmended(load)
    if load.stage in (Stage.CANNER, Stage.COME_UP) or again:
        yield from _acid(load)
        yield from _water(load)
        if load.gauge_stuck and load.process.is_dial:
            yield Objection("gauge_was_stuck", override=True)


def _gear(_: Kitchen, load: Load, __: Mapping[str, Value], ___: float) -> Iterator[Objection]:
    """Refuse to heat a canner whose check failed."""
    if load.fault("gear") is not None and load.stage in (Stage.PACK, Stage.CANNER):
        yield Objection("gear_failed")


def _steam_steady(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    yield from _gear(kitchen, load, data, t)
    if load.by_other_numbers:
        yield Objection("by_other_numbers")
    yield from _unmended(load)


def _unmended(load: Load) -> Iterator[Objection]:
    """Ask whether a fault is put right that stopped what ran: heat on again would have told so. Acid is asked for."""
    if load.step == "mend" and any(fault.kind not in {"acid", *OTHER_NUMBERS} for fault in load.faults):
        yield Objection("not_put_right", override=True)


def _boiling(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    """In a steam canner nothing but its column tells that it boils, and a column of steam tells it of no other."""
    yield from _boil_lost(kitchen, load, data, t)
    if load.process.is_steam and data.get("steam") is not True:
        yield Objection("steam_tells")
    yield from _starts(kitchen, load, data, t)


def _boil_lost(_: Kitchen, load: Load, data: Mapping[str, Value], __: float) -> Iterator[Objection]:
    if data.get("steam") is True and not load.process.is_steam:
        yield Objection("wrong_stage", {"report": "boiling"})


def _too_soon(load: Load, t: float, *, by_lock: bool = False) -> Iterator[Objection]:
    """Ask again about a zero that comes sooner than a canner full of jars usually cools; a stuck gauge tells none."""
    if load.stage is not Stage.COOL or load.at_zero or load.lid_off or load.cooling_t is None:
        return
    since_s, cool_s = t - load.cooling_t, timing.cool_s(load.jar)
    if since_s < cool_s and load.gauge_stuck and not by_lock:
        yield Objection("gauge_stuck", {"left_s": cool_s - since_s})
    if since_s < cool_s:
        yield Objection("zero_so_soon", {"since_s": since_s, "cool_s": cool_s}, override=True)


def _gauge_zero(_: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    yield from _too_soon(load, t, by_lock=data.get("lock") is True)


def _fault(_: Kitchen, load: Load, data: Mapping[str, Value], __: float) -> Iterator[Objection]:
    kind = data.get("fault") or "air"
    acid, told_early = kind == "acid", load.stage is Stage.PACK and kind not in {"acid", "gear", *OTHER_NUMBERS}
    if (acid and not load.process.acid) or told_early:
        yield Objection("wrong_stage", {"report": "fault"})
    if kind in ("gauge", "gear") and not load.process.is_pressure:
        yield Objection("wrong_stage", {"report": "fault"})
    if kind == "gear" and load.processed_t is not None:
        yield Objection("wrong_stage", {"report": "fault"})


def _heat_off(_: Kitchen, load: Load, __: Mapping[str, Value], t: float) -> Iterator[Objection]:
    timer = load.timer("hold")
    if load.holding and timer is not None and not load.timed_out(t):
        yield Objection("hold_not_done", {"left_s": max(0.0, timer.left_s(t)), "unsure": timer.unsure}, override=True)


def _pressure_is(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    psi, target = as_float(data["pressure"]), load.process.target_psi
    if load.stage is Stage.COOL and load.lid_off:
        yield Objection("wrong_stage", {"report": "pressure_is"})
    counts = load.holding or load.stage is Stage.COME_UP or load.stage is Stage.HOLD
    if counts and load.process.is_dial and target is not None and psi > target + 2 * timing.HIGH_PSI:
        yield Objection("pressure_odd", {"psi": psi}, override=True)
    if load.process.is_dial and target is not None and psi >= target:
        yield from _starts(kitchen, load, data, t)
    if psi <= 0:
        yield from _too_soon(load, t)


def _lid_off(_: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    if not load.process.is_pressure or load.lid_off:
        return
    soon = load.cooling_t is None or next(_too_soon(load, t), None) is not None or _read_above_zero(load, t)
    if not load.at_zero and soon:
        yield Objection("not_at_zero")
    elif not load.at_zero:
        yield Objection("zero_untold", override=True)
    timer = load.timer("settle")
    if timer is not None and "settle_not_done" not in asked_of(data):  # else it is off, and that is told
        yield Objection("settle_not_done", {"left_s": max(0.0, timer.left_s(t)), "unsure": timer.unsure})


def _read_above_zero(load: Load, t: float) -> bool:
    """True if there was pressure so short a time ago that there can't have been zero and the wait since."""
    return (load.last_psi or 0.0) > 0 and t - (load.last_psi_t or t) < timing.settle_s()


def _jars_out(kitchen: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    count = data.get("count")
    differs = count is not None and as_int(count) != load.standing
    if load.stage is not Stage.COOL and (not differs or load.sealed is not None):
        yield Objection("out_already")
    if load.stage is Stage.COOL and load.process.is_pressure:
        asked = load.fault("cooling") is not None  # its jars are lost, and it is open
        yield from (each for each in _lid_off(kitchen, load, data, t) if not (asked and each.kind == "zero_untold"))
    timer = load.timer("bath_rest")
    in_water = load.process.watched == "bath"
    if timer is not None or (load.stage is Stage.COOL and in_water and not load.lid_off):
        left_s = timing.bath_rest_s() if timer is None else max(0.0, timer.left_s(t))
        unsure = timer is not None and timer.unsure
        yield Objection("bath_rest_not_done", {"left_s": left_s, "unsure": unsure}, override=True)
    if differs:
        yield Objection("jars_out_differ", {"count": count, "expected": load.standing}, override=True)


def _jar_broke(_: Kitchen, load: Load, data: Mapping[str, Value], __: float) -> Iterator[Objection]:
    count = as_int(data.get("count", 1))
    if count < 1:
        yield Objection("no_jars")
    if load.stage is not Stage.PACK and count > load.standing:
        yield Objection("more_than_there", {"count": count, "standing": load.standing})


def _seal_count(_: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    sealed, failed = as_int(data["sealed"]), as_int(data["failed"])
    told = {"sealed": sealed, "failed": failed}
    if sealed + failed != load.standing or min(sealed, failed) < 0:
        held = {"standing": load.standing, "loaded": load.jars, "broken": load.broken}
        yield Objection("count_differs", {**told, "total": sealed + failed, **held})
    timer = load.timer("rest")
    if timer is not None and timer.left_s(t) > 0:
        yield Objection("rest_not_done", {"rested_s": t - timer.started_t, **told}, override=True)


def _tally(_: Kitchen, load: Load, data: Mapping[str, Value], __: float) -> Iterator[Objection]:
    sealed = load.tally[0] + as_int(data.get("sealed") or 0)
    failed = load.tally[1] + as_int(data.get("failed") or 0)
    if sealed + failed > load.standing or min(sealed, failed) < 0:
        yield Objection("tally_over", {"total": sealed + failed, "standing": load.standing})


def _jar_outcome(_: Kitchen, load: Load, data: Mapping[str, Value], t: float) -> Iterator[Objection]:
    left = undecided(load, str(data["outcome"]))
    if left <= 0:
        yield Objection("not_counted" if load.sealed is None else "none_failed")
    if as_int(data.get("count", 1)) > left:
        yield Objection("more_than_failed", {"left": left})
    if load.spoiled and data["outcome"] != "discard":
        yield Objection("spoiled_first")
    late = load.processed_t is not None and t - load.processed_t >= timing.window_s()
    if late and data["outcome"] != "discard":
        yield Objection("window_shut", {"hours": (t - (load.processed_t or t)) / 3600})


def _load_close(_: Kitchen, load: Load, __: Mapping[str, Value], t: float) -> Iterator[Objection]:
    if load.sealed is None:
        yield Objection("not_counted")
    if load.undecided > 0:
        yield Objection("not_decided", {"left": load.undecided})
    if load.doubt or (load.kept and not load.all_unfit):
        yield Objection("in_doubt")
    timer = load.timer("rest")
    if timer is not None and timer.left_s(t) > 0:
        yield Objection("rest_runs", {"left_s": timer.left_s(t), "unsure": timer.unsure}, override=True)


_CHECKS: Mapping[str, Callable[[Kitchen, Load, Mapping[str, Value], float], Iterator[Objection]]] = MappingProxyType(
    {
        "jars_in": _jars_in,
        "lid_locked": _gear,
        "heat_on": _heat_on,
        "heat_off": _heat_off,
        "pressure_is": _pressure_is,
        "steam_steady": _steam_steady,
        "weight_rocking": _starts,
        "boiling": _boiling,
        "boil_lost": _boil_lost,
        "gauge_zero": _gauge_zero,
        "fault": _fault,
        "lid_off": _lid_off,
        "jars_out": _jars_out,
        "jar_broke": _jar_broke,
        "seal_count": _seal_count,
        "tally": _tally,
        "jar_outcome": _jar_outcome,
        "load_close": _load_close,
    }
)
