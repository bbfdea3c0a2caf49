"""Reader of the record: loads, entries and the shelf, also while a session writes it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kitchenvoice.errors import LogbookDamaged, LogbookError
from kitchenvoice.logbook.projection.loads import RULES
from kitchenvoice.logbook.projection.rows_beside import fold_present
from kitchenvoice.logbook.store.backups import no_logbook
from kitchenvoice.logbook.store.integrity import proof
from kitchenvoice.logbook.store.lock import advised_while_written
from kitchenvoice.logbook.tables import schema
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import NAME, connect_reader
from kitchenvoice.logbook.tables.rows import COLUMNS, event_of, moment_of
from kitchenvoice.logbook.tables.schema import LOAD_COLUMNS
from kitchenvoice.ports import Event, Moment
from kitchenvoice.process import Crock

__all__ = ["LOAD_FIELDS", "LoadRecord", "LogEntry", "Logbook", "crock_as_dict", "open_logbook"]

_ROWS = 100
_RESTORE = "Run kitchenvoice logbook restore, to go back to a backup."
_LATEST_S = 253_339_228_800.0
"""The beginning of 9998: a calendar ends with 9999, and jars are kept for a year."""
_LONGEST = 200
"""Letters of a name: the longest of a food has 39."""
LOAD_FIELDS = (*(name.removesuffix("_t") for name in LOAD_COLUMNS if not name.endswith("_seq")), "on_shelf")
"""What is told of a load, in the order of its columns in the file."""
_DOUBTED = {
    "heat_off": "heat off was reported and denied",
    "gap": "off in the hold",
    "unheard": "something was not understood",
    "low_number": "a low number was read",
    "late": "too little was read at the end",
    "settings": "by other settings than the kitchen's",
    "unanswered": "checks had no answer",
    "acid": "acid not confirmed",
    "not_held": "not held in full",
    "unfit": "not processed as tested",
    "unfit_some": "not all of it processed as tested",
    "in_question": "in question whether all of it held",
    "loss": "a loss was taken back",
}
_LOAD_QUERY = f"SELECT {', '.join(LOAD_COLUMNS)}, taken FROM loads"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRecord:
    """One load in the record. Times are POSIX seconds, `None` where not reported."""

    load: int
    number: int
    opened_seq: int
    closed_seq: int | None
    counted_seq: int | None
    opened_t: float
    closed_t: float | None
    processed_t: float | None
    stage: str
    food: str
    food_name: str
    pack: str
    jar: str
    canner: int
    canner_name: str
    method: str
    minutes: float
    psi: float | None
    gauge: str | None
    altitude_ft: int
    planned: int
    jars: int
    broken: int
    out: int | None
    sealed: int | None
    failed: int | None
    low_liquid: int
    restarts: int
    outcomes: Mapping[str, int] = field(default_factory=dict)
    lids: str = ""
    source: tuple[str, ...] = ()
    used: str = ""
    doubted: str = ""
    shelved: int = 0
    taken: int = 0

    @property
    def on_shelf(self) -> int:
        """Jars that are for the shelf and still on it."""
        return max(0, self.shelved - self.taken)

    @property
    def doubts(self) -> str:
        """Standing doubts about the hold, in words."""
        return ", ".join(_DOUBTED.get(each, _DOUBTED["loss"]) for each in self.doubted.split())

    def as_dict(self) -> dict[str, Any]:
        """Return the load as JSON values: times as ISO 8601 in UTC."""
        values = ((name, getattr(self, name)) for name in (*LOAD_COLUMNS, "on_shelf") if not name.endswith("_seq"))
        fields = {name.removesuffix("_t"): iso(value) if name.endswith("_t") else value for name, value in values}
        return {**fields, "outcomes": dict(self.outcomes), "source": list(self.source)}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One event with its time of writing; `scratched` if it was taken back later."""

    event: Event
    moment: Moment
    scratched: bool

    def as_dict(self) -> dict[str, Any]:
        """Return the entry as JSON values."""
        event = self.event
        return {
            "seq": event.seq,
            "t": iso(event.t),
            "kind": event.kind,
            "load": event.load,
            "data": dict(event.data),
            "heard": event.heard,
            "scratched": self.scratched,
        }


def iso(t: float | None) -> str | None:
    """Return a POSIX time as ISO 8601 in UTC, `None` for none or for a time out of range."""
    if t is None:
        return None
    try:
        return datetime.fromtimestamp(t, tz=UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    except (OverflowError, ValueError, OSError):
        return None


def crock_as_dict(crock: Crock, now_t: float) -> dict[str, Any]:
    """Return a crock as JSON values; its age in whole days, its times by the kitchen's clock."""
    started, cared = (
        datetime.fromtimestamp(t).astimezone().isoformat(timespec="seconds") for t in (crock.started_t, crock.care_t)
    )
    last = {"care": crock.care, "cared": cared} if crock.care else {"care": None, "cared": None}
    named = {"record": "crock", "food": crock.food, "number": crock.number}
    return {**named, "started": started, "days": crock.days(now_t), "unsure": crock.unsure, **last}


class Logbook:
    """The record, read-only."""

    def __init__(self, folder: Path) -> None:
        """Open the logbook in `folder`. Raises: LogbookError if there is none or it can't be read."""
        self._folder = folder
        path = folder / NAME
        with advised_while_written(folder), explained(folder):
            if not path.exists():
                no_logbook(folder)
                raise LogbookError("There is no logbook yet: the first load begins it.")
            self._database = connect_reader(path)
            try:
                self._check(path)
            except BaseException:
                self._database.close()
                raise

    def _check(self, path: Path) -> None:
        version = schema.version_of(self._database, path)
        if version < len(schema.MIGRATIONS):
            raise LogbookError(
                "The logbook has an older form. The next kitchenvoice start renews it, or kitchenvoice logbook rebuild."
            )
        rules, seq = self._database.execute("SELECT rules, seq FROM projection").fetchone()
        last = self._database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0]
        if rules != RULES or seq < last:
            raise LogbookError(
                "The list of loads is out of date. A kitchenvoice that runs renews it, or kitchenvoice logbook rebuild."
            )

    def close(self) -> None:
        """Release the file. Safe to call twice."""
        self._database.close()

    def __enter__(self) -> Logbook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _rows(self, query: str, values: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
        with explained(self._folder):
            cursor = self._database.execute(query, values)
        while True:
            with explained(self._folder):  # not around the yield: a reader that stops halfway closes the file first
                rows = cursor.fetchmany(_ROWS)
            if not rows:
                return
            yield from rows

    def loads(
        self,
        *,
        food: str | None = None,
        since_t: float | None = None,
        until_t: float | None = None,
        newest: int | None = None,
        only_open: bool = False,
    ) -> Iterator[LoadRecord]:
        """Yield loads in order of their start; `newest` keeps only that many of the last ones."""
        asked = {"food = ?": food, "opened_t >= ?": since_t, "opened_t < ?": until_t}
        values = [value for value in asked.values() if value is not None]
        terms = [term for term, value in asked.items() if value is not None]
        query = _LOAD_QUERY
        if only_open:  # few: SQLite would rather scan them all by time
            query, terms = f"{_LOAD_QUERY} INDEXED BY loads_open", ["closed_seq IS NULL", *terms]
        query = f"{query} WHERE {' AND '.join(terms)}" if terms else query
        if newest is None:
            query = f"{query} ORDER BY opened_t, load"
        else:
            query = f"SELECT * FROM ({query} ORDER BY opened_t DESC, load DESC LIMIT ?) ORDER BY opened_t, load"
            values.append(newest)
        for row in self._rows(query, tuple(values)):
            yield _record(row)

    def load(self, number: int) -> LoadRecord | None:
        """Return one load by its id."""
        return next((_record(row) for row in self._rows(f"{_LOAD_QUERY} WHERE load = ?", (number,))), None)

    def entries(self, load: int | None = None, *, crocks: bool = False) -> Iterator[LogEntry]:
        """Yield all entries, or those of one load or the crocks, oldest first. Raises: LogbookDamaged if altered."""
        where = "WHERE kind GLOB 'crock_*'" if crocks else "" if load is None else "WHERE load = ?"
        query = (
            f"SELECT {COLUMNS}, EXISTS (SELECT 1 FROM gone WHERE gone.seq = event.seq) FROM event {where} ORDER BY seq"
        )
        for row in self._rows(query, () if load is None else (load,)):
            yield LogEntry(event_of(row), moment_of(row), bool(row[10]))

    def shelf(self, food: str | None = None, jar: str | None = None, first: int | None = None) -> Iterator[LoadRecord]:
        """Yield the loads with jars left on the shelf, oldest first; only the `first` of them if that is given."""
        query = (
            f"{_LOAD_QUERY} WHERE shelved > taken AND (?1 IS NULL OR food = ?1) AND (?2 IS NULL OR jar = ?2) "
            "ORDER BY opened_seq LIMIT ?3"
        )
        for row in self._rows(query, (food, jar, -1 if first is None else first)):
            yield _record(row)

    def crocks(self) -> tuple[Crock, ...]:
        """Return the foods that ferment."""
        with explained(self._folder):
            return fold_present(self._database).kitchen.crocks

    @property
    def last_seq(self) -> int:
        """Number of the latest entry, 0 in an empty log."""
        return int(self._database.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()[0])

    def proof(self, *, fold_too: bool = True) -> list[str]:
        """Verify the file, each entry, and the loads against the fold of the entries. Return the faults."""
        with explained(self._folder):
            return list(proof(self._database, fold_too=fold_too))


def open_logbook(folder: Path) -> Logbook | None:
    """Open the logbook in `folder`; `None` if nothing was ever recorded there.

    Raises: LogbookError if it can't be read; LogbookDamaged if there was one and it is gone.
    """
    if not (folder / NAME).exists():
        with advised_while_written(folder):
            no_logbook(folder)
        return None
    return Logbook(folder)


def _record(row: tuple[Any, ...]) -> LoadRecord:
    values = {name: _fit(name, value) for name, value in zip((*LOAD_COLUMNS, "taken"), row, strict=True)}
    try:
        outcomes, source = json.loads(values["outcomes"]), json.loads(values["source"])
    except (ValueError, RecursionError):
        outcomes, source = None, None
    if not (isinstance(outcomes, dict) and isinstance(source, list)):
        raise LogbookDamaged(f"Load {values['load']} of the logbook was altered on the disk. {_RESTORE}")
    return LoadRecord(**{**values, "outcomes": outcomes, "source": tuple(source)})


def _fit(name: str, value: Any) -> Any:
    """Bring a value of a damaged or made-up record into the range that dates and paper have room for."""
    if name.endswith("_t") and value is not None:
        return min(max(0.0, value), _LATEST_S)
    if isinstance(value, str) and name not in ("outcomes", "source") and len(value) > _LONGEST:
        return f"{value[:_LONGEST]}..."
    return value
