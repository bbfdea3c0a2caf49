"""Counting: jars packed, loaded, broken, out, sealed, failed; what became of the failures; closing the load."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.ports import Event
from kitchenvoice.process import timing
from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Fault, Stage, Timer
from kitchenvoice.process.state import Kitchen
from kitchenvoice.process.steps import maybe_shut
from kitchenvoice.process.tools import Fact, Outcome, as_int, as_text, confirmed, enter, go_to

__all__ = ["COUNTING", "undecided"]


def _packed(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage is not Stage.PACK:
        return Outcome(load)
    packed = max(0, load.packed + as_int(event.data.get("count", 1)))
    load = go_to(replace(load, packed=packed), Stage.PACK, "packing")
    return Outcome(load, (Fact("packed", load.id, {"packed": packed}),))


def _jars_in(_: Kitchen, load: Load, event: Event) -> Outcome:
    if load.stage not in (Stage.PACK, Stage.CANNER):
        return Outcome(load)
    count = event.data.get("count")
    loaded = load.jars if count is None else as_int(count) + load.broken
    first = load.stage is Stage.PACK
    load = confirmed(replace(load, loaded=loaded), event)
    load = enter(load, Stage.CANNER) if first else load
    return Outcome(load, (Fact("jars_in", load.id, {"loaded": load.standing}),))


def _jar_broke(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Take a broken jar off the load. After the seal count it may be any jar, so that count is void."""
    count = as_int(event.data.get("count", 1))
    if load.stage is Stage.PACK:
        packed = max(0, load.packed - count)
        load = replace(load, packed=packed, broke_packing=load.broke_packing + count)
        return Outcome(load, (Fact("jar_broke_packing", load.id, {"count": count, "packed": load.packed}),))
    load = replace(load, broken=load.broken + min(count, load.standing), tally=(0, 0))
    if load.sealed is not None:
        load = go_to(replace(load, sealed=None, failed=None), Stage.COUNT, "seals")
    return Outcome(load, (Fact("jar_broke", load.id, {"count": count, "standing": load.standing}),))


def _liquid_lost(_: Kitchen, load: Load, event: Event) -> Outcome:
    count = as_int(event.data.get("count", 1))
    load = replace(load, low_liquid=min(load.standing, load.low_liquid + count))
    return Outcome(load, (Fact("liquid_lost", load.id, {"count": count}),))


def _jars_out(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Begin the rest; once it runs, a count of the jars corrects how many there are."""
    if load.given_up_t is not None:
        return Outcome(_closed(load), (Fact("given_up_out", load.id),))
    if load.processed_t is None:
        return Outcome(load)
    count = event.data.get("count")
    out = load.standing if count is None else as_int(count)
    load = replace(load, out=out, adjusted=load.adjusted + out - load.standing, lid_off=True)
    fact = Fact("jars_out", load.id, {"out": out})
    if load.stage is not Stage.COOL:
        return Outcome(_possible(replace(load, tally=(0, 0))), (fact,))
    low, _high = timing.rest_s()
    load = enter(load, Stage.REST).without_timer("settle", "bath_rest")
    return Outcome(load.with_timer(Timer(name="rest", started_t=event.t, seconds=low)), (fact,))


def _possible(load: Load) -> Load:
    """Void outcomes of more jars than there are, or than failed or are unfit by the count."""
    most = load.jars if load.failed is None else load.failed + load.unfit
    return load if load.decided <= most else replace(load, outcomes=MappingProxyType({}))


def _tally(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Add to a count that is taken jar by jar or by threes; it becomes the seal count only when it is complete.

    After the count it tells that the count isn't so: it is void until it is counted again.
    """
    if load.sealed is not None:
        void = replace(load, sealed=None, failed=None, tally=(0, 0))
        return Outcome(go_to(void, Stage.COUNT, "seals"), (Fact("count_void", load.id),))
    sealed, failed = load.tally
    sealed += as_int(event.data.get("sealed") or 0)
    failed += as_int(event.data.get("failed") or 0)
    load = replace(load, tally=(sealed, failed))
    left = load.standing - sealed - failed
    return Outcome(load, (Fact("tally", load.id, {"sealed": sealed, "failed": failed, "left": left}),))


def _seal_count(_: Kitchen, load: Load, event: Event) -> Outcome:
    """Take the whole count. A rest that isn't over goes on."""
    sealed, failed = as_int(event.data["sealed"]), as_int(event.data["failed"])
    load = _possible(replace(load, sealed=sealed, failed=failed, tally=(0, 0)))
    if load.undecided > 0:
        load = go_to(load, Stage.COUNT, "failures")
    else:
        load = enter(load.without_timer("window"), Stage.KEEP)
    return Outcome(load, (Fact("seals_counted", load.id, {"sealed": sealed, "failed": failed}),))


def undecided(load: Load, outcome: str) -> int:
    """Return the number of jars open to this outcome; without a failed one, sealed jars are, but for reprocessing."""
    if load.undecided or load.failed or load.unfit or outcome == "reprocess":
        return load.undecided
    return load.shelved


def _jar_outcome(_: Kitchen, load: Load, event: Event) -> Outcome:
    outcome = as_text(event.data["outcome"])
    count = min(as_int(event.data.get("count", 1)), undecided(load, outcome))
    if count <= 0:
        return Outcome(load)
    outcomes = {**load.outcomes, outcome: load.outcomes.get(outcome, 0) + count}
    load = replace(load, outcomes=MappingProxyType(outcomes))
    if load.undecided == 0:
        load = enter(load.without_timer("window"), Stage.KEEP)
    return Outcome(load, (Fact("outcome", load.id, {"outcome": outcome, "count": count, "left": load.undecided}),))


def _load_close(_: Kitchen, load: Load, __: Event) -> Outcome:
    load = _closed(load)
    return Outcome(load, (Fact("load_closed", load.id, {"sealed": load.shelved}),))


def _closed(load: Load) -> Load:
    return replace(load, stage=Stage.CLOSED, step="", timers=(), doubts=(), kept=())


def _load_given_up(_: Kitchen, load: Load, event: Event) -> Outcome:
    """End a load at any stage; the uncounted stays uncounted, and an open doubt counts as not held.

    Said at the stove (`canner`), a canner that may be under pressure is led to its opening first.
    """
    hold = load.hold
    if hold is not None and hold.running:
        load = replace(load, holds=(*load.holds[:-1], replace(hold, lost_t=event.t, why="given_up")))
    if event.data.get("canner") is not True or not _may_be_under_pressure(load):
        if load.stands and (load.doubt or load.kept):
            load = replace(load, faults=(*load.faults, Fault(kind="short", t=event.t)))
        return Outcome(_closed(load), (Fact("load_abandoned", load.id),))
    wait = tuple(timer for timer in load.timers if timer.name == "settle")
    load = replace(load, given_up_t=event.t, doubts=(), faults=(), timers=wait)
    if load.stage is not Stage.COOL:
        load = go_to(replace(load, cooling_t=event.t), Stage.COOL, "to_zero" if load.heat_off else "off")
    return Outcome(load, (Fact("given_up_hot", load.id),))


def _may_be_under_pressure(load: Load) -> bool:
    """True if a canner may be shut, its weight on: in a vent once it was called for, or a fault was told."""
    vent = load.stage is Stage.VENT and (maybe_shut(load) or load.step in ("weight", "mend"))
    shut = vent or load.stage in (Stage.COME_UP, Stage.HOLD, Stage.COOL)
    return load.process.is_pressure and shut and not load.lid_off


COUNTING: Mapping[str, Callable[[Kitchen, Load, Event], Outcome]] = MappingProxyType(
    {
        "packed": _packed,
        "jars_in": _jars_in,
        "jar_broke": _jar_broke,
        "liquid_lost": _liquid_lost,
        "jars_out": _jars_out,
        "tally": _tally,
        "seal_count": _seal_count,
        "jar_outcome": _jar_outcome,
        "load_close": _load_close,
        "load_given_up": _load_given_up,
    }
)
"""What each count does to its load."""
