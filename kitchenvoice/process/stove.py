"""Reports from the stove: steam, weight, pressure, boil, heat, lid. Each goes by the stage that its load is in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.cooling import at_zero, lid_off, pressure_in_cool
from kitchenvoice.process.holds import (
    air_is_back,
    back,
    has_yet_to_hold,
    is_lost,
    lose_hold,
    may_hold,
    start_hold,
    still_holds,
)
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Stage
from kitchenvoice.process.state import Call, Kitchen
from kitchenvoice.process.steps import maybe_shut
from kitchenvoice.process.tools import Fact, Outcome, as_float, call_key, confirmed, enter, go_to
from kitchenvoice.process.vent import early_pressure, steam_steady, steam_stopped, vent_broken, vent_opens, weight_on

__all__ = ["REPORTS", "break_off", "lost_at_zero", "may_lose_air"]


def _lid_locked(_: Kitchen, load: Load, __: Event) -> Outcome:
    if load.stage is not Stage.CANNER or not load.process.is_pressure or load.step == "heat":
        return Outcome(load)
    return Outcome(go_to(load, Stage.CANNER, "heat"), (Fact("step_entered", load.id),))


def _heat_on(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Note the heat as on. After an open report of the opposite it was off meanwhile."""
    if load.stage is Stage.COOL:
        return _still_on(load, event)
    load = confirmed(load, event)
    doubted, doubts = load.doubted("heat_off"), tuple(each for each in load.doubts if each.kind != "heat_off")
    load = replace(load, doubts=doubts)
    if doubted is not None and load.claims:
        broken = break_off(load, event, "heat")
        return replace(
            _lit(replace(broken.load, heat_off=False, lit_t=event.t)), facts=broken.facts, calls=broken.calls
        )
    if load.step == "under_pressure":
        return Outcome(replace(load, heat_off=False))
    lit_t = event.t if load.lit_t is None or load.heat_off else load.lit_t
    return _lit(replace(load, heat_off=False, lit_t=lit_t, cooling_t=None), cold=air_is_back(load, event.t))


def _still_on(load: Load, event: Event) -> Outcome:
    """Take back that the heat is off: it has to go off still, and all the cooling is before it."""
    load = replace(load, heat_off=False, cooling_t=None, at_zero=False, last_psi=None, lit_t=event.t)
    stage = Stage.HOLD if load.given_up_t is None else Stage.COOL
    load = go_to(load.without_timer("settle"), stage, "off")
    call = Call(key=call_key("not_cooling", load.id), load=load.id, since_t=event.t)
    return Outcome(load, (Fact("not_cooling", load.id),), () if load.given_up_t is not None else (call,))


def _lit(load: Load, *, cold: bool = False) -> Outcome:
    if load.stage is Stage.CANNER and not load.process.is_pressure:
        return Outcome(enter(load, Stage.COME_UP), (Fact("step_entered", load.id),))
    if load.step == "heat_up_again":
        load = back(load, air=True) if cold and load.process.is_pressure else enter(load, Stage.COME_UP)
    elif load.step in ("mend", "stopped"):
        load = go_to(load, Stage.VENT, "vent_again") if load.process.is_pressure else enter(load, Stage.COME_UP)
    elif load.step == "heat_again":
        load = back(load, air=cold)
    return Outcome(load, (Fact("heat_on", load.id),))


def _pressure_is(_: Kitchen, load: Load, event: Event) -> Outcome:
    psi, target = as_float(event.data["pressure"]), load.process.target_psi
    if not load.process.is_pressure or target is None:
        return Outcome(load)
    if load.stage is Stage.COOL:
        return pressure_in_cool(load, event, psi)
    if load.stage in (Stage.CANNER, Stage.VENT):
        told = psi > 0 if maybe_shut(load) else psi >= timing.gauge_off_psi()  # less says nothing of an open vent
        return early_pressure(load, event) if told else vent_opens(load)
    if psi <= 0 and lost_at_zero(load):
        return _all_gone(load)
    air = event.data.get("air") is True
    if not load.process.is_dial and load.holding and psi <= 0:
        return _falls(load, event, "pressure", psi)
    if air and is_lost(load):
        return _all_gone(replace(load, last_psi=psi, last_psi_t=event.t, asked_t=None))
    if not load.process.is_dial:
        load = replace(load, recheck_t=event.t if load.holding and psi < target else load.recheck_t)
        return Outcome(load, (Fact("weighted_tells", load.id, {"psi": psi}),))
    before = load.last_psi
    load = replace(load, last_psi=psi)
    if load.holding:
        same = before is not None and abs(psi - before) < timing.SAME_PSI
        return _pressure_in_hold(still_holds(load, event, same=same), event, psi, target)
    load = replace(load, last_psi_t=event.t, asked_t=None)
    if not may_hold(load):
        return Outcome(load)
    if psi < target:
        return Outcome(load, (Fact("pressure_not_there", load.id, {"psi": psi, "target": target}),))
    outcome = start_hold(load, event, psi)
    return Outcome(outcome.load, (*outcome.facts, *_too_high(load, psi, target)))


def _pressure_in_hold(load: Load, event: Event, psi: float, target: float) -> Outcome:
    if psi < target:
        return _falls(load, event, "pressure", psi)
    hold = load.holds[-1]
    lowest = psi if hold.lowest_psi is None else min(psi, hold.lowest_psi)
    load = replace(load, holds=(*load.holds[:-1], replace(hold, lowest_psi=lowest)))
    facts = _too_high(load, psi, target) or (Fact("pressure_held", load.id, {"psi": psi}),)
    return Outcome(load, facts)


def _too_high(load: Load, psi: float, target: float) -> tuple[Fact, ...]:
    if psi < target + timing.HIGH_PSI:
        return ()
    return (Fact("pressure_high", load.id, {"psi": psi, "target": target}),)


def _pressure_low(kitchen: Kitchen, load: Load, event: Event) -> Outcome:
    if event.data.get("pressure") is not None and load.process.is_dial:
        return _pressure_is(kitchen, load, event)
    if event.data.get("air") is True and may_lose_air(load):
        return _all_gone(load)
    return _falls(load, event, "pressure")


def _falls(load: Load, event: Event, why: str, psi: float | None = None) -> Outcome:
    """Lose the hold, unless it only cools by now."""
    cools = load.heat_off and load.timed_out(event.t)
    return Outcome(load, (Fact("heat_off_over", load.id),)) if cools else lose_hold(load, event, why, psi)


def lost_at_zero(load: Load) -> bool:
    """True if a zero on the way up means lost pressure: there was some, or the heat is off."""
    had_some = load.heat_off or (load.last_psi or 0.0) > 0
    return load.stage is Stage.COME_UP and load.process.is_pressure and had_some


def may_lose_air(load: Load) -> bool:
    """True if a canner has been vented and its hold doesn't count yet, or no more."""
    return load.process.is_pressure and has_yet_to_hold(load)


def _all_gone(load: Load) -> Outcome:
    """Vent again: without pressure air is back in the canner."""
    return Outcome(back(load, air=True), (Fact("step_entered", load.id),))


def _weight_rocking(_: Kitchen, load: Load, event: Event) -> Outcome:
    if not load.process.is_pressure:
        return Outcome(load)
    if load.stage in (Stage.CANNER, Stage.VENT):
        return early_pressure(load, event)
    if load.process.is_dial:
        return Outcome(load, (Fact("dial_tells", load.id),))
    if load.holding:
        return Outcome(still_holds(load, event), (Fact("still_rocking", load.id),))
    return start_hold(replace(load, last_psi_t=event.t), event) if may_hold(load) else Outcome(load)


def _weight_quiet(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.process.is_dial:
        return Outcome(load, (Fact("dial_tells", load.id),))
    return _falls(load, event, "weight")


def _boiling(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.process.is_pressure:
        return Outcome(load)
    if load.holding:
        return Outcome(still_holds(load, event), (Fact("still_boiling", load.id),))
    if may_hold(load) or load.stage is Stage.CANNER:
        return start_hold(replace(load, last_psi_t=event.t), event)
    return Outcome(load)


def _boil_lost(_: Kitchen, load: Load, event: Event) -> Outcome:
    return Outcome(load) if load.process.is_pressure else _falls(load, event, _boil_of(load))


def _boil_of(load: Load) -> str:
    return "steam" if load.process.is_steam else "boil"


def break_off(load: Load, event: Event, why: str) -> Outcome:
    """Start the running vent or hold over."""
    return lose_hold(load, event, why) if load.holding else vent_broken(load, event, why)


def _heat_off(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.step == "off":
        since_t = load.over_t if event.data.get("before") is True else event.t
        load = enter(replace(load, heat_off=True, cooling_t=since_t), Stage.COOL)
        return Outcome(
            load, (Fact("cooling", load.id, {"unanswered": load.holds[-1].unanswered if load.holds else 0}),)
        )
    if load.stage is Stage.COOL:
        return Outcome(load)
    since_t = None if load.stage is Stage.VENT else load.cooling_t or event.t
    load = replace(load, heat_off=True, cooling_t=since_t)
    if load.holding and load.timed_out(event.t) and "air" not in event.data:
        return Outcome(load, (Fact("heat_off_over", load.id),))
    if load.holding:
        return lose_hold(load, event, "heat")
    if load.step in ("mend", "stopped"):
        return Outcome(load, (Fact("heat_off_early", load.id),))
    if load.stage is Stage.VENT and maybe_shut(load):
        step = "under_pressure" if load.step == "weight_early" else load.step
        return Outcome(go_to(load, Stage.VENT, step), (Fact("heat_off_to_vent", load.id),))
    if load.stage is Stage.VENT:
        return vent_broken(load, event, "heat")
    load = go_to(load, load.stage, "heat_again" if load.stage is Stage.HOLD else "heat_up_again")
    return Outcome(load, (Fact("heat_off_early", load.id),))


def _gauge_zero(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is Stage.VENT and load.process.is_pressure:
        return vent_opens(load)
    if lost_at_zero(load):
        return _all_gone(load)
    if load.stage is not Stage.COOL or not load.process.is_pressure:
        return Outcome(load)
    return at_zero(load, event)


REPORTS: Mapping[str, Callable[[Kitchen, Load, Event], Outcome]] = MappingProxyType(
    {
        "lid_locked": _lid_locked,
        "heat_on": _heat_on,
        "steam_steady": steam_steady,
        "steam_stopped": steam_stopped,
        "weight_on": weight_on,
        "weight_rocking": _weight_rocking,
        "weight_quiet": _weight_quiet,
        "pressure_is": _pressure_is,
        "pressure_low": _pressure_low,
        "boiling": _boiling,
        "boil_lost": _boil_lost,
        "heat_off": _heat_off,
        "gauge_zero": _gauge_zero,
        "lid_off": lid_off,
    }
)
"""What each report does to its load."""
