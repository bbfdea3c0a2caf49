"""Use-first order, by published guidance: home-canned food is best within about a year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from kitchenvoice.logbook.report.records import LoadRecord, iso
from kitchenvoice.reference import rule

__all__ = ["Kept", "best_months", "best_until", "kept"]


def best_months() -> int:
    """Return the published best quality period of home-canned food in months (see `storage.shelf_life`)."""
    return int(rule("storage.shelf_life").figures["months"])


def best_until(packed_t: float) -> float:
    """Return the best-by time of a jar packed at `packed_t`, in POSIX seconds: the same day, a year on."""
    packed = datetime.fromtimestamp(packed_t, tz=UTC)
    months = packed.month - 1 + best_months()
    year, month = packed.year + months // 12, months % 12 + 1
    day = min(packed.day, _days(year, month))
    return packed.replace(year=year, month=month, day=day).timestamp()


def _days(year: int, month: int) -> int:
    first = datetime(year, month, 1, tzinfo=UTC)
    after = datetime(year + month // 12, month % 12 + 1, 1, tzinfo=UTC)
    return (after - first).days


@dataclass(frozen=True, slots=True)
class Kept:
    """Jars of one load on the shelf. `overdue` if they are past their best-by time."""

    record: LoadRecord
    best_until_t: float
    overdue: bool

    def as_dict(self) -> dict[str, object]:
        """Return it as JSON values."""
        record = self.record
        return {
            "load": record.load,
            "food": record.food,
            "food_name": record.food_name,
            "jar": record.jar,
            "left": record.on_shelf,
            "packed": iso(record.opened_t),
            "best_until": iso(self.best_until_t),
            "overdue": self.overdue,
            "doubted": record.doubts,
            "source": list(rule("storage.shelf_life").source),
        }


def kept(record: LoadRecord, now_t: float) -> Kept:
    """Return the shelf entry of one load at `now_t` (POSIX seconds)."""
    until = best_until(record.opened_t)
    return Kept(record, until, now_t > until)
