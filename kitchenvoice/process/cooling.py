"""A canner that cools: the way to zero, the wait there, the lid."""

from __future__ import annotations

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Stage, Timer
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.tools import Fact, Outcome, go_to

__all__ = ["at_zero", "lid_off", "pressure_in_cool"]


def pressure_in_cool(load: Load, event: Event, psi: float) -> Outcome:
    """Take a reading of a cooling canner: zero begins the wait, anything above it ends a wait that had begun."""
    if psi <= 0:
        return at_zero(load, event)
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


def at_zero(load: Load, event: Event) -> Outcome:
    """Start the wait at zero; it goes on if the gauge was at zero before."""
    if load.at_zero:
        return Outcome(load, (Fact("settle_goes_on", load.id),) if load.timer("settle") else ())
    timer = Timer(name="settle", started_t=event.t, seconds=timing.settle_s())
    load = go_to(replace(load, at_zero=True, last_psi=0.0, last_psi_t=event.t), Stage.COOL, "settle").with_timer(timer)
    return Outcome(load, (Fact("settle_started", load.id, {"minutes": timing.settle_s() / 60}),))


def lid_off(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Go on to the unloading, or to the rest in the water bath."""
    if load.stage is not Stage.COOL or load.lid_off:
        return Outcome(load)
    load = replace(load, lid_off=True).without_timer("settle")
    if load.process.is_pressure or load.process.is_steam:
        return Outcome(go_to(load, Stage.COOL, "unload"), (Fact("step_entered", load.id),))
    timer = Timer(name="bath_rest", started_t=event.t, seconds=timing.bath_rest_s())
    load = go_to(load, Stage.COOL, "bath_rest").with_timer(timer)
    return Outcome(load, (Fact("bath_rest_started", load.id, {"minutes": timing.bath_rest_s() / 60}),))
