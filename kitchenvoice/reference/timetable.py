"""The plan of a day by the clock: one cook's tasks, each with an earliest and a latest time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from .answer import Answer, tidy
from .day import DayPlan, LoadWindow

__all__ = ["ClockLine", "clock"]

_DONE = {
    "pack": "pack",
    "heat up": "jars in, heat on",
    "vent": "steam is steady: vent",
    "come up": "weight on: pressure comes up",
    "cool": "heat off: leave it alone",
    "wait before the lid": "gauge at zero: weight off, wait",
    "rest": "heat off, lid off: wait",
}


@dataclass(frozen=True)
class ClockLine:
    """An event of a load between the times `low` and `high`; `name` is its stage, or "out"."""

    low: datetime
    high: datetime
    load: int
    canner: int
    name: str
    what: str


def clock(answers: Sequence[Answer], day: DayPlan, start: datetime) -> tuple[ClockLine, ...]:
    """Return the tasks of a day from `start` on, by their earliest times; one answer for all canners, or one each."""
    lines = [
        line
        for window in day.windows
        for line in _lines(answers[(window.canner - 1) % len(answers)], day, window, start)
    ]
    return tuple(sorted(lines, key=lambda line: (line.low, line.high, line.load)))


def _lines(answer: Answer, day: DayPlan, window: LoadWindow, start: datetime) -> Iterator[ClockLine]:
    for stage, phase in zip(window.stages, day.stages, strict=True):
        what = _hold(answer) if stage.name == "hold" else _DONE[stage.name]
        if stage.name in ("vent", "wait before the lid", "rest"):
            what += f" {tidy(phase.low):g} minutes"
        yield _line(window, start, stage.starts_low, stage.starts_high, stage.name, what)
    yield _line(window, start, window.ends_low, window.ends_high, "out", "jars out")


def _hold(answer: Answer) -> str:
    begins = {"pressure": "pressure is reached", "boiling-water": "full boil"}.get(answer.method or "", "full steam")
    held = " or ".join(f"{minutes:g} minutes" + (f" at {psi:g} pounds" if psi else "") for minutes, psi in answer.pairs)
    return f"{begins}: hold {held}"


def _line(window: LoadWindow, start: datetime, low: float, high: float, name: str, what: str) -> ClockLine:
    earliest, latest = (start + timedelta(minutes=minutes) for minutes in (low, high))
    return ClockLine(earliest, latest, window.load, window.canner, name, what)
