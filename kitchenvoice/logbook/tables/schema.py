"""Schema of the tables, as ordered migrations. A log of a newer program is refused and left untouched.

`event` is the truth and append-only. Everything else (`loads`, `taken`, `timers`, `gone`) is derived from it by
`kitchenvoice.logbook.projection` and can be rebuilt at any time.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from kitchenvoice.errors import LogbookForeign

__all__ = ["APPLICATION_ID", "LOAD_COLUMNS", "MIGRATIONS", "WHOLE_KITCHEN", "create", "version_of"]

APPLICATION_ID = 0x4B764C62
"""`PRAGMA application_id` of a logbook."""

WHOLE_KITCHEN = "(load IS NULL OR kind IN ('answer_call', 'discarded', 'opened', 'scratched', 'session_start'))"
"""Events that can change more than the load they name. Part of two indexes: a change needs a migration."""

LOAD_COLUMNS = (
    "load",
    "number",
    "opened_seq",
    "closed_seq",
    "counted_seq",
    "opened_t",
    "closed_t",
    "processed_t",
    "stage",
    "food",
    "food_name",
    "pack",
    "jar",
    "canner",
    "canner_name",
    "method",
    "minutes",
    "psi",
    "gauge",
    "altitude_ft",
    "planned",
    "jars",
    "broken",
    "out",
    "sealed",
    "failed",
    "low_liquid",
    "restarts",
    "outcomes",
    "lids",
    "source",
    "used",
    "doubted",
    "shelved",
)

_EVENTS = """
CREATE TABLE event (
    seq INTEGER PRIMARY KEY,
    t REAL NOT NULL,
    kind TEXT NOT NULL,
    load INTEGER,
    data TEXT NOT NULL,
    heard TEXT NOT NULL,
    utc REAL NOT NULL,
    elapsed REAL NOT NULL,
    boot TEXT NOT NULL,
    sum INTEGER NOT NULL
) STRICT;
CREATE TRIGGER event_no_update BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'what was recorded is never changed'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'what was recorded is never deleted'); END;
CREATE TRIGGER event_in_order BEFORE INSERT ON event
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM event)
BEGIN SELECT RAISE(ABORT, 'an entry is missing or doubled'); END;
CREATE INDEX event_of_load ON event (load) WHERE load IS NOT NULL;
"""

_PRESENT = f"""
CREATE INDEX event_of_kitchen ON event (seq) WHERE {WHOLE_KITCHEN};
CREATE INDEX event_of_kitchen_by_time ON event (t) WHERE {WHOLE_KITCHEN};
CREATE TABLE loads (
    load INTEGER PRIMARY KEY,
    number INTEGER NOT NULL,
    opened_seq INTEGER NOT NULL,
    closed_seq INTEGER,
    counted_seq INTEGER,
    opened_t REAL NOT NULL,
    closed_t REAL,
    processed_t REAL,
    stage TEXT NOT NULL,
    food TEXT NOT NULL,
    food_name TEXT NOT NULL,
    pack TEXT NOT NULL,
    jar TEXT NOT NULL,
    canner INTEGER NOT NULL,
    canner_name TEXT NOT NULL,
    method TEXT NOT NULL,
    minutes REAL NOT NULL,
    psi REAL,
    gauge TEXT,
    altitude_ft INTEGER NOT NULL,
    planned INTEGER NOT NULL,
    jars INTEGER NOT NULL,
    broken INTEGER NOT NULL,
    out INTEGER,
    sealed INTEGER,
    failed INTEGER,
    low_liquid INTEGER NOT NULL,
    restarts INTEGER NOT NULL,
    outcomes TEXT NOT NULL,
    lids TEXT NOT NULL,
    source TEXT NOT NULL,
    taken INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX loads_open ON loads (load) WHERE closed_seq IS NULL;
CREATE INDEX loads_closed ON loads (closed_t) WHERE closed_t IS NOT NULL;
CREATE INDEX loads_on_shelf ON loads (food, opened_seq) WHERE sealed > taken;
CREATE INDEX loads_by_food ON loads (food, opened_seq);
CREATE TABLE taken (
    seq INTEGER NOT NULL,
    load INTEGER NOT NULL,
    count INTEGER NOT NULL,
    food TEXT NOT NULL,
    PRIMARY KEY (seq, load)
) STRICT, WITHOUT ROWID;
CREATE INDEX taken_by_food ON taken (food, seq);
CREATE TABLE timers (name TEXT PRIMARY KEY, seq INTEGER NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE gone (seq INTEGER PRIMARY KEY) STRICT;
CREATE TABLE projection (only INTEGER PRIMARY KEY CHECK (only = 1), rules INTEGER NOT NULL, seq INTEGER NOT NULL)
STRICT;
INSERT INTO projection VALUES (1, 0, 0);
"""

_USED = "ALTER TABLE loads ADD COLUMN used TEXT NOT NULL DEFAULT '';"

_DOUBTED = "ALTER TABLE loads ADD COLUMN doubted TEXT NOT NULL DEFAULT '';"

_SHELVED = """
ALTER TABLE loads ADD COLUMN shelved INTEGER NOT NULL DEFAULT 0;
UPDATE loads SET shelved = sealed WHERE sealed IS NOT NULL;
DROP INDEX loads_on_shelf;
CREATE INDEX loads_on_shelf ON loads (food, opened_seq) WHERE shelved > taken;
"""

_BY_TIME = """
DROP INDEX loads_by_food;
CREATE INDEX loads_by_time ON loads (opened_t);
CREATE INDEX loads_of_food_by_time ON loads (food, opened_t);
"""

MIGRATIONS: tuple[tuple[str, str], ...] = (
    ("append-only events", _EVENTS),
    ("loads, timers and the shelf, derived from the events", _PRESENT),
    ("how much food went into a load", _USED),
    ("loads found by the day they were started", _BY_TIME),
    ("what was doubted of a load's hold", _DOUBTED),
    ("sealed jars that are for the shelf", _SHELVED),
)
"""Name and statements of each migration; a log at version n has had the first n. Never edit a released one."""


def version_of(database: sqlite3.Connection, path: Path) -> int:
    """Return the number of migrations applied. Raises: LogbookForeign if it isn't ours or is of a newer program."""
    application = int(database.execute("PRAGMA application_id").fetchone()[0])
    version = int(database.execute("PRAGMA user_version").fetchone()[0])
    tables = int(database.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])
    if application != APPLICATION_ID and (tables or version or application):
        raise LogbookForeign(f"{path.name} isn't a logbook. Move it out of the folder, then start again.")
    if version < 0:
        raise LogbookForeign(
            f"{path.name} says that its form is {version}, which no kitchenvoice wrote. Move it out of the folder; "
            "then run kitchenvoice logbook restore."
        )
    if version > len(MIGRATIONS):
        raise LogbookForeign(
            f"The logbook was written by a newer kitchenvoice (form {version}, this one knows {len(MIGRATIONS)}). "
            "Use that one; nothing was changed."
        )
    return version


def create(database: sqlite3.Connection, path: Path) -> None:
    """Apply the missing migrations, each in a separate transaction."""
    for number in range(version_of(database, path), len(MIGRATIONS)):
        _name, statements = MIGRATIONS[number]
        marks = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {number + 1};"
        try:
            database.executescript(f"BEGIN IMMEDIATE; {statements} {marks} COMMIT;")
        except sqlite3.Error:
            if database.in_transaction:
                database.execute("ROLLBACK")
            raise
