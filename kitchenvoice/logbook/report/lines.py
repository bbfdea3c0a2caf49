"""A load and its entries, and a crock, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from kitchenvoice.logbook.projection.loads import BY_COMMAND
from kitchenvoice.logbook.report.entry_words import entry_words, outcome_words, times
from kitchenvoice.logbook.report.records import LoadRecord, LogEntry
from kitchenvoice.paper.text import date_of, day_of, time_of_day
from kitchenvoice.process import Crock
from kitchenvoice.reference import food_name, publications
from kitchenvoice.reference.ferments import ferment_of, ferment_weeks

__all__ = ["STALE_DAYS", "crock_line", "entry_lines", "jar_words", "list_line", "load_lines", "plain", "stale_days"]

STALE_DAYS = 7
"""Age of a forgotten open load: its jars rest a day. Common practice, no source."""

_DAY_S = 86_400.0
_STAGES = {
    "pack": "packing",
    "canner": "loading the canner",
    "vent": "venting",
    "come_up": "coming up",
    "hold": "holding",
    "cool": "cooling",
    "rest": "resting",
    "count": "counting seals",
    "keep": "putting away",
}


def plain(text: str) -> str:
    """Return text without terminal control characters."""
    return "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in text)


def jar_words(count: int, jar: str, width: int = 0) -> str:
    """Return so many jars of a size, the number as wide as others below it: "1 pint jar", "8 pint jars"."""
    return f"{count:>{width}} {jar} jar{'' if count == 1 else 's'}"


def stale_days(load: LoadRecord, now_t: float) -> int | None:
    """Return the age of a forgotten open load in days; `None` if it is closed or fresh."""
    days = int((now_t - load.opened_t) // _DAY_S)
    return days if load.closed_seq is None and days >= STALE_DAYS else None


def list_line(load: LoadRecord, now_t: float, hours: int) -> str:
    """Return a load's line in the list; a day has 12 hours twice, or 24."""
    counted = "not counted" if load.sealed is None else f"{load.sealed} sealed, {load.failed} failed"
    left = f", {load.on_shelf} on the shelf" if load.sealed else ""
    restarts = f", hold started over {times(load.restarts)}" if load.restarts else ""
    lids = f", lids {load.lids}" if load.lids else ""
    lids += f", doubted: {load.doubts}" if load.doubts else ""
    what = f"{jar_words(load.jars, load.jar)} of {load.food_name}, {load.pack} pack"
    days = stale_days(load, now_t)
    stage = _STAGES.get(load.stage, load.stage)
    open_since = f"{stage}; open for {days} days, kitchenvoice logbook close {load.load}" if days else stage
    day = date_of(_local(load.opened_t), hours, short=True)
    return plain(f"{load.load:>5}  {day:<12}  {what}: {counted}{left}{restarts}{lids} ({open_since})")


def crock_line(crock: Crock, now_t: float, hours: int) -> str:
    """Return a crock's line in the list: since when, and how long it takes by the guide."""
    started, ferment = _local(crock.started_t), ferment_of(crock.food)
    days = f"{crock.days(now_t)} days{' or more' if crock.unsure else ''}"
    printed = f"; {ferment_weeks(ferment)} ({publications(ferment.source)})" if ferment is not None else ""
    care = f", {crock.care.replace('_', ' ')} {date_of(_local(crock.care_t), hours, short=True)}" if crock.care else ""
    head = f"crock {crock.number}  {date_of(started, hours, short=True):<12}  {food_name(crock.food) or crock.food}"
    return plain(f"{head}: fermenting, {days}{care}{printed}")


def load_lines(load: LoadRecord, hours: int) -> Iterator[str]:
    """Yield a load as a small table; a day has 12 hours twice, or 24."""
    yield plain(f"Load {load.load}: {jar_words(load.jars, load.jar)} of {load.food_name}, {load.pack} pack")
    for name, value in _facts(load, hours):
        if value:
            yield plain(f"  {name:<12} {value}")


def _facts(load: LoadRecord, hours: int) -> Iterator[tuple[str, str]]:
    vessel = load.canner_name or (f"canner {load.canner}" if load.canner else "")
    psi = f" at {load.psi:g} pounds on a {load.gauge} gauge" if load.psi else ""
    yield "started", _at(load.opened_t, hours)
    yield "process", f"{load.method.replace('-', ' ')}, {load.minutes:g} minutes{psi}, {load.altitude_ft:,} feet"
    yield "in", vessel
    yield "read in", publications(load.source)
    yield "hold", f"started over {times(load.restarts)}" if load.restarts else ""
    yield "doubted", load.doubts
    yield "held until", "" if load.processed_t is None else _at(load.processed_t, hours)
    yield "broken", f"{load.broken}" if load.broken else ""
    yield "lost liquid", f"{load.low_liquid}" if load.low_liquid else ""
    yield "seals", "" if load.sealed is None else f"{load.sealed} sealed, {load.failed} failed"
    yield "failures", ", ".join(f"{count} {outcome_words(name)}" for name, count in load.outcomes.items())
    yield "lids", load.lids
    yield "used", load.used
    yield "on the shelf", f"{load.on_shelf}" if load.sealed else ""
    yield "stage", _STAGES.get(load.stage, load.stage)
    yield "closed", "" if load.closed_t is None else _at(load.closed_t, hours)


def entry_lines(entries: Iterable[LogEntry], hours: int) -> Iterator[tuple[LogEntry, str]]:
    """Yield each entry with its line, an empty one for what repeats the line before it; a new day stands above."""
    day = last = heard = ""
    wide = 8 if hours == 12 else 5
    told: dict[int, str] = {}
    all_of = list(entries)
    for entry, later in zip(all_of, (*all_of[1:], None), strict=True):
        event = entry.event
        words = told[event.seq] = entry_words(event.kind, event.data, told)
        written = _local(entry.moment.utc if event.data.get("by") == BY_COMMAND else event.t)
        head = day_of(written, hours)
        beside = (heard, later.event.heard if later is not None else "")
        named = event.kind == "load_select" and event.heard in beside and event.heard != ""  # that report was of it
        if ((words == last and not event.heard) or named) and head == day:
            yield entry, ""
            continue
        last, heard = words, event.heard
        said = f'  "{event.heard}"' if event.heard and event.heard.casefold() != words.casefold() else ""
        back = "  (taken back)" if entry.scratched else ""
        line = plain(f"  {time_of_day(written, hours):>{wide}}  {words}{said}{back}")
        yield entry, line if head == day else f"{head}\n{line}"
        day = head


def _local(t: float) -> datetime:
    try:
        return datetime.fromtimestamp(t).astimezone()
    except (OverflowError, ValueError, OSError):
        return datetime.fromtimestamp(0).astimezone()


def _at(t: float, hours: int) -> str:
    at = _local(t)
    return f"{day_of(at, hours)}, {time_of_day(at, hours)}"
