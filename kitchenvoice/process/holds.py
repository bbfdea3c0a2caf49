"""Tries at the hold: begun, borne out, lost, taken back, and the way back to one.

A hold starts only at the reported target and is lost in full by any fall below it (published: see `process_rules` of
the reference).
"""

from __future__ import annotations

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import OTHER_NUMBERS, Fault, Hold, Stage, Timer
from kitchenvoice.process.state import Call
from kitchenvoice.process.tools import Fact, Outcome, as_float, call_key, confirmed, go_to

__all__ = [
    "air_is_back",
    "back",
    "gone_cold",
    "has_yet_to_hold",
    "has_yet_to_vent",
    "is_lost",
    "lose_hold",
    "may_hold",
    "ran_s",
    "revoke",
    "start_hold",
    "still_holds",
]


def air_is_back(load: Load, t: float) -> bool:
    """True if the heat was off for so long that air may be back in the canner."""
    return load.cooling_t is not None and t - load.cooling_t >= timing.AIR_S


def _step_for(load: Load, kind: str) -> str:
    """Name the step of this load's gauge: `hold_dial`, `back_weighted`, `hold_boil` ..."""
    if not load.process.is_pressure:
        return f"{kind}_boil"
    return f"{kind}_dial" if load.process.is_dial else f"{kind}_weighted"


def start_hold(load: Load, event: Event, psi: float | None = None) -> Outcome:
    """Start a hold, the first or another try; `psi` is what the gauge reads."""
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


def lose_hold(load: Load, event: Event, why: str, psi: float | None = None) -> Outcome:
    """Start the hold over; with air back in the canner the vent too."""
    hold, air = load.hold, event.data.get("air") is True or _let_air_in(load)
    if hold is None or not hold.running:
        return Outcome(load)
    lost = replace(hold, lost_t=event.t, why=why, lowest_psi=psi if psi is not None else hold.lowest_psi)
    load = back(replace(load, holds=(*load.holds[:-1], lost), recheck_t=None), air=air).without_timer("hold")
    fact = Fact("hold_lost", load.id, {"psi": psi, "why": why, "ran_s": ran_s(load, event.t)})
    return Outcome(load, (fact,), (Call(key=call_key("hold_lost", load.id), load=load.id, since_t=event.t),))


def ran_s(load: Load, t: float) -> float | None:
    """Return how long its hold ran until it was told lost, or runs at `t`; nobody knows once its time was up."""
    hold = load.hold
    ran = 0.0 if hold is None else (hold.lost_t or t) - hold.started_t
    return ran if ran < timing.hold_s(load.process) else None


def _let_air_in(load: Load) -> bool:
    """True if nobody watched for so long, or for nobody knows how long, that air may be back in the canner."""
    gap = load.doubted("gap")
    off_s = None if gap is None else gap.data.get("off_s")
    return gap is not None and (off_s is None or as_float(off_s) >= timing.AIR_S)


def back(load: Load, *, air: bool = False) -> Load:
    """Return the load on the way back to its hold; with a fault, at its mending."""
    if _lasting(load) != load.faults:
        load = replace(load, vented_s=0.0)
        if load.process.is_pressure:
            return go_to(load, Stage.VENT, "mend")
        stopped = all(fault.kind == "stop" for fault in load.faults if fault not in _lasting(load))
        return go_to(load, Stage.COME_UP, "stopped" if stopped else "mend")
    if air and load.process.is_pressure:
        return go_to(replace(load, vented_s=0.0), Stage.VENT, "vent_again")
    return go_to(load, Stage.HOLD, "heat_again" if load.heat_off else _step_for(load, "back"))


def gone_cold(load: Load) -> Load:
    """Return a load whose hold is lost, with the heat off."""
    return back(replace(load, heat_off=True))


def revoke(load: Load, event: Event, why: str, *, air: bool = False) -> Outcome:
    """Take back that a hold is done: it was lost before its end. Its jars go back to the heat while they can.

    `air`: it is at zero by now.
    """
    hold = load.holds[-1]
    lost = replace(hold, done=False, lost_t=event.t, why=why)
    air = air or load.at_zero or air_is_back(load, event.t)
    load = replace(load, holds=(*load.holds[:-1], lost), processed_t=None, at_zero=False)
    load = back(load.without_timer("window", "settle"), air=air)
    fact = Fact("hold_lost", load.id, {"psi": None, "why": why, "ran_s": ran_s(load, event.t), "late": True})
    return Outcome(load, (fact,), (Call(key=call_key("hold_lost", load.id), load=load.id, since_t=event.t),))


def still_holds(load: Load, event: Event, *, same: bool = True) -> Load:
    """Note a report that the hold holds; all questions before the last one went unanswered."""
    hold = load.holds[-1]
    hold = replace(hold, unanswered=hold.unanswered + max(0, load.asks - 1))
    told = replace(load, holds=(*load.holds[:-1], hold), last_psi_t=event.t, asked_t=None, recheck_t=None, asks=0)
    return replace(told, same=load.same + 1 if same else 0)


def may_hold(load: Load) -> bool:
    """True if a report can start a hold. What is still hot with the heat off can't."""
    return not load.heat_off and has_yet_to_hold(load)


def has_yet_to_hold(load: Load) -> bool:
    """True if a load that comes up, for the first time or anew, has its whole hold before it."""
    return load.given_up_t is None and (load.stage is Stage.COME_UP or is_lost(load))


def has_yet_to_vent(load: Load) -> bool:
    """True if a vent was begun, and is lost or to be done again."""
    return load.given_up_t is None and load.stage is Stage.VENT and not load.claims


def is_lost(load: Load) -> bool:
    """True if a hold was lost, and no other has started."""
    return load.stage is Stage.HOLD and load.processed_t is None and not load.holding
