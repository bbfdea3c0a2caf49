"""Gauge reading at which the true pressure is right.

A dial that reads high shows more than there is: the food gets too little heat, so the target on that dial goes up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Literal

from .answer import tidy
from .rules import rules

__all__ = ["GaugeTarget", "gauge_target"]

WEIGHTS_PSI = (5, 10, 15)


@dataclass(frozen=True)
class GaugeTarget:
    """What to keep the gauge at, or why there is no such number.

    ``ok``: ``read_psi`` is the target as this gauge shows it. ``test_due``: have the dial tested first.
    ``unread``: it was tested, but what the test found isn't known.
    ``replace``: the dial is off by more than the published limit. ``refused``: no such weight.
    """

    status: Literal["ok", "test_due", "unread", "replace", "refused"]
    true_psi: float
    read_psi: float | None
    text: str
    source: tuple[str, ...]


def gauge_target(
    true_psi: float,
    *,
    gauge: Literal["dial", "weighted"],
    error_psi: float | None = None,
    tested_on: date | None = None,
    today: date,
) -> GaugeTarget:
    """Return the target as the gauge shows it.

    Args:
        true_psi: the pressure of the table.
        gauge: dial or weighted.
        error_psi: what the test found, positive when the dial reads high.
        tested_on: the day of the last test.
        today: the day of canning.
    """
    if gauge == "weighted":
        return _weighted(true_psi)
    due = _why_test_is_due(tested_on, today)
    if due:
        return GaugeTarget("test_due", true_psi, None, due, rules().gauge_test_months.source)
    if error_psi is None or not math.isfinite(error_psi):
        text = "What the test of the dial found isn't on record. Look it up, or have the dial tested again."
        return GaugeTarget("unread", true_psi, None, text, rules().gauge_test_months.source)
    limit = rules().gauge_replace_over_psi
    if abs(error_psi) > limit.value:
        off = f"The dial is off by {_pounds(abs(error_psi))}, more than {_pounds(limit.value)}."
        text = f"{off} Replace it before canning."
        return GaugeTarget("replace", true_psi, None, text, limit.source)
    read = tidy(round(true_psi + error_psi, 6))
    if error_psi == 0:
        text = f"The dial reads true. Keep it at {_pounds(read)} or a little over."
    else:
        way = "high" if error_psi > 0 else "low"
        text = (
            f"The dial reads {_pounds(abs(error_psi))} {way}, so {_pounds(true_psi)} shows as {_pounds(read)}."
            f" Keep it at {_pounds(read)} or a little over."
        )
    return GaugeTarget("ok", true_psi, read, text, limit.source)


def _weighted(true_psi: float) -> GaugeTarget:
    source = rules().gauge_test_months.source
    if true_psi not in WEIGHTS_PSI:
        text = f"There is no weight of {_pounds(true_psi)}. Weights are five, ten and fifteen pounds."
        return GaugeTarget("refused", true_psi, None, text, ("pnw421",))
    text = f"Use the {tidy(true_psi)}-pound weight. Weighted gauges need no testing."
    return GaugeTarget("ok", true_psi, tidy(true_psi), text, ("ncce_gauge", "osu_gauge", *source))


def _why_test_is_due(tested_on: date | None, today: date) -> str | None:
    if tested_on is None:
        return "The dial has no test on record. Have it tested at the Extension office before canning."
    if tested_on > today:
        return "The test date of the dial is in the future. Correct the date, or have the dial tested."
    if today > _a_year_after(tested_on):
        return "The dial was tested more than twelve months ago. Have it tested again before canning."
    return None


def _a_year_after(day: date) -> date:
    try:
        return day.replace(year=day.year + 1)
    except ValueError:  # 29 February
        return date(day.year + 1, 2, 28)


def _pounds(psi: float) -> str:
    shown = tidy(round(psi, 2))
    if shown == 0.5:
        return "half a pound"
    return f"{shown} pound{'' if shown == 1 else 's'}"
