"""Whether the numbers a load was started by are still those that the kitchen's settings give."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from kitchenvoice.process import Load
from kitchenvoice.reference.gauge import gauge_target
from kitchenvoice.reference.rules import rules

if TYPE_CHECKING:
    from kitchenvoice.dialogue.context import Talk

__all__ = ["only_out_is_left", "other_numbers", "window_shut"]


def window_shut(load: Load, t: float) -> bool:
    """Tell whether only throwing out is left for a jar that failed: twenty four hours after processing (USDA Complete
    Guide, page 1-26)."""
    return load.processed_t is not None and t - load.processed_t >= 3600.0 * rules().failed_seal_hours.value


def only_out_is_left(talk: Talk) -> bool:
    """Tell whether that is so of every load that was processed and is still open."""
    standing = [load for load in talk.kitchen.open_loads if load.processed_t is not None]
    return bool(standing) and all(window_shut(load, talk.t) for load in standing)


def other_numbers(talk: Talk, load: Load) -> str:
    """Say for what the load was set and what is so now; nothing if its numbers still hold."""
    feet, process = talk.profile.altitude_ft, load.process
    if feet is not None and feet != process.altitude_ft:
        now = {"was": talk.language.altitude(process.altitude_ft), "now": talk.language.altitude(feet)}
        return talk.language.say("objections", "other_altitude", now)
    canner = talk.profile.canner(load.canner)
    if canner is None or process.gauge is None or canner.gauge is None or process.psi is None:
        return ""
    if canner.gauge != process.gauge:
        was, then = (talk.language.phrase("names", f"gauge_{gauge}") for gauge in (process.gauge, canner.gauge))
        return talk.language.say("objections", "other_gauge", canner=load.canner_name, was=was, now=then)
    if canner.gauge != "dial":
        return ""
    today = datetime.fromtimestamp(talk.t, UTC).date()
    error, tested = canner.dial_error_psi, canner.dial_tested
    told = gauge_target(process.psi, gauge="dial", error_psi=error, tested_on=tested, today=today)
    if told.status == "replace":
        return talk.language.in_words(told.text)
    if told.status != "ok" or told.read_psi is None or told.read_psi == process.target_psi:
        return ""
    now = {
        "was": talk.language.pounds_pressure(process.target_psi or 0),
        "now": talk.language.pounds_pressure(told.read_psi),
    }
    return talk.language.say("objections", "other_dial", now)
