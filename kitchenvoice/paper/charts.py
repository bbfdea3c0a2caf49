"""Two plain charts as shapes, independent of the renderer: stacked bars by month, and points with error bars.

Lengths are in units of a chart 720 wide; `y` grows downwards.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import shorten
from typing import NamedTuple

__all__ = ["MONTHS", "WIDTH", "Box", "Chart", "ChartLine", "Dot", "Row", "Text", "bars_by_month", "percent", "points"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WIDTH = 720
_COLOURS = ("#2f5d62", "#d1793b", "#7a9e3f", "#8c4a7c", "#c9a227", "#4a7fb5", "#a34036", "#5f5f5f")
_HEIGHT, _LEFT, _BASE = 260, 50, 220
_ROW, _NAME = 26, 200


class Box(NamedTuple):
    """A filled rectangle by its upper left corner; `hint` is its tooltip."""

    x: float
    y: float
    width: float
    height: float
    colour: str
    hint: str = ""


class ChartLine(NamedTuple):
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str
    width: float = 1.0


class Dot(NamedTuple):
    """A filled circle of radius 5."""

    x: float
    y: float
    colour: str


class Text(NamedTuple):
    """Words on the baseline `y`; `anchor` is start, middle or end."""

    x: float
    y: float
    words: str
    anchor: str = "start"


@dataclass
class Chart:
    """A chart: title, height, and shapes in drawing order."""

    title: str
    height: float
    shapes: list[Box | ChartLine | Dot | Text] = field(default_factory=list)


class Row(NamedTuple):
    """One line of `points`: its name, the point (`None` for none), its error bar, and words at the end."""

    name: str
    point: float | None
    span: tuple[float, float] | None
    words: str


def percent(share: float) -> str:
    """Write a share in whole percent."""
    return f"{share:.0%}"


def bars_by_month(title: str, series: Mapping[str, Mapping[int, int]]) -> Chart:
    """Draw a bar for each month, stacked in the order of `series`, with the total above it."""
    chart = Chart(title, _HEIGHT + 20 + (len(series) + 3) // 4 * 20)
    totals = [sum(values.get(month, 0) for values in series.values()) for month in range(1, 13)]
    top, step, add = max([*totals, 1]), (WIDTH - _LEFT) / 12, chart.shapes.append
    for month, total in enumerate(totals, 1):
        x, y = _LEFT + (month - 1) * step, float(_BASE)
        for number, (name, values) in enumerate(series.items()):
            height = values.get(month, 0) / top * (_BASE - 30)
            if height:
                y -= height
                hint = f"{name}, {MONTHS[month - 1]}: {values[month]}"
                add(Box(x + 6, y, step - 12, height, _COLOURS[number % len(_COLOURS)], hint))
        add(Text(x + step / 2, _BASE + 18, MONTHS[month - 1], "middle"))
        if total:
            add(Text(x + step / 2, y - 5, str(total), "middle"))
    add(ChartLine(_LEFT, _BASE, WIDTH, _BASE, "#444444"))
    for number, name in enumerate(series):
        x, y = 10 + number % 4 * 178, _HEIGHT + 8 + number // 4 * 20
        add(Box(x, y, 12, 12, _COLOURS[number % len(_COLOURS)]))
        add(Text(x + 18, y + 11, shorten(name, 24, placeholder=" …")))
    return chart


def points(
    title: str, rows: Sequence[Row], top: float = 1.0, label: Callable[[float], str] = percent, name_width: int = 28
) -> Chart:
    """Draw points from 0 to `top` with error bars, one a row; `label` formats a value of the axis."""
    chart = Chart(title, _ROW * len(rows) + 30)
    left, right, add = _NAME + 10, WIDTH - 130, chart.shapes.append

    def x(value: float) -> float:
        return left + value / top * (right - left)

    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        add(ChartLine(x(share * top), 4, x(share * top), _ROW * len(rows) + 4, "#dddddd"))
        add(Text(x(share * top), _ROW * len(rows) + 22, label(share * top), "middle"))
    for number, row in enumerate(rows):
        y = _ROW * number + 20.0
        add(Text(_NAME, y + 4, shorten(row.name, name_width, placeholder=" …"), "end"))
        if row.span is not None:
            add(ChartLine(x(row.span[0]), y, x(row.span[1]), y, "#2f5d62", 3))
        if row.point is not None:
            add(Dot(x(row.point), y, "#d1793b"))
        add(Text(right + 10, y + 4, row.words))
    return chart
