"""Export of the record as JSON lines, or as CSV protected against formula injection."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator, Mapping
from io import StringIO
from typing import Any

from kitchenvoice.logbook.report.records import LOAD_FIELDS, LoadRecord, LogEntry

__all__ = [
    "ENTRY_FIELDS",
    "LOAD_FIELDS",
    "SHELF_FIELDS",
    "csv_lines",
    "flat_entry",
    "flat_load",
    "harmless",
    "json_lines",
]

SHELF_FIELDS = ("load", "food", "food_name", "jar", "left", "packed", "best_until", "overdue", "doubted")
ENTRY_FIELDS = ("seq", "t", "load", "kind", "data", "heard", "scratched")

_STARTS_A_FORMULA = frozenset("=+-@|%\uff1d\uff0b\uff0d\uff20\t\r\n")
"""First characters that make some spreadsheet take a cell for a formula or a command."""


def harmless(value: Any) -> Any:
    """Return a cell safe in a spreadsheet: a possible formula gets an apostrophe in front."""
    if not isinstance(value, str):
        return value
    text = "".join(letter for letter in value if letter in "\t\n" or letter.isprintable())
    if value[:1] in _STARTS_A_FORMULA or text.lstrip()[:1] in _STARTS_A_FORMULA - {""}:
        return f"'{text}" if text.strip() else text.strip()
    return text


def flat_load(record: LoadRecord) -> dict[str, Any]:
    """Return a load as the cells of one row."""
    fields = record.as_dict()
    fields["outcomes"] = "; ".join(f"{count} {name}" for name, count in record.outcomes.items())
    fields["source"] = "; ".join(record.source)
    return fields


def flat_entry(entry: LogEntry) -> dict[str, Any]:
    """Return an entry as the cells of one row."""
    fields = entry.as_dict()
    return {**fields, "data": json.dumps(fields["data"], ensure_ascii=False)}


def csv_lines(fields: Iterable[str], rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield CSV (RFC 4180: commas, CRLF) with a header row."""
    names = tuple(fields)
    buffer = StringIO()
    writer = csv.writer(buffer)
    for cells in _with_names(names, rows):
        writer.writerow(cells)
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()


def _with_names(names: tuple[str, ...], rows: Iterable[Mapping[str, Any]]) -> Iterator[list[Any]]:
    yield list(names)
    for row in rows:
        yield [harmless(row[name]) for name in names]


def json_lines(rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield one JSON object a line."""
    for row in rows:
        yield json.dumps(dict(row), ensure_ascii=False) + "\n"
