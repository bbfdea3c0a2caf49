"""Particulars of a load, as labels with values: target, last report, tested time, jars."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kitchenvoice.board.texts import Labels
from kitchenvoice.language import in_figures, load_language
from kitchenvoice.process import Load, Process, Stage, check_t

__all__ = ["Particular", "ago", "particulars_of"]

_AT_THE_STOVE = (Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)


@dataclass(frozen=True, slots=True)
class Particular:
    """A label with its value and `age` (`""` if meaningless).

    `alert` marks what is amiss, `timed` a value that is a time.
    """

    label: str
    value: str
    age: str = ""
    alert: bool = False
    timed: bool = False


def ago(seconds: float, labels: Labels) -> str:
    """Say how long ago something was, to the minute."""
    minutes = int(max(0.0, seconds) // 60)
    if minutes < 1:
        return labels("ago", "now")
    if minutes < 60:
        return labels("ago", "minutes", minutes=minutes)
    return labels("ago", "hours", hours=minutes // 60, minutes=minutes % 60)


def particulars_of(load: Load, t: float, labels: Labels) -> tuple[Particular, ...]:
    """Return the particulars that matter at a load's stage, in order."""
    return tuple(_of(load, t, labels))


def _of(load: Load, t: float, labels: Labels) -> Iterator[Particular]:
    if load.stage in (Stage.PACK, *_AT_THE_STOVE):
        yield Particular(labels("facts", "target"), _target(load.process, labels))
    if load.stage in _AT_THE_STOVE and load.stage is not Stage.CANNER:
        yield _reported(load, t, labels)
    asked_at = check_t(load)
    if asked_at is not None:
        yield Particular(labels("facts", "next_check"), _until(asked_at - t, labels), timed=True)
    if load.stage is Stage.PACK and load.process.headspace:
        headspace = in_figures(load_language(labels.language), load.process.headspace)
        yield Particular(labels("facts", "headspace"), headspace)
    if load.stage in (Stage.PACK, *_AT_THE_STOVE):
        yield Particular(labels("facts", "hold"), labels("facts", "minutes", minutes=f"{load.process.minutes:g}"))
    yield Particular(labels("facts", "jars"), _jars(load, labels))
    begun_again = len(load.holds) - 1
    if begun_again > 0:
        key = "restarts_one" if begun_again == 1 else "restarts_many"
        yield Particular(labels("facts", "over_again"), labels("facts", key, count=begun_again))


def _until(seconds: float, labels: Labels) -> str:
    """Say in how long something comes, to the minute, rounded up."""
    minutes = math.ceil(seconds / 60)
    return labels("facts", "in_minutes", minutes=minutes) if minutes > 0 else labels("facts", "at_once")


def _target(process: Process, labels: Labels) -> str:
    if not process.is_pressure:
        return labels("facts", "steam" if process.is_steam else "boil")
    psi = f"{process.target_psi or 0:g}"
    if not process.is_dial:
        return labels("facts", "weight", psi=psi)
    if process.psi is not None and process.psi != process.target_psi:
        return labels("facts", "psi_dial", psi=psi, tested=f"{process.psi:g}")
    return labels("facts", "psi", psi=psi)


def _reported(load: Load, t: float, labels: Labels) -> Particular:
    """Return the latest report of pressure, weight or boil: a number, a word, or what went wrong since."""
    label, hold = labels("facts", "reported"), load.hold
    seen_t = load.last_psi_t
    if hold is not None and hold.lost_t is not None and (seen_t is None or hold.lost_t >= seen_t):
        with_number = hold.why == "pressure" and seen_t == hold.lost_t and load.last_psi is not None
        if not with_number:
            key = f"lost_{hold.why}"
            lost = labels("facts", key if labels.has("facts", key) else "lost_doubt")
            return Particular(label, lost, ago(t - hold.lost_t, labels), alert=True)
    if seen_t is None:
        return Particular(label, labels("facts", "none_yet"))
    if not load.process.is_pressure or (not load.process.is_dial and load.last_psi is None):
        key = "rocking" if load.process.is_pressure else "steady" if load.process.is_steam else "boiling"
        return Particular(label, labels("facts", key), ago(t - seen_t, labels))
    psi = load.last_psi or 0.0
    low = load.stage is Stage.HOLD and psi < (load.process.target_psi or 0.0)
    value = labels("facts", "psi", psi=f"{psi:g}")
    if low:
        value = f"{value}, {labels('facts', 'lost_pressure')}"
    return Particular(label, value, ago(t - seen_t, labels), alert=low)


def _jars(load: Load, labels: Labels) -> str:
    parts = [_count(load, labels)]
    if load.undecided:
        parts.append(labels("facts", "undecided", count=load.undecided))
    if load.broken:
        parts.append(labels("facts", "broken", count=load.broken))
    if load.low_liquid:
        parts.append(labels("facts", "low_liquid", count=load.low_liquid))
    return ", ".join(parts)


def _count(load: Load, labels: Labels) -> str:
    if load.sealed is not None:
        return labels("facts", "counted", sealed=load.sealed, failed=load.failed or 0)
    if any(load.tally):
        sealed, failed = load.tally
        return labels("facts", "tally", sealed=sealed, failed=failed, left=load.standing - sealed - failed)
    if load.stage is Stage.PACK:
        return labels("facts", "packed", packed=load.packed, planned=load.planned)
    return labels("facts", "in" if load.stage in _AT_THE_STOVE else "out", count=load.standing)
