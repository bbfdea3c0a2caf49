"""Canners in use, as reported: which may be under pressure, wait at zero, or wait for heat off."""

from __future__ import annotations

from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Stage, Timer
from kitchenvoice.process.steps import maybe_shut, vent_lost

__all__ = [
    "canner_state",
    "is_shut",
    "leading_timer",
    "may_be_under_pressure",
    "told_stage",
    "waits_at_zero",
    "waits_for_heat_off",
]

_COOLING = {step: f"cool_{step}" for step in ("settle", "open", "bath_rest", "unload")}
_LOCKED = frozenset({Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL})


def canner_state(load: Load) -> str:
    """Name the state of a shut canner: `vent`, `shut` under pressure, `cool`, `wait` at zero; "" if it is none."""
    if not load.process.is_pressure or load.lid_off or load.stage not in _LOCKED:
        return ""
    if load.stage is Stage.COOL:
        return "wait" if load.at_zero else "cool"
    return "vent" if load.stage is Stage.VENT and not maybe_shut(load) and not load.faults else "shut"


def is_shut(load: Load) -> bool:
    """True if pressure comes up in a canner, or holds."""
    return load.process.is_pressure and load.stage in (Stage.COME_UP, Stage.HOLD)


def may_be_under_pressure(load: Load) -> bool:
    """True if a canner that is heated or cools mustn't be opened yet."""
    waits = load.at_zero and load.timer("settle") is None
    return load.process.is_pressure and load.stage in _LOCKED | {Stage.CANNER} and not load.lid_off and not waits


def waits_at_zero(load: Load) -> bool:
    """True if a canner was reported at zero and is still shut."""
    return load.at_zero and not load.lid_off


def waits_for_heat_off(load: Load) -> bool:
    """True if the time is over and nobody said yet that the heat is off."""
    return load.step == "off"


def leading_timer(load: Load) -> Timer | None:
    """Return the timer that a load waits for, if one runs."""
    running = (load.timer(name) for name in ("hold", "vent", "settle", "bath_rest", "rest"))
    return next((timer for timer in running if timer is not None), None)


def told_stage(load: Load) -> str:
    """Name the stage of a load as it is told: `vent_lost`, `hold_done`, `cool_settle` ..."""
    if load.given_up_t is not None:
        return "given_up"
    if load.stage is Stage.VENT:
        return "vent_lost" if vent_lost(load) else "vent_done" if load.step == "weight" else "vent"
    if load.stage is Stage.COOL:
        return _COOLING.get(load.step, "cool" if load.process.is_pressure else f"cool_{load.process.watched}")
    hold = load.hold if load.stage is Stage.HOLD else None
    if hold is not None and hold.done:
        return "in_doubt" if load.doubt else "unfit" if load.unfit else "hold_done"
    if hold is not None and hold.lost_t is not None:
        return "hold_lost"
    return load.stage.value if hold is None or load.process.is_pressure else f"hold_{load.process.watched}"
