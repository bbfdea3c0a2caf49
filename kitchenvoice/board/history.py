"""History of a hold: its reports, as a line of words and as a small plot. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from kitchenvoice.board.texts import Labels
from kitchenvoice.process import Event, Hold, Load, Stage

__all__ = ["HoldReading", "Plot", "plot_of", "readings_of"]

_REPORTS = frozenset({"pressure_is", "pressure_low", "weight_rocking", "boiling"})
_MOST_WORDS = 6
_MARGIN = 0.12
"""Room above and below the readings, as a share of the plot's height."""


@dataclass(frozen=True, slots=True)
class HoldReading:
    """A report of a hold at `t` (engine seconds): its pressure in psi, `None` for a weight or a boil."""

    t: float
    psi: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Readings and tries of a hold in a unit square; `x` is time, `y` pressure, downwards.

    `runs` are the tries that are over, `ahead` the one that counts, to its end; `drops` are the ends of those that were
    lost, `dots` the readings, `target` the height of the pressure wanted, `None` without a gauge. `words` tell it all.
    """

    words: str
    runs: tuple[tuple[float, float], ...]
    ahead: tuple[float, float] | None
    drops: tuple[float, ...]
    dots: tuple[tuple[float, float], ...]
    target: float | None


def readings_of(history: Iterable[Event]) -> Mapping[int, tuple[HoldReading, ...]]:
    """Return the reports of pressure, weight or boil by load, oldest first, those taken back left out."""
    events = tuple(history)
    scratched = {event.data.get("seq") for event in events if event.kind == "scratched"}
    found: dict[int, tuple[HoldReading, ...]] = {}
    for event in events:
        psi = event.data.get("pressure")
        reading = HoldReading(event.t, float(psi) if isinstance(psi, int | float) else None)
        if event.load is None or event.seq in scratched or event.kind not in _REPORTS:
            continue
        if reading.psi is not None or event.kind != "pressure_low":
            found[event.load] = (*found.get(event.load, ()), reading)
    return found


def plot_of(load: Load, readings: Iterable[HoldReading], labels: Labels) -> Plot | None:
    """Return the plot of a load at its hold, `None` before any."""
    if load.stage is not Stage.HOLD or not load.holds:
        return None
    begun_t = load.holds[0].started_t
    end_t = load.holds[-1].started_t + 60.0 * load.process.minutes
    seen = tuple(each for each in readings if begun_t <= each.t <= end_t)
    target = load.process.target_psi if load.process.is_dial else None
    heights = [each.psi for each in seen if each.psi is not None] if target is not None else []
    low, high = min([*heights, target or 0.0]) - 1.0, max([*heights, target or 0.0]) + 1.0

    def x(t: float) -> float:
        return (t - begun_t) / (end_t - begun_t)

    def y(psi: float | None) -> float:
        if target is None or psi is None:
            return 0.5
        return _MARGIN + (1.0 - 2.0 * _MARGIN) * (high - psi) / (high - low)

    return Plot(
        words=_words(load, seen, labels),
        runs=tuple((x(hold.started_t), x(hold.lost_t or end_t)) for hold in load.holds if not hold.running),
        ahead=(x(load.holds[-1].started_t), 1.0) if load.holding and not load.doubt else None,
        drops=tuple(x(hold.lost_t) for hold in load.holds if hold.lost_t is not None),
        dots=tuple((x(each.t), y(each.psi)) for each in seen if target is None or each.psi is not None),
        target=None if target is None else y(target),
    )


def _words(load: Load, seen: tuple[HoldReading, ...], labels: Labels) -> str:
    """List readings and losses in order; the same one several times over is counted, the oldest are left out."""
    ends = {each.t: each for each in seen if _ends_a_try(each, load)}
    told = [(each.t, 0, _reading(load, each, labels)) for each in seen if ends.get(each.t) is not each]
    lost = [(hold.lost_t, 1, _loss(hold, ends, labels)) for hold in load.holds if hold.lost_t is not None]
    grouped = [(words, len(list(group))) for words, group in groupby(words for _, _, words in sorted([*told, *lost]))]
    parts = [words if count == 1 else labels("history", "times", words=words, count=count) for words, count in grouped]
    return ", ".join(([labels("history", "more")] if len(parts) > _MOST_WORDS else []) + parts[-_MOST_WORDS:])


def _ends_a_try(reading: HoldReading, load: Load) -> bool:
    """True for a reading below the target at which a try was lost."""
    low = reading.psi is not None and reading.psi < (load.process.target_psi or 0.0)
    return low and any(hold.lost_t == reading.t for hold in load.holds)


def _reading(load: Load, reading: HoldReading, labels: Labels) -> str:
    if reading.psi is not None:
        return labels("facts", "psi", psi=f"{reading.psi:g}")
    kinds = {"bath": "boiling", "steam": "steady"}
    return labels("facts", kinds.get(load.process.watched, "rocking"))


def _loss(hold: Hold, ends: Mapping[float, HoldReading], labels: Labels) -> str:
    end = None if hold.lost_t is None else ends.get(hold.lost_t)
    if end is not None:
        return labels("history", "dropped", psi=f"{end.psi:g}")
    return labels("facts", f"lost_{hold.why}" if labels.has("facts", f"lost_{hold.why}") else "lost_doubt")
