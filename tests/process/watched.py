"""What reports, doubts and the state of one load say by themselves: the reading of the watch, beside the engine."""

from __future__ import annotations

from kitchenvoice.process import Event, Load, Stage

VENT_S, SETTLE_S, WINDOW_S = 600.0, 600.0, 86_400.0
COOL_S = 2700.0
"""The usual time to zero of a heavy canner full of quarts (guide 1-22): before that no yes opens a lid."""
LOW = {"pressure_low", "weight_quiet", "boil_lost"}
OF_JARS = {
    "of_acid",
    "of_food",
    "of_size",
    "of_jars",
    "of_vent",
    "of_altitude",
    "of_fault",
    "of_weight",
    "of_gauge",
    "gauge_stuck",
} | {
    "of_cooling",
    "opened",
}
NOT_OF_A_VENT = {"of_jars", "of_acid", "of_cooling", "opened", "gauge_stuck"}
"""What is asked about at the end of a hold only."""
LASTING = {"unexplained", *OF_JARS}
"""Doubts of what no hold makes good, or of nobody knows what: they outlive the hold they were raised in."""
OF_A_VENT = LASTING - NOT_OF_A_VENT
"""Doubts of how it was vented, or by which numbers: told while the pressure rises, they are asked about at once."""
OF_A_HOLD_DONE = {"late", "taken_back", "in_question", "fault", *LOW, *LASTING}
"""Doubts that can still be of a hold that is done, until its load is closed."""


def counts(load: Load) -> bool:
    """Tell whether a hold, or a vent that runs or is over, is claimed."""
    return load.holding or (load.stage is Stage.VENT and (load.timer("vent") is not None or load.vented_s > 0))


def spoils(load: Load, kind: str, *, gone: bool, in_vent: bool) -> bool:
    """Tell whether a doubt is of what a vent or hold still to come starts with: heat, a sound canner, a whole vent, no
    air."""
    if load.processed_t is not None or load.given_up_t is not None:
        return False
    if (kind in OF_A_VENT or in_vent) and load.stage is Stage.COME_UP:
        return load.process.is_pressure
    vented = load.stage is Stage.COME_UP or (load.stage is Stage.HOLD and not load.holding)
    if not vented and (load.stage is not Stage.VENT or counts(load)):
        return False
    at_zero = gone and vented and load.process.is_pressure
    return kind == "fault" or (kind == "heat_off" and not load.heat_off) or at_zero


def stands(load: Load) -> bool:
    return load.processed_t is not None and load.given_up_t is None


def fits(load: Load, kind: str, t: float) -> bool:
    """Tell whether a doubt of that kind touches a load."""
    closed = stands(load) and not load.lid_off
    late = closed and 0 <= t - (load.processed_t or 0.0) <= 90
    if kind == "weight_on":
        return load.timer("vent") is not None
    if kind == "late":
        return late
    after = {"taken_back": closed, **dict.fromkeys({"in_question", "fault", *LASTING}, stands(load))}
    return counts(load) or after.get(kind, late and kind in LOW)


def tells_zero(event: Event) -> bool:
    return event.kind == "gauge_zero" or (event.kind == "pressure_is" and event.data["pressure"] == 0)


def unfit(load: Load) -> int:
    """Count the jars that sealed, or may have, and were not processed as tested."""
    sound = load.standing - (load.failed or 0)
    told = [sound if fault.jars is None else fault.jars for fault in load.faults]
    return min(sound, sum(told)) if load.processed_t is not None else 0


def starts(load: Load, event: Event) -> bool:
    process, psi = load.process, event.data.get("pressure")
    if process.is_dial:
        at_target = psi is not None and psi >= (process.target_psi or 0)
        told = event.kind == "pressure_is" or (event.kind == "pressure_low" and load.stage is Stage.HOLD)
        return told and at_target
    return event.kind == ("weight_rocking" if process.is_pressure else "boiling")


def breaks(load: Load, event: Event) -> bool:
    """Tell whether a report says that the hold didn't hold."""
    process, psi, kind = load.process, event.data.get("pressure"), event.kind
    if load.stage is not Stage.HOLD:
        return False
    if process.is_dial:
        below = psi is None or psi < (process.target_psi or 0)
        return kind in ("pressure_is", "pressure_low") and below
    return kind in (("weight_quiet", "pressure_low") if process.is_pressure else ("boil_lost",))


def wanted(load: Load) -> str:
    """Name the call that a load's state asks for."""
    if load.stage is Stage.VENT and load.vented_s >= VENT_S:
        return "vent_done"
    if load.stage is Stage.HOLD and load.processed_t is not None:
        return "hold_done"
    if load.stage is Stage.HOLD and not load.holding:
        return "hold_lost"
    if load.step in ("vent_again", "vent_open", "mend", "stopped") and load.holds:
        return "hold_lost"
    if load.stage is Stage.COOL and load.process.is_pressure:
        return "settle_done" if load.at_zero and not load.timer("settle") and not load.lid_off else ""
    if load.stage is Stage.COOL and load.lid_off and not load.timer("bath_rest"):
        return "bath_rest_done"
    return "rest_done" if load.stage is Stage.COUNT and load.sealed is None else ""
