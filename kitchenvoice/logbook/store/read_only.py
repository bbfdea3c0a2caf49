"""Read-only access to the present state while the log can't be written: enough to go on guiding."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook.projection.rows_beside import latest_moment, present_rows
from kitchenvoice.logbook.projection.shelf import on_shelf
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import NAME, connect_reader
from kitchenvoice.logbook.tables.rows import event_of, moment_of
from kitchenvoice.ports import Event, Moment

__all__ = ["Known", "what_is_known"]


@dataclass(frozen=True, slots=True)
class Known:
    """The entries behind the present state, the end of the log, and the shelf at that time
    (`None` where it wasn't read)."""

    entries: tuple[tuple[Event, Moment], ...] = ()
    last_seq: int = 0
    last_load: int = 0
    last_moment: Moment | None = None
    shelf: tuple[tuple[str, str, int, float], ...] | None = None


def what_is_known(folder: Path) -> Known:
    """Read the present state from the log in `folder`, without write permission, even while another program locks it.

    Raises: LogbookError if there is none or it can't be read.
    """
    path = folder / NAME
    with explained(folder), closing(connect_reader(path, patience_s=0.2)) as database:
        if schema.version_of(database, path) < len(schema.MIGRATIONS):
            raise LogbookError("The logbook has an older form. Make it writable, and start again.")
        return _known(database)


def _known(database: sqlite3.Connection) -> Known:
    entries = tuple((event_of(row), moment_of(row)) for row in present_rows(database))
    last_load = database.execute("SELECT coalesce(max(load), 0) FROM event WHERE load IS NOT NULL").fetchone()[0]
    last_seq = entries[-1][0].seq if entries else 0
    return Known(entries, last_seq, int(last_load), latest_moment(database), tuple(on_shelf(database)))
