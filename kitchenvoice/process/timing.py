"""Lengths of time, in seconds. The published figures come from the reference; the rest says what it is."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from kitchenvoice.process.load_parts import Process
from kitchenvoice.process.steps import all_steps
from kitchenvoice.reference.rules import rules

__all__ = [
    "AIR_S",
    "CHECK_EVERY_S",
    "CHECK_FIRST_S",
    "CHECK_LONGEST_S",
    "CHECK_NEAR_S",
    "CHECK_UNANSWERED_LONGEST_S",
    "DOUBT_S",
    "HIGH_PSI",
    "LATE_S",
    "SAME_PSI",
    "WORDS_S",
    "bath_rest_s",
    "call_again_s",
    "check_after_s",
    "cool_s",
    "gauge_off_psi",
    "hold_s",
    "remind_after_s",
    "rest_s",
    "settle_s",
    "vent_s",
    "window_s",
]

CHECK_FIRST_S = 120.0
CHECK_EVERY_S = 300.0
CHECK_NEAR_S = 180.0
CHECK_LONGEST_S = 600.0
CHECK_UNANSWERED_LONGEST_S = 900.0
"""When the pressure is asked for: after two minutes, then after five, near the target after three; twice as long after
each reading that is as the one before, up to ten minutes. Nobody who doesn't answer is nagged: five minutes later, then
ten, then every fifteen, to the end of the hold.

Common practice, no source."""

SAME_PSI = 1.0
"""Readings that differ by less are the same for the question when to ask again. Common practice, no source."""

HIGH_PSI = 3.0
"""From this far above the target the heat is to be lowered.

Common practice, no source (published: at or slightly above the target)."""

DOUBT_S = 300.0
"""No answer for so long to what may have ended a vent or hold counts as the worse one.

Common practice, no source."""

WORDS_S = 1800.0
"""The same for words that may have told of something and are asked about at the end: the end waits so long.

Common practice, no source."""

LATE_S = 90.0
"""A report of too little so soon after the end of a hold may be of the time before it. Common practice, no source."""

AIR_S = 1800.0
"""After a gap of so long in which nobody knows that the pressure held, air may be back in the canner.

Common practice, no source."""

_REMINDERS = 4
"""How often one step is said again: nobody is nagged. Common practice, no source."""

_AGAIN_S = (20.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0)
_HOURLY = frozenset({"rest_done", "window_done"})


@cache
def _remind_s() -> Mapping[str, float]:
    return {step.id: step.remind_s for step in all_steps()}


@cache
def vent_s() -> float:
    """Return the time that steady steam has to vent."""
    return 60.0 * rules().vent_minutes.value


@cache
def gauge_off_psi() -> float:
    """Return the largest error of a gauge that is in use, psi (USDA Complete Guide, page 1-20)."""
    return rules().gauge_replace_over_psi.value


@cache
def settle_s() -> float:
    """Return the wait between zero pressure and opening the lid."""
    return 60.0 * rules().wait_before_lid_minutes.value


@cache
def bath_rest_s() -> float:
    """Return the time that jars stay in the water after a boiling-water process."""
    return 60.0 * rules().boiling_water_rest_minutes.value


@cache
def cool_s(jar: str) -> float:
    """Return the time that a heavy canner full of such jars takes to zero. Newer ones with thin walls cool faster."""
    return 60.0 * rules().old_canner_cool_minutes.value["pint" if jar in ("half-pint", "pint") else "quart"]


@cache
def rest_s() -> tuple[float, float]:
    """Return the shortest and the longest undisturbed rest, in seconds."""
    low, high = rules().undisturbed_hours.value
    return 3600.0 * low, 3600.0 * high


@cache
def window_s() -> float:
    """Return the time after processing in which a failed jar may be processed again, refrigerated or frozen."""
    return 3600.0 * rules().failed_seal_hours.value


def hold_s(process: Process) -> float:
    """Return the tested hold."""
    return 60.0 * process.minutes


def check_after_s(base_s: float, same: int, unanswered: int) -> float:
    """Return the wait before asking again: longer the more readings were the same, or went unanswered."""
    if unanswered:
        return min(CHECK_EVERY_S * 2.0 ** (unanswered - 1), CHECK_UNANSWERED_LONGEST_S)
    return max(base_s, min(base_s * 2.0 ** max(0, same - 1), CHECK_LONGEST_S))


def remind_after_s(step: str, reminded: int) -> float | None:
    """Return the wait before a step is said again: twice as long each time, an hour at most; `None`: never.

    A canner that is left on the heat, jars that are left in it, or a hold that could start long since, are easily
    forgotten. How long a canner cools is its own affair.
    """
    first_s = _remind_s().get(step)
    if not first_s or reminded >= _REMINDERS:
        return None
    return min(first_s * 2.0**reminded, 3600.0)


def call_again_s(key: str, reminders: int) -> float:
    """Return the time from the beginning of a call to its next reminder.

    Twenty seconds, one, two, five, ten, fifteen, thirty, sixty minutes, then every hour; what waits for the next
    morning, every hour. Common practice, no source.
    """
    if key.split(":")[0] in _HOURLY:
        return 3600.0 * (reminders + 1)
    if reminders < len(_AGAIN_S):
        return _AGAIN_S[reminders]
    return 3600.0 * (reminders - len(_AGAIN_S) + 2)
