"""The two plots of the report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from matplotlib import rc_context
from matplotlib.figure import Figure

from bench.stats import wilson
from bench.summary import Tally

__all__ = ["accuracy_plot", "curve_plot"]

_LOOKS = (("o", "-"), ("s", "--"), ("^", "-."), ("D", ":"), ("v", "-"), ("x", "--"))


def accuracy_plot(lines: Mapping[str, Mapping[str, Tally]], file: Path) -> None:
    """Draw the share understood right against the condition, with 95 % intervals, one line for each ear."""
    figure = Figure(figsize=(8.0, 4.2))
    axes = figure.subplots()
    places = list(dict.fromkeys(condition for line in lines.values() for condition in line))
    for number, (name, line) in enumerate(lines.items()):
        marker, dash = _LOOKS[number % len(_LOOKS)]
        x = [places.index(condition) + 0.06 * (number - len(lines) / 2) for condition in line]
        y = [100.0 * t.right / t.n for t in line.values()]
        bounds = [wilson(t.right, t.n) for t in line.values()]
        low = [max(0.0, v - 100.0 * b[0]) for v, b in zip(y, bounds, strict=True)]
        high = [max(0.0, 100.0 * b[1] - v) for v, b in zip(y, bounds, strict=True)]
        axes.errorbar(x, y, yerr=[low, high], marker=marker, linestyle=dash, capsize=2, label=name)
    axes.set_xticks(range(len(places)), places, rotation=30, ha="right")
    axes.set_ylabel("intent and every slot right, %")
    axes.set_ylim(0, 102)
    axes.grid(axis="y", alpha=0.4)
    axes.legend(fontsize=8)
    _save(figure, file)


def curve_plot(curves: Mapping[str, Sequence[tuple[float, float]]], file: Path) -> None:
    """Plot miss rate against false accepts an hour, one line for each threshold varied."""
    figure = Figure(figsize=(6.4, 4.2))
    axes = figure.subplots()
    for number, (name, points) in enumerate(curves.items()):
        marker, dash = _LOOKS[number % len(_LOOKS)]
        axes.plot([p[0] for p in points], [100.0 * p[1] for p in points], marker=marker, linestyle=dash, label=name)
    axes.set_xlabel("other talk accepted, an hour")
    axes.set_ylabel("commands missed, %")
    axes.set_xscale("symlog", linthresh=0.5)
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    axes.grid(alpha=0.4)
    axes.legend(fontsize=8)
    _save(figure, file)


def _save(figure: Figure, file: Path) -> None:
    figure.tight_layout()
    with rc_context({"svg.hashsalt": "kitchenvoice"}):
        figure.savefig(file, format="svg", metadata={"Date": None})
