"""Two plain charts as SVG that stands inside a page: stacked bars by month, and rates with their intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

__all__ = ["MONTHS", "bars_by_month", "rates"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_COLOURS = ("#2f5d62", "#d1793b", "#7a9e3f", "#8c4a7c", "#c9a227", "#4a7fb5", "#a34036", "#5f5f5f")
_WIDTH, _HEIGHT, _LEFT, _BASE = 720, 260, 50, 220
_ROW, _NAME = 26, 200


def _svg(height: int, title: str, body: Sequence[str]) -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" role="img">'
    return f"{head}<title>{escape(title)}</title>{''.join(body)}</svg>"


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def bars_by_month(title: str, series: Mapping[str, Mapping[int, int]]) -> str:
    """Draw a bar for each month, its parts stacked in the order of `series`; the total stands above it."""
    totals = [sum(values.get(month, 0) for values in series.values()) for month in range(1, 13)]
    top = max([*totals, 1])
    step, body = (_WIDTH - _LEFT) / 12, []
    for month, total in enumerate(totals, 1):
        x, y = _LEFT + (month - 1) * step, float(_BASE)
        for number, (name, values) in enumerate(series.items()):
            height = values.get(month, 0) / top * (_BASE - 30)
            if height:
                y -= height
                shape = f'x="{x + 6:.1f}" y="{y:.1f}" width="{step - 12:.1f}" height="{height:.1f}"'
                hint = f"<title>{escape(f'{name}, {MONTHS[month - 1]}: {values[month]}')}</title>"
                body.append(f'<rect {shape} fill="{_COLOURS[number % len(_COLOURS)]}">{hint}</rect>')
        body.append(_text(x + step / 2, _BASE + 18, MONTHS[month - 1], "middle"))
        if total:
            body.append(_text(x + step / 2, y - 5, str(total), "middle"))
    body.append(f'<line x1="{_LEFT}" y1="{_BASE}" x2="{_WIDTH}" y2="{_BASE}" stroke="#444"/>')
    for number, name in enumerate(series):
        x, y = 10 + number % 4 * 178, _HEIGHT + 8 + number // 4 * 20
        body.append(f'<rect x="{x}" y="{y}" width="12" height="12" fill="{_COLOURS[number % len(_COLOURS)]}"/>')
        body.append(_text(x + 18, y + 11, name[:24]))
    return _svg(_HEIGHT + 20 + (len(series) + 3) // 4 * 20, title, body)


def rates(title: str, rows: Sequence[tuple[str, float, tuple[float, float], str]]) -> str:
    """Draw rates 0..1 as points with their intervals as lines: (name, rate, interval, words at the end) a row."""
    left, right = _NAME + 10, _WIDTH - 130

    def x(share: float) -> float:
        return left + share * (right - left)

    body = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        ends = f'y1="4" x2="{x(share):.1f}" y2="{_ROW * len(rows) + 4}"'
        body.append(f'<line x1="{x(share):.1f}" {ends} stroke="#ddd"/>')
        body.append(_text(x(share), _ROW * len(rows) + 22, f"{share:.0%}", "middle"))
    for number, (name, share, (low, high), words) in enumerate(rows):
        y = _ROW * number + 20.0
        body.append(_text(_NAME, y + 4, name[:28], "end"))
        body.append(f'<line x1="{x(low):.1f}" y1="{y}" x2="{x(high):.1f}" y2="{y}" stroke="#2f5d62" stroke-width="3"/>')
        body.append(f'<circle cx="{x(share):.1f}" cy="{y}" r="5" fill="#d1793b"/>')
        body.append(_text(right + 10, y + 4, words))
    return _svg(_ROW * len(rows) + 30, title, body)
