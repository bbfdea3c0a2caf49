"""The numbers a load was started by, against those that the kitchen's settings give now."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from math import ceil

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.process import Load
from kitchenvoice.reference import lookup
from kitchenvoice.reference.gauge import gauge_target
from kitchenvoice.reference.rules import rules

__all__ = [
    "is_night",
    "needs_more",
    "only_out_is_left",
    "other_numbers",
    "time_of_day",
    "today",
    "until_clock",
    "window_shut",
]


_NIGHT = (22, 7)
"""Hours of the local clock from which and until which only what is urgent is called. Common practice, no source."""
_TWO_FIGURES, _SMALL_HOURS = 10, 5


def today(t: float) -> date:
    """Return the day by which the test of a dial is old or not."""
    return datetime.fromtimestamp(t, UTC).date()


def is_night(t: float) -> bool:
    """True if it is night by the local clock."""
    begins, ends = _NIGHT
    hour = datetime.fromtimestamp(t).astimezone().hour
    return hour >= begins or hour < ends


def time_of_day(talk: Talk, t: float) -> str:
    """Say the time of day at `t`, to the minute, never too early; nothing if the machine's clock may be wrong."""
    if talk.wall_s is None:
        return ""
    at = datetime.fromtimestamp(60 * ceil((t + talk.wall_s) / 60)).astimezone()
    hour = (at.hour % 12 or 12) if talk.profile.units == "us" else at.hour
    key = "hour" if at.minute == 0 else "past" if at.minute < _TWO_FIGURES else "minutes"
    return talk.language.phrase("clock", key, hour=talk.language.number(hour), minute=talk.language.number(at.minute))


def until_clock(talk: Talk, hour: int, minute: int, part: str | None) -> float | None:
    """Return in how many seconds it is so late next, by a clock's face or in a `part` of the day (`am`, `pm`, `night`);
    `None` if the machine's clock may be wrong."""
    if talk.wall_s is None:
        return None
    now, at = datetime.fromtimestamp(talk.t + talk.wall_s), hour % 12
    night = "am" if at < _SMALL_HOURS else "pm"
    halves = {None: (0, 12), "am": (0,), "pm": (12,)}[night if part == "night" else part]
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    times = (midnight + timedelta(days=day, hours=at + half, minutes=minute) for day in (0, 1) for half in halves)
    return min(each for each in times if each > now).timestamp() - now.timestamp()


def window_shut(load: Load, t: float) -> bool:
    """True if only throwing out is left for a jar that failed: twenty four hours after processing (USDA Complete
    Guide, page 1-26)."""
    return load.processed_t is not None and t - load.processed_t >= 3600.0 * rules().failed_seal_hours.value


def only_out_is_left(talk: Talk) -> bool:
    """True if that is so of every load that was processed and is still open."""
    standing = [load for load in talk.kitchen.open_loads if load.processed_t is not None]
    return bool(standing) and all(window_shut(load, talk.t) for load in standing)


def other_numbers(talk: Talk, load: Load) -> str:
    """Say for what the load was set and what is so now; nothing if its numbers still hold."""
    return _other(talk, load)[0]


def needs_more(talk: Talk, load: Load) -> bool:
    """True if more time or pressure than the load was set for is needed by the settings of now."""
    return _other(talk, load)[1]


def _other(talk: Talk, load: Load) -> tuple[str, bool]:
    feet, process = talk.profile.altitude_ft, load.process
    if feet is not None and feet != process.altitude_ft:
        tested = _tested_at(load, feet)
        if (process.minutes, process.psi or 0.0) not in tested:
            now = {"was": talk.language.altitude(process.altitude_ft), "now": talk.language.altitude(feet)}
            enough = any(process.minutes >= minutes and (process.psi or 0.0) >= psi for minutes, psi in tested)
            return talk.language.say("now", "other_altitude", now), not enough
    canner = talk.profile.canner(load.canner)
    if canner is None or process.gauge is None or canner.gauge is None or process.psi is None:
        return "", False
    if canner.gauge != process.gauge:
        was, then = (talk.language.phrase("names", f"gauge_{gauge}") for gauge in (process.gauge, canner.gauge))
        return talk.language.say("now", "other_gauge", canner=load.canner_name, was=was, now=then), True
    if canner.gauge != "dial":
        return "", False
    error, tested_on = canner.dial_error_psi, canner.dial_tested
    told = gauge_target(process.psi, gauge="dial", error_psi=error, tested_on=tested_on, today=today(talk.t))
    if told.status == "replace":
        return talk.language.in_words(told.text), True
    target = process.target_psi or 0
    if told.status != "ok" or told.read_psi is None or told.read_psi == target:
        return "", False
    now = {"was": talk.language.pounds_pressure(target), "now": talk.language.pounds_pressure(told.read_psi)}
    return talk.language.say("now", "other_dial", now), told.read_psi > target


def _tested_at(load: Load, feet: int) -> tuple[tuple[float, float], ...]:
    """Return every tested process of the load's food, pack and jar at that altitude, as minutes and pounds."""
    process = load.process
    told = lookup(load.food, pack=load.pack, jar=load.jar, method=process.method, gauge=process.gauge, altitude_ft=feet)
    if told.status != "ok" or told.minutes is None:
        return ()
    return ((told.minutes, told.psi or 0.0), *((each.minutes, each.psi) for each in told.options))
