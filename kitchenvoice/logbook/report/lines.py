"""A load and its entries as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from kitchenvoice.logbook.projection.loads import BY_COMMAND
from kitchenvoice.logbook.report.records import LoadRecord, LogEntry
from kitchenvoice.reference import source_title

__all__ = ["STALE_DAYS", "entry_lines", "list_line", "load_lines", "plain", "stale_days"]

STALE_DAYS = 7
"""Age of a forgotten open load: its jars rest a day. Common practice, no source."""

_DAY_S = 86_400.0
_NAMES = {
    "load_start": "load started",
    "jars_in": "jars in the canner",
    "jars_out": "jars out",
    "lid_locked": "lid on",
    "heat_on": "heat on",
    "heat_off": "heat off",
    "steam_steady": "steam steady",
    "weight_on": "weight on",
    "gauge_zero": "gauge at zero",
    "call_again": "called again",
    "answer_call": "call answered",
    "session_start": "kitchenvoice started",
    "load_given_up": "load given up",
    "acid_forgotten": "acid forgotten",
    "load_close": "load closed",
}
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
_SAYS = {
    "doubt": "in doubt: {kind}",
    "doubt_settled": "doubt answered: {by}",
    "packed": "{count:+g} packed",
    "pressure_is": "pressure {pressure:g}",
    "pressure_low": "pressure dropped to {pressure:g}",
    "seal_count": "{sealed} sealed, {failed} failed",
    "jar_outcome": "{outcome}: {count}",
    "jar_broke": "jars broken: {count}",
    "liquid_lost": "jars that lost liquid: {count}",
    "lid_box": "lids from box {box}",
    "used": "{amount:g} {unit} used",
    "note": "note: {text}",
    "scratched": "entry {seq} taken back",
    "step_done": "step done: {step}",
    "opened": "opened: {count} of {food}",
}
_SAID_ELSEWHERE = frozenset({"load_start"})
_OURS = frozenset({"of", "asked", "by", "keys"})


def plain(text: str) -> str:
    """Return text without terminal control characters."""
    return "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in text)


def stale_days(load: LoadRecord, now_t: float) -> int | None:
    """Return the age of a forgotten open load in days; `None` if it is closed or fresh."""
    days = int((now_t - load.opened_t) // _DAY_S)
    return days if load.closed_seq is None and days >= STALE_DAYS else None


def list_line(load: LoadRecord, now_t: float) -> str:
    """Return a load's line in the list."""
    counted = "not counted" if load.sealed is None else f"{load.sealed} sealed, {load.failed} failed"
    left = f", {load.on_shelf} on the shelf" if load.sealed else ""
    restarts = f", hold started over {_times(load.restarts)}" if load.restarts else ""
    lids = f", lids {load.lids}" if load.lids else ""
    lids += f", doubted: {load.doubts}" if load.doubts else ""
    what = f"{load.jars} {load.jar} jars of {load.food_name}, {load.pack} pack"
    days = stale_days(load, now_t)
    stage = _STAGES.get(load.stage, load.stage)
    open_since = f"{stage}; open for {days} days, kitchenvoice logbook close {load.load}" if days else stage
    day = _local(load.opened_t).strftime("%Y-%m-%d")
    return plain(f"{load.load:>5}  {day}  {what}: {counted}{left}{restarts}{lids} ({open_since})")


def load_lines(load: LoadRecord) -> Iterator[str]:
    """Yield a load as a small table."""
    yield plain(f"Load {load.load}: {load.jars} {load.jar} jars of {load.food_name}, {load.pack} pack")
    for name, value in _facts(load):
        if value:
            yield plain(f"  {name:<12} {value}")


def _facts(load: LoadRecord) -> Iterator[tuple[str, str]]:
    vessel = load.canner_name or (f"canner {load.canner}" if load.canner else "")
    psi = f" at {load.psi:g} pounds on a {load.gauge} gauge" if load.psi else ""
    yield "started", _at(load.opened_t)
    yield "process", f"{load.method}, {load.minutes:g} minutes{psi}, {load.altitude_ft:,} feet"
    yield "in", vessel
    yield "source", "; ".join(_title(each) for each in load.source)
    yield "hold", f"started over {_times(load.restarts)}" if load.restarts else ""
    yield "doubted", load.doubts
    yield "held until", "" if load.processed_t is None else _at(load.processed_t)
    yield "broken", f"{load.broken}" if load.broken else ""
    yield "lost liquid", f"{load.low_liquid}" if load.low_liquid else ""
    yield "seals", "" if load.sealed is None else f"{load.sealed} sealed, {load.failed} failed"
    yield "failures", ", ".join(f"{count} {name}" for name, count in load.outcomes.items())
    yield "lids", load.lids
    yield "used", load.used
    yield "on the shelf", f"{load.on_shelf}" if load.sealed else ""
    yield "stage", _STAGES.get(load.stage, load.stage)
    yield "closed", "" if load.closed_t is None else _at(load.closed_t)


def entry_lines(entries: Iterable[LogEntry]) -> Iterator[tuple[LogEntry, str]]:
    """Yield each entry with its line; the first one of a day has the day above it."""
    day = ""
    for entry in entries:
        event = entry.event
        written = _local(entry.moment.utc if event.data.get("by") == BY_COMMAND else event.t)
        head = f"{written:%A} {written.day} {written:%B %Y}"
        said = f'  "{event.heard}"' if event.heard else ""
        back = "  (taken back)" if entry.scratched else ""
        line = plain(f"  {written:%H:%M:%S}  {_say(event.kind, event.data)}{said}{back}")
        yield entry, line if head == day else f"{head}\n{line}"
        day = head


_ASKED = {"check": "asked whether it holds", "step": "said the step again"}


def _say(kind: str, data: Any) -> str:
    """Put an entry into words; without a sentence for its kind, or these particulars, name and values."""
    if kind == "timer_due":
        if data.get("timer") in _ASKED:
            return _ASKED[data["timer"]]
        over = data.get("mark") == "end"
        return f"{data.get('timer')} timer {'over' if over else 'at ' + str(data.get('mark'))}"
    try:
        if kind in _SAYS:
            return _SAYS[kind].format(**{"count": 1, **data})
    except (KeyError, ValueError, TypeError, IndexError, AttributeError):
        pass
    more = {} if kind in _SAID_ELSEWHERE else {x: value for x, value in data.items() if x not in _OURS}
    told = ", ".join(f"{name.replace('_', ' ')} {_value(value)}" for name, value in more.items() if value is not None)
    name = _NAMES.get(kind, kind.replace("_", " "))
    return f"{name}: {told}" if told else name


def _value(value: Any) -> str:
    if isinstance(value, tuple | list):
        return ", ".join(map(str, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def _title(source: str) -> str:
    try:
        return source_title(source)
    except (KeyError, LookupError, ValueError):
        return source


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _local(t: float) -> datetime:
    try:
        return datetime.fromtimestamp(t).astimezone()
    except (OverflowError, ValueError, OSError):
        return datetime.fromtimestamp(0).astimezone()


def _at(t: float) -> str:
    at = _local(t)
    return f"{at:%A} {at.day} {at:%B %Y, %H:%M}"
