"""Mapping of an event to a row and back, with a checksum against silent corruption.

SQLite finds damaged pages, not a flipped bit inside a cell; a wrong digit in a record would be believed. So each row
carries the CRC-32 of its content.
"""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Mapping, Sequence
from typing import Any

from kitchenvoice.errors import LogbookDamaged, LogbookError
from kitchenvoice.ports import Event, Moment, Value

__all__ = ["COLUMNS", "INSERT", "EventRow", "event_of", "moment_of", "row_of", "sum_of"]

EventRow = tuple[int, float, str, int | None, str, str, float, float, str, int]

COLUMNS = "seq, t, kind, load, data, heard, utc, elapsed, boot, sum"
INSERT = f"INSERT INTO event ({COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"

_ENCODER = json.JSONEncoder(separators=(",", ":"))
_LARGEST = 2**63 - 1


def row_of(event: Event, moment: Moment) -> EventRow:
    """Return the row of `event`. Raises: LogbookError for a value unfit to be stored."""
    for number in (event.t, moment.utc, moment.elapsed):
        if not math.isfinite(number):
            raise LogbookError(f"The report {event.kind} has a time that isn't a number, so it can't be recorded.")
    if not 0 < event.seq <= _LARGEST or abs(event.load or 0) > _LARGEST:
        raise LogbookError(f"The report {event.kind} has a number out of range, so it can't be recorded.")
    try:
        data = json.dumps(_plain(event.data), allow_nan=False, separators=(",", ":"))
        (event.kind + event.heard + moment.boot).encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise LogbookError(f"The report {event.kind} holds something that can't be recorded: {error}.") from error
    load = None if event.load is None else int(event.load)
    said = (int(event.seq), float(event.t), event.kind, load, data, event.heard)
    stamp = (float(moment.utc), float(moment.elapsed), moment.boot)
    return (*said, *stamp, sum_of((*said, *stamp)))


def sum_of(values: Sequence[Any]) -> int:
    """Return the checksum of the nine values of a row."""
    return zlib.crc32(_ENCODER.encode(values).encode())


def event_of(row: Sequence[Any]) -> Event:
    """Return the event in a row. Raises: LogbookDamaged if the checksum or the content is wrong."""
    if sum_of(row[:9]) != row[9]:
        raise LogbookDamaged(
            f"Entry {row[0]} of the logbook was altered on the disk. "
            "Run kitchenvoice logbook restore, to go back to a backup."
        )
    seq, t, kind, load, data, heard = row[:6]
    try:
        held = _read(json.loads(data))
    except (ValueError, RecursionError):
        held = None
    if not isinstance(held, Mapping):
        raise LogbookDamaged(f"Entry {seq} of the logbook isn't an event. Run kitchenvoice logbook restore.")
    return Event(seq=seq, t=t, kind=kind, load=load, data=held, heard=heard)


def moment_of(row: Sequence[Any]) -> Moment:
    """Return the row's time of writing, by both clocks."""
    return Moment(utc=row[6], elapsed=row[7], boot=row[8])


def _plain(value: Value) -> Any:
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise TypeError("a name that isn't text")
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    return value


def _read(value: Any) -> Value:
    if isinstance(value, dict):
        return {key: _read(each) for key, each in value.items()}
    if isinstance(value, list):
        return tuple(_read(each) for each in value)
    return value  # type: ignore[no-any-return]
