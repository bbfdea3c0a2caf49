"""Reports from the stove: steam, weight, pressure, boil, heat, lid.

The rules that matter most live here: a vent counts only from steady steam and in one piece; a hold starts only at
the reported target and is lost in full by any fall below it (published: see `process_rules` of the reference).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.state import OTHER_NUMBERS, Call, Fault, Hold, Kitchen, Load, Stage, Timer
from kitchenvoice.process.steps import maybe_shut
from kitchenvoice.process.tools import Fact, Outcome, as_float, call_key, confirmed, enter, go_to

__all__ = ["REPORTS", "back", "break_off", "gone_cold", "lost_at_zero", "may_lose_air", "revoke"]

# ---------------------------------------------------------------- vent


def _lid_locked(_: Kitchen, load: Load, __: Event) -> Outcome:
    if load.stage is not Stage.CANNER or not load.process.is_pressure or load.step == "heat":
        return Outcome(load)
    return Outcome(go_to(load, Stage.CANNER, "heat"), (Fact("step_entered", load.id),))


def _heat_on(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Note that the heat is on. If it was said to be off and nobody took that back, it was off meanwhile."""
    load = confirmed(load, event)
    if load.doubted("heat_off") is not None:
        doubts = tuple(each for each in load.doubts if each.kind != "heat_off")
        broken = break_off(replace(load, doubts=doubts), event, "heat")
        return replace(
            _lit(replace(broken.load, heat_off=False, lit_t=event.t)), facts=broken.facts, calls=broken.calls
        )
    if load.step == "under_pressure":
        return Outcome(replace(load, heat_off=False))
    lit_t = event.t if load.lit_t is None or load.heat_off else load.lit_t
    return _lit(replace(load, heat_off=False, lit_t=lit_t, cooling_t=None), cold=_gone_cold(load, event.t))


def _gone_cold(load: Load, t: float) -> bool:
    """Tell whether the heat was off for so long that air may be back in the canner."""
    return load.cooling_t is not None and t - load.cooling_t >= timing.AIR_S


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


def _steam_steady(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage not in (Stage.CANNER, Stage.VENT) or not load.process.is_pressure:
        return Outcome(load)
    if load.step == "under_pressure":
        return Outcome(load)
    if load.timer("vent") or load.vented_s >= timing.vent_s():
        return Outcome(load, (Fact("vent_goes_on", load.id),))
    timer = Timer(name="vent", started_t=event.t, seconds=_vent_s(load, event.t))
    load = go_to(replace(load, weight_on=False, heat_off=False, cooling_t=None), Stage.VENT, "venting").with_timer(
        timer
    )
    return Outcome(load, (Fact("vent_started", load.id, {"minutes": timer.seconds / 60}),))


def _vent_s(load: Load, t: float) -> float:
    """Return how long it vents from `t`: longer where heating and venting together have a least time of their own.

    Heat that nobody reported counts from now.
    """
    heated_s = t - load.lit_t if load.lit_t is not None else 0.0
    return max(timing.vent_s(), 60 * load.process.heat_vent_minutes - heated_s)


def _vent_broken(load: Load, event: Event, why: str, step: str = "steam_again") -> Outcome:
    timer = load.timer("vent")
    ran = load.vented_s if timer is None else min(event.t - timer.started_t, timer.seconds)
    load = replace(load, vented_s=0.0).without_timer("vent")
    load = back(load) if why == "fault" else go_to(load, Stage.VENT, step)
    return Outcome(load, (Fact("vent_stopped", load.id, {"ran_s": ran, "why": why}),))


def _steam_stopped(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is not Stage.VENT or maybe_shut(load):
        return Outcome(load)
    return _vent_broken(load, event, "steam")


def _weight_on(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is not Stage.VENT or load.step in ("under_pressure", "vent_again"):
        return Outcome(load)
    if load.vented_s < timing.vent_s():
        return _vent_broken(load, event, "weight", "weight_early")
    if load.doubt:
        return _vent_broken(load, event, "gap", "weight_early")
    load = enter(replace(load, weight_on=True, last_psi=None), Stage.COME_UP)
    return Outcome(load, (Fact("weight_on", load.id),))


def _early_pressure(load: Load, event: Event) -> Outcome:
    """Keep the weight on where pressure is told of before the vent was over: it has to go by itself first.

    An open vent holds no pressure: its weight is on, since nobody knows when.
    """
    if not maybe_shut(load):
        outcome = _weight_on(Kitchen(), load, event)
        if outcome.load.stage is not Stage.VENT:
            return outcome
        shut = go_to(outcome.load, Stage.VENT, "under_pressure")
        return replace(outcome, load=shut)
    if load.step in ("vent_again", "under_pressure"):
        return Outcome(load)
    return Outcome(go_to(load, Stage.VENT, "under_pressure"), (Fact("step_entered", load.id),))


def _vent_opens(load: Load) -> Outcome:
    if load.step == "vent_open" or not maybe_shut(load):
        return Outcome(load)
    return Outcome(go_to(load, Stage.VENT, "vent_open"), (Fact("step_entered", load.id),))


# ---------------------------------------------------------------- hold


def _step_for(load: Load, kind: str) -> str:
    """Name the step of this load's gauge: `hold_dial`, `back_weighted`, `hold_boil` ..."""
    if not load.process.is_pressure:
        return f"{kind}_boil"
    return f"{kind}_dial" if load.process.is_dial else f"{kind}_weighted"


def _start_hold(load: Load, event: Event, psi: float | None = None) -> Outcome:
    again = bool(load.holds)
    load = confirmed(load, event)
    timer = Timer(name="hold", started_t=event.t, seconds=timing.hold_s(load.process))
    load = replace(load, holds=(*load.holds, Hold(started_t=event.t, lowest_psi=psi)))
    load = replace(load, asked_t=None, recheck_t=None, asks=0, same=0, faults=_lasting(load))
    load = go_to(load, Stage.HOLD, _step_for(load, "hold")).with_timer(timer)
    kind = "hold_restarted" if again else "hold_started"
    return Outcome(load, (Fact(kind, load.id, {"psi": psi, "minutes": load.process.minutes}),))


def _lasting(load: Load) -> tuple[Fault, ...]:
    """Return the faults that can't be mended in the canner."""
    return tuple(fault for fault in load.faults if fault.kind in OTHER_NUMBERS)


def _lose_hold(load: Load, event: Event, why: str, psi: float | None = None, *, air: bool = False) -> Outcome:
    """Start the hold over; with air back in the canner the vent too."""
    hold, air = load.hold, air or event.data.get("air") is True
    if hold is None or not hold.running:
        return Outcome(load)
    lost = replace(hold, lost_t=event.t, why=why, lowest_psi=psi if psi is not None else hold.lowest_psi)
    load = back(replace(load, holds=(*load.holds[:-1], lost), recheck_t=None), air=air).without_timer("hold")
    fact = Fact("hold_lost", load.id, {"psi": psi, "why": why, "ran_s": event.t - hold.started_t})
    return Outcome(load, (fact,), (Call(key=call_key("hold_lost", load.id), load=load.id, since_t=event.t),))


def back(load: Load, *, air: bool = False) -> Load:
    """Return the load at the step that leads back to its hold; with a fault, to where it is mended."""
    if _lasting(load) != load.faults:
        load = replace(load, vented_s=0.0, weight_on=False)
        if load.process.is_pressure:
            return go_to(load, Stage.VENT, "mend")
        stopped = all(fault.kind == "stop" for fault in load.faults if fault not in _lasting(load))
        return go_to(load, Stage.COME_UP, "stopped" if stopped else "mend")
    if air and load.process.is_pressure:
        return go_to(replace(load, vented_s=0.0, weight_on=False), Stage.VENT, "vent_again")
    return go_to(load, Stage.HOLD, "heat_again" if load.heat_off else _step_for(load, "back"))


def gone_cold(load: Load) -> Load:
    """Return a load whose hold is lost, with the heat off."""
    return back(replace(load, heat_off=True))


def revoke(load: Load, event: Event, why: str) -> Outcome:
    """Take back that a hold is done: it was lost before its end. Its jars go back to the heat while they can."""
    hold = load.hold
    if hold is None or not hold.done or load.lid_off:
        return Outcome(load)
    lost = replace(hold, done=False, lost_t=event.t, why=why)
    load = replace(load, holds=(*load.holds[:-1], lost), processed_t=None, at_zero=False)
    load = back(load.without_timer("window", "settle"), air=_gone_cold(load, event.t))
    fact = Fact("hold_lost", load.id, {"psi": None, "why": why, "ran_s": event.t - hold.started_t, "late": True})
    return Outcome(load, (fact,), (Call(key=call_key("hold_lost", load.id), load=load.id, since_t=event.t),))


def _still_holds(load: Load, event: Event, *, same: bool = True) -> Load:
    """Note that it was reported that the hold holds; what was asked before the last question went unanswered."""
    hold = load.holds[-1]
    hold = replace(hold, unanswered=hold.unanswered + max(0, load.asks - 1))
    told = replace(load, holds=(*load.holds[:-1], hold), last_psi_t=event.t, asked_t=None, recheck_t=None, asks=0)
    return replace(told, same=load.same + 1 if same else 0)


def _may_hold(load: Load) -> bool:
    """Tell whether a report can start a hold. What is still hot with the heat off can't."""
    if load.heat_off:
        return False
    return load.stage is Stage.COME_UP or (
        load.stage is Stage.HOLD and load.hold is not None and load.hold.lost_t is not None
    )


def _pressure_is(_: Kitchen, load: Load, event: Event) -> Outcome:
    psi, target = as_float(event.data["pressure"]), load.process.target_psi
    if not load.process.is_pressure or target is None:
        return Outcome(load)
    if load.stage is Stage.COOL:
        return _pressure_in_cool(load, event, psi)
    if load.stage is Stage.VENT:
        told = psi > 0 if maybe_shut(load) else psi >= timing.gauge_off_psi()  # less says nothing of an open vent
        return _early_pressure(load, event) if told else _vent_opens(load)
    if psi <= 0 and lost_at_zero(load):
        return _all_gone(load)
    air = event.data.get("air") is True
    if not load.process.is_dial and load.holding and psi <= 0:
        return _lose_hold(load, event, "pressure", psi)
    if air and _is_lost(load):
        return _all_gone(replace(load, last_psi=psi, last_psi_t=event.t, asked_t=None))
    if not load.process.is_dial:
        load = replace(load, recheck_t=event.t if load.holding and psi < target else load.recheck_t)
        return Outcome(load, (Fact("weighted_tells", load.id, {"psi": psi}),))
    before = load.last_psi
    load = replace(load, last_psi=psi)
    if load.holding:
        same = before is not None and abs(psi - before) < timing.SAME_PSI
        return _pressure_in_hold(_still_holds(load, event, same=same), event, psi, target)
    load = replace(load, last_psi_t=event.t, asked_t=None)
    if not _may_hold(load):
        return Outcome(load)
    if psi < target:
        return Outcome(load, (Fact("pressure_not_there", load.id, {"psi": psi, "target": target}),))
    outcome = _start_hold(load, event, psi)
    return Outcome(outcome.load, (*outcome.facts, *_too_high(load, psi, target)))


def _pressure_in_hold(load: Load, event: Event, psi: float, target: float) -> Outcome:
    if psi < target:
        return _lose_hold(load, event, "pressure", psi)
    hold = load.holds[-1]
    lowest = psi if hold.lowest_psi is None else min(psi, hold.lowest_psi)
    load = replace(load, holds=(*load.holds[:-1], replace(hold, lowest_psi=lowest)))
    facts = _too_high(load, psi, target) or (Fact("pressure_held", load.id, {"psi": psi}),)
    return Outcome(load, facts)


def _pressure_in_cool(load: Load, event: Event, psi: float) -> Outcome:
    """Take a reading of a cooling canner: zero begins the wait, anything above it ends a wait that had begun."""
    if psi <= 0:
        return _at_zero(load, event)
    if load.lid_off:
        return Outcome(load)
    data = {"psi": psi, "was_at_zero": load.at_zero}
    rising = load.last_psi is not None and not load.at_zero and psi > load.last_psi
    if load.at_zero:
        load = go_to(replace(load, at_zero=False), Stage.COOL, "to_zero").without_timer("settle")
    return Outcome(
        replace(load, last_psi=psi, last_psi_t=event.t),
        (Fact("pressure_rising" if rising else "pressure_falling", load.id, data),),
    )


def _too_high(load: Load, psi: float, target: float) -> tuple[Fact, ...]:
    if psi < target + timing.HIGH_PSI:
        return ()
    return (Fact("pressure_high", load.id, {"psi": psi, "target": target}),)


def _pressure_low(kitchen: Kitchen, load: Load, event: Event) -> Outcome:
    if event.data.get("pressure") is not None and load.process.is_dial:
        return _pressure_is(kitchen, load, event)
    if event.data.get("air") is True and _is_lost(load):
        return _all_gone(load)
    return _lose_hold(load, event, "pressure")


def lost_at_zero(load: Load) -> bool:
    """Tell whether a zero says that a canner whose pressure comes up has lost it: it had some, or its heat is off."""
    had_some = load.heat_off or (load.last_psi or 0.0) > 0
    return load.stage is Stage.COME_UP and load.process.is_pressure and had_some


def _is_lost(load: Load) -> bool:
    return load.stage is Stage.HOLD and load.processed_t is None and not load.holding


def may_lose_air(load: Load) -> bool:
    """Tell whether a canner has been vented and its hold doesn't count yet, or no more."""
    return load.process.is_pressure and load.given_up_t is None and (load.stage is Stage.COME_UP or _is_lost(load))


def _all_gone(load: Load) -> Outcome:
    """Vent again: without pressure air is back in the canner."""
    return Outcome(back(load, air=True), (Fact("step_entered", load.id),))


def _weight_rocking(_: Kitchen, load: Load, event: Event) -> Outcome:
    if not load.process.is_pressure:
        return Outcome(load)
    if load.stage is Stage.VENT:
        return _early_pressure(load, event)
    if load.process.is_dial:
        return Outcome(load, (Fact("dial_tells", load.id),))
    if load.holding:
        return Outcome(_still_holds(load, event), (Fact("still_rocking", load.id),))
    return _start_hold(replace(load, last_psi_t=event.t), event) if _may_hold(load) else Outcome(load)


def _weight_quiet(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.process.is_dial:
        return Outcome(load, (Fact("dial_tells", load.id),))
    return _lose_hold(load, event, "weight")


def _boiling(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.process.is_pressure:
        return Outcome(load)
    if load.holding:
        return Outcome(_still_holds(load, event), (Fact("still_boiling", load.id),))
    if _may_hold(load) or load.stage is Stage.CANNER:
        return _start_hold(replace(load, last_psi_t=event.t), event)
    return Outcome(load)


def _boil_lost(_: Kitchen, load: Load, event: Event) -> Outcome:
    return Outcome(load) if load.process.is_pressure else _lose_hold(load, event, _boil_of(load))


def _boil_of(load: Load) -> str:
    return "steam" if load.process.is_steam else "boil"


def break_off(load: Load, event: Event, why: str, *, air: bool = False) -> Outcome:
    """Start over what was running, vent or hold."""
    return _lose_hold(load, event, why, air=air) if load.holding else _vent_broken(load, event, why)


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
    if load.holding:
        return _lose_hold(load, event, "heat")
    if load.step in ("mend", "stopped"):
        return Outcome(load, (Fact("heat_off_early", load.id),))
    if load.stage is Stage.VENT and maybe_shut(load):
        step = "under_pressure" if load.step == "weight_early" else load.step
        return Outcome(go_to(load, Stage.VENT, step), (Fact("heat_off_to_vent", load.id),))
    if load.stage is Stage.VENT:
        return _vent_broken(load, event, "heat")
    load = go_to(load, load.stage, "heat_again" if load.stage is Stage.HOLD else "heat_up_again")
    return Outcome(load, (Fact("heat_off_early", load.id),))


# ---------------------------------------------------------------- cooling


def _gauge_zero(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is Stage.VENT and load.process.is_pressure:
        return _vent_opens(load)
    if lost_at_zero(load):
        return _all_gone(load)
    if load.stage is not Stage.COOL or not load.process.is_pressure:
        return Outcome(load)
    return _at_zero(load, event)


def _at_zero(load: Load, event: Event) -> Outcome:
    if load.at_zero:
        return Outcome(load, (Fact("settle_goes_on", load.id),) if load.timer("settle") else ())
    timer = Timer(name="settle", started_t=event.t, seconds=timing.settle_s())
    load = go_to(replace(load, at_zero=True, last_psi=0.0, last_psi_t=event.t), Stage.COOL, "settle").with_timer(timer)
    return Outcome(load, (Fact("settle_started", load.id, {"minutes": timing.settle_s() / 60}),))


def _lid_off(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is not Stage.COOL or load.lid_off:
        return Outcome(load)
    load = replace(load, lid_off=True)
    if load.process.is_pressure or load.process.is_steam:
        return Outcome(go_to(load, Stage.COOL, "unload"), (Fact("step_entered", load.id),))
    timer = Timer(name="bath_rest", started_t=event.t, seconds=timing.bath_rest_s())
    load = go_to(load, Stage.COOL, "bath_rest").with_timer(timer)
    return Outcome(load, (Fact("bath_rest_started", load.id, {"minutes": timing.bath_rest_s() / 60}),))


REPORTS: Mapping[str, Callable[[Kitchen, Load, Event], Outcome]] = MappingProxyType(
    {
        "lid_locked": _lid_locked,
        "heat_on": _heat_on,
        "steam_steady": _steam_steady,
        "steam_stopped": _steam_stopped,
        "weight_on": _weight_on,
        "weight_rocking": _weight_rocking,
        "weight_quiet": _weight_quiet,
        "pressure_is": _pressure_is,
        "pressure_low": _pressure_low,
        "boiling": _boiling,
        "boil_lost": _boil_lost,
        "heat_off": _heat_off,
        "gauge_zero": _gauge_zero,
        "lid_off": _lid_off,
    }
)
"""What each report does to its load."""
