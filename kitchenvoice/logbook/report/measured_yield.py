"""Measured yield of an amount of food, against the published yield."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kitchenvoice.errors import BadInput
from kitchenvoice.logbook.report.records import LoadRecord
from kitchenvoice.reference import Span, parse_have, plan

__all__ = ["Made", "yields_of"]


@dataclass(frozen=True, slots=True)
class Made:
    """Jars of one food and size from the recorded amounts: jars made, and the published number.

    `published` is the printed range in whole jars, `None` where no yield is printed; `source` names its tables.
    """

    food_name: str
    jar: str
    used: str
    jars: int
    published: tuple[float, float] | None
    source: tuple[str, ...] = ()


def yields_of(loads: Iterable[LoadRecord]) -> list[Made]:
    """Add up the loads with a recorded amount, by food and jar size."""
    kinds: dict[tuple[str, str], list[LoadRecord]] = {}
    for load in loads:
        if load.used and load.jars > 0:
            kinds.setdefault((load.food, load.jar), []).append(load)
    return [_made(found) for _, found in sorted(kinds.items())]


def _made(loads: list[LoadRecord]) -> Made:
    first, low, high, known = loads[0], 0.0, 0.0, True
    sources: dict[str, None] = {}
    for load in loads:
        span, source = _published(load)
        known = known and span is not None
        low, high = (low + span.low, high + span.high) if span is not None else (low, high)
        sources.update(dict.fromkeys(source))
    jars = sum(load.jars for load in loads)
    return Made(first.food_name, first.jar, _sum(loads), jars, (low, high) if known else None, tuple(sources))


def _published(load: LoadRecord) -> tuple[Span | None, tuple[str, ...]]:
    try:
        told = plan(load.food, load.used, load.jar, max(1, min(100, load.jars)))
    except BadInput:
        return None, ()
    return told.jars, told.source if told.jars is not None else ()


def _sum(loads: list[LoadRecord]) -> str:
    """Add up amounts of the same unit: "28 pounds", "1 bushel and 12 pounds"."""
    totals: dict[str, float] = {}
    for load in loads:
        try:
            have = parse_have(load.used)
        except BadInput:
            continue
        totals[have.unit] = totals.get(have.unit, 0.0) + float(have.amount)
    return " and ".join(f"{amount:g} {unit if amount == 1 else _plural(unit)}" for unit, amount in totals.items())


def _plural(unit: str) -> str:
    return f"{unit}{'es' if unit.endswith('h') else 's'}"
