"""Counts from records."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

__all__ = ["MOVES", "Tally", "by", "tally", "verdict"]

Record = dict[str, Any]

_MOVES = """
next_step previous_step step_done load_start load_select load_close jars_in lid_locked heat_on steam_steady
steam_stopped weight_on weight_rocking weight_quiet pressure_is pressure_low boiling boil_lost heat_off gauge_zero
lid_off jars_out jar_broke packed seal_count all_sealed jar_outcome timer_start timer_stop opened scratch number
choice yes
"""
MOVES = frozenset(_MOVES.split())
"""Intents that move a step, a timer or a count, or may do so as the answer to a question."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Number of clips understood right, wrongly accepted, and not accepted."""

    right: int
    wrong: int
    rejected: int

    @property
    def n(self) -> int:
        """Total."""
        return self.right + self.wrong + self.rejected


def verdict(record: Record, *, best_only: bool = False) -> str:
    """Return `right` (just what was meant, once), `wrong` (anything else accepted) or `rejected`."""
    meant = record["meant_best" if best_only else "meant"]
    if not meant:
        return "rejected"
    return "right" if meant == [record["expected"]] else "wrong"


def tally(records: Iterable[Record], *, best_only: bool = False) -> Tally:
    """Count verdicts."""
    verdicts = [verdict(record, best_only=best_only) for record in records]
    return Tally(verdicts.count("right"), verdicts.count("wrong"), verdicts.count("rejected"))


def by(records: Iterable[Record], key: Callable[[Record], str]) -> dict[str, list[Record]]:
    """Group records, in order of first appearance."""
    groups: dict[str, list[Record]] = {}
    for record in records:
        groups.setdefault(key(record), []).append(record)
    return groups
