"""The vent of a pressure canner: begun, broken off, closed by its weight.

It counts only from steady steam and in one piece (published: see `process_rules` of the reference).
"""

from __future__ import annotations

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.holds import back
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Stage, Timer
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.steps import maybe_shut
from kitchenvoice.process.tools import Fact, Outcome, enter, go_to

__all__ = ["early_pressure", "steam_steady", "steam_stopped", "vent_broken", "vent_opens", "weight_on"]


def steam_steady(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Start the vent; one that runs or is over stays as it is."""
    if load.stage not in (Stage.CANNER, Stage.VENT) or not load.process.is_pressure:
        return Outcome(load)
    if load.step == "under_pressure":
        return Outcome(load)
    if load.timer("vent") or load.vented_s >= timing.vent_s():
        return Outcome(load, (Fact("vent_goes_on", load.id),))
    timer = Timer(name="vent", started_t=event.t, seconds=_vent_s(load, event.t))
    load = go_to(replace(load, heat_off=False, cooling_t=None), Stage.VENT, "venting").with_timer(timer)
    return Outcome(load, (Fact("vent_started", load.id, {"minutes": timer.seconds / 60}),))


def _vent_s(load: Load, t: float) -> float:
    """Return the length of a vent from `t`: longer where heating and venting together have a least time of their own.

    Heat that nobody reported counts from now.
    """
    heated_s = t - load.lit_t if load.lit_t is not None else 0.0
    return max(timing.vent_s(), 60 * load.process.heat_vent_minutes - heated_s)


def vent_broken(load: Load, event: Event, why: str, step: str = "steam_again") -> Outcome:
    """Start the vent over: none of it counts any more. `step` comes next."""
    timer = load.timer("vent")
    ran = load.vented_s if timer is None else min(event.t - timer.started_t, timer.seconds)
    load = replace(load, vented_s=0.0).without_timer("vent")
    load = back(load) if why == "fault" else go_to(load, Stage.VENT, step)
    return Outcome(load, (Fact("vent_stopped", load.id, {"ran_s": ran, "why": why}),))


def steam_stopped(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Start the vent over if it is open. What is to be put right vents no more."""
    if load.stage is not Stage.VENT or maybe_shut(load) or load.step == "mend":
        return Outcome(load)
    return vent_broken(load, event, "steam")


def weight_on(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Let a load that has vented come up; a weight that is on too early starts the vent over."""
    if load.stage not in (Stage.CANNER, Stage.VENT) or load.step in ("under_pressure", "vent_again", "mend"):
        return Outcome(load)
    timer = load.timer("vent")
    if load.vented_s < timing.vent_s() and (timer is None or timer.left_s(event.t) > 0):
        return vent_broken(load, event, "weight", "weight_early")
    if load.doubt:
        return vent_broken(load, event, "gap", "weight_early")
    load = enter(replace(load, last_psi=None).without_timer("vent"), Stage.COME_UP)
    return Outcome(load, (Fact("weight_on", load.id),))


def early_pressure(load: Load, event: Event) -> Outcome:
    """Keep the weight on where pressure is told of before the vent was over: it has to go by itself first.

    An open vent holds no pressure: its weight is on, since nobody knows when.
    """
    if not maybe_shut(load):
        outcome = weight_on(Kitchen(), load, event)
        if outcome.load.stage is not Stage.VENT:
            return outcome
        shut = go_to(outcome.load, Stage.VENT, "under_pressure")
        return replace(outcome, load=shut)
    if load.step in ("vent_again", "under_pressure"):
        return Outcome(load)
    return Outcome(go_to(load, Stage.VENT, "under_pressure"), (Fact("step_entered", load.id),))


def vent_opens(load: Load) -> Outcome:
    """Have the weight taken off for another vent."""
    if load.step == "vent_open" or not maybe_shut(load):
        return Outcome(load)
    return Outcome(go_to(load, Stage.VENT, "vent_open"), (Fact("step_entered", load.id),))
