"""Entries made by a command outside a session: notes about a load, and closing a forgotten one.

Such an entry is no sign that the stove was watched. So it carries `by`, engine time doesn't advance (no engine runs),
and `SqliteLog.last_moment` skips it: the next start still reports the whole absence.
"""

from __future__ import annotations

from collections.abc import Mapping

from kitchenvoice.errors import BadInput
from kitchenvoice.logbook.projection.loads import BY_COMMAND
from kitchenvoice.logbook.report.records import LoadRecord
from kitchenvoice.logbook.store.sqlite_log import SqliteLog
from kitchenvoice.ports import Event, Moment, Value
from kitchenvoice.reference import parse_have, rules

__all__ = ["BY_COMMAND", "close_load", "closing_words", "enter", "notes_from"]


_LONGEST, _LONGEST_TEXT = 60, 2000


def enter(log: SqliteLog, kind: str, load: int, data: Mapping[str, Value], now: Moment) -> Event:
    """Append one entry about a load. Raises: LogbookError."""
    t = max(log.last_t, 0.0 if log.has_open_loads else now.utc)
    event = Event(seq=log.last_seq + 1, t=t, kind=kind, load=load, data={**data, "by": BY_COMMAND})
    log.append([event], now)
    return event


def notes_from(
    *, text: str | None = None, lids: str | None = None, used: str | None = None
) -> list[tuple[str, dict[str, Value]]]:
    """Return the entries, as kind and data, for the given values. Raises: BadInput."""
    found: list[tuple[str, dict[str, Value]]] = []
    if lids is not None and lids.strip():
        found.append(("lid_box", {"box": _bounded(lids, "The name of the box", _LONGEST)}))
    if used is not None and used.strip():
        have = parse_have(used)
        if have.unit in ("jar", "pint", "quart"):
            raise BadInput('Say how much food went in, like "14 lb"; the jars are counted already.')
        found.append(("used", {"amount": float(have.amount), "unit": have.unit}))
    if text is not None and text.strip():
        found.append(("note", {"text": _bounded(text, "The note", _LONGEST_TEXT)}))
    if not found:
        raise BadInput("There is nothing to note. Give a text, --lids or --used.")
    return found


def _bounded(text: str, what: str, most: int) -> str:
    """Return the text. Raises: BadInput if it is too long: silent truncation would be noticed too late."""
    bare = text.strip()
    if len(bare) > most:
        raise BadInput(f"{what} has {len(bare):,} letters, and {most:,} is the most. Write it shorter.")
    return bare


def close_load(log: SqliteLog, record: LoadRecord, now: Moment) -> Event:
    """Close a load at any stage; its entries are kept. Raises: BadInput if it is closed already."""
    if record.closed_seq is not None:
        raise BadInput(f"Load {record.load} is closed already. Show it with kitchenvoice logbook show {record.load}.")
    kind = "load_close" if record.stage == "keep" else "load_given_up"
    return enter(log, kind, record.load, {}, now)


def closing_words(record: LoadRecord) -> str:
    """Say what closing means for the jars of an open load."""
    words = f"Load {record.load} is closed."
    if record.processed_t is None:
        hours = rules().failed_seal_hours.value
        words += (
            f" No full hold was recorded. For {hours:g} hours such jars can be processed in full, refrigerated or "
            "frozen; after that throw them out, without tasting."
        )
    if record.sealed is None:
        words += " Its jars were never counted, so none of them is on the shelf list."
    return words
