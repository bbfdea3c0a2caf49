"""Faults that no gauge shows: air or no water in the canner, a weight that fell off, a gauge that is stuck, no acid,
numbers that are another load's, a canner cooled by force.

Told before the end of a hold, a fault ends what counts, and no hold starts before it is mended. Told after it, it stays
with the load: it wasn't processed as tested, and none of the jars that it may be of is for the shelf. Other numbers
(another food, jar, altitude, gauge error) can't be mended in the canner: what runs goes on and counts for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event
from kitchenvoice.process import holds, stove
from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import OTHER_NUMBERS, Fault, Stage
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.tools import Fact, Outcome, as_int, as_text, enter, go_to, keep

__all__ = ["FAULTS", "FAULT_KINDS"]

FAULT_KINDS = OTHER_NUMBERS | {"air", "gauge", "gear", "acid", "cooling", "short", "stop", "spoiled"}
"""Air (or too little steam, or another weight) in the canner; a gauge that tells nothing; a check of the canner
that failed (`gear`); acid left out; too little time, pressure or boil, told once the jars can't go back (`short`);
cooled by force or opened too soon (USDA Complete Guide, pages 1-22 and 1-23); jars that are spoiled; numbers that
aren't the load's, as the cook told (`numbers`) or by settings that have changed (`settings`); heat off in an
emergency (`stop`), of none that was held."""
_KEPT_EARLY = OTHER_NUMBERS | {"gear"}
"""What is kept with a load that isn't heated yet: nothing is heated before it is put right."""


def _fault(_: Kitchen, load: Load, event: Event) -> Outcome:
    kind, jars = as_text(event.data.get("fault") or "air"), event.data.get("jars")
    if kind == "acid":
        if not load.process.acid:
            return Outcome(load)
        load = replace(load, checked=tuple(each for each in load.checked if each != "acid"))
    early = load.processed_t is None and load.stage in (Stage.PACK, Stage.CANNER)
    if kind == "stop" and (early or load.processed_t is not None):
        return Outcome(load)
    if early and kind not in _KEPT_EARLY:
        if kind != "acid":
            kept = MappingProxyType({"kind": "of_fault", "words": event.heard})
            load = keep(load, replace(event, data=kept))
        return Outcome(load, (Fact("acid_missing" if kind == "acid" else "fault_told", load.id),))
    told = Fault(kind=kind, t=event.t, jars=None if jars is None else as_int(jars))
    load = replace(load, faults=(*(each for each in load.faults if each.kind != kind), told))
    if load.processed_t is not None:
        return _kept(load, told)
    if early or kind in OTHER_NUMBERS:
        return Outcome(load, (Fact(f"fault_{kind}", load.id),))
    if load.claims:
        return stove.break_off(load, event, "acid" if kind == "acid" and load.holding else "fault")
    return Outcome(holds.back(load), (Fact("fault_told", load.id),))


def _kept(load: Load, fault: Fault) -> Outcome:
    """Keep it with a processed load. After the count, its jars have to be decided about again."""
    if load.undecided and load.stage in (Stage.KEEP, Stage.CLOSED):
        load = go_to(load, Stage.COUNT, "failures")
    return Outcome(load, (Fact("not_as_tested", load.id, {"fault": fault.kind, "jars": fault.jars}),))


def _mended(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Drop a fault that isn't so after all, if it can have left no trace: its numbers are right again."""
    kind = as_text(event.data.get("fault") or "")
    early = kind == "gear" and load.stage in (Stage.PACK, Stage.CANNER)
    if load.fault(kind) is None or not (early or kind in OTHER_NUMBERS):
        return Outcome(load)
    load = replace(load, faults=tuple(each for each in load.faults if each.kind != kind))
    if early and "canner_check" not in load.checked:
        load = replace(load, checked=(*load.checked, "canner_check"))
    if load.step == "failures" and load.undecided == 0:
        load = enter(load, Stage.KEEP)
    return Outcome(load, (Fact("gear_mended" if early else "fault_mended", load.id),))


def _acid_forgotten(kitchen: Kitchen, load: Load, event: Event) -> Outcome:
    """Take the report of logs that have no faults yet."""
    return _fault(kitchen, load, replace(event, data=MappingProxyType({**event.data, "fault": "acid"})))


FAULTS: Mapping[str, Callable[[Kitchen, Load, Event], Outcome]] = MappingProxyType(
    {"fault": _fault, "fault_mended": _mended, "acid_forgotten": _acid_forgotten}
)
"""What telling a fault does to its load."""
