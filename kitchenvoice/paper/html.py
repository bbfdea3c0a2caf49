"""A report as one self-contained HTML page: no scripts, no network, charts as inline SVG."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from string import Template

from kitchenvoice.paper.blocks import PagePart, Section, SmallPrint, Table
from kitchenvoice.paper.charts import WIDTH, Box, Chart, ChartLine, Dot, Text

__all__ = ["html_page", "svg"]

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>$title</title>
<style>
body { font: 17px/1.5 Georgia, serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; color: #222; }
h1, h2 { font-weight: normal; color: #2f5d62; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid #ddd; }
td.n, th.n { text-align: right; }
svg { width: 100%; height: auto; margin: .5rem 0; } svg text { font: 13px sans-serif; }
.note { color: #555; font-size: .9em; }
@media print { body { margin: 0; max-width: none; } h2 { break-after: avoid; } svg, table { break-inside: avoid; } }
</style>
</head>
<body>
<h1>$title</h1>
$body
</body>
</html>
""")


def html_page(title: str, sections: Sequence[Section]) -> str:
    """Return the page. All text from the record is escaped."""
    parts = []
    for section in sections:
        parts += [f"<h2>{escape(section.title)}</h2>"] if section.title else []
        parts += [_block(block) for block in section.blocks]
    body = "".join(letter for letter in "\n".join(parts) if letter == "\n" or letter.isprintable())
    return _PAGE.substitute(title=escape(title), body=body)


def _block(block: PagePart) -> str:
    if isinstance(block, Chart):
        return svg(block)
    if isinstance(block, Table):
        rows = "".join(_row(cells, "td", cells) for cells in block.rows)
        first = block.rows[0] if block.rows else block.heads
        heads = _row(block.heads, "th", first) if block.heads else ""
        return f"<table>{heads}{rows}</table>"
    if isinstance(block, SmallPrint):
        return f'<p class="note">{escape(block.words)}</p>'
    return f"<p>{escape(block)}</p>"


def _row(cells: Sequence[str | int], tag: str, like: Sequence[str | int]) -> str:
    """Write a row; headings and words in a column of numbers are aligned like them."""
    parts = []
    for cell, below in zip(cells, like, strict=True):
        kind = ' class="n"' if isinstance(below, int) else ""
        parts.append(f"<{tag}{kind}>{escape(str(cell))}</{tag}>")
    return f"<tr>{''.join(parts)}</tr>"


def svg(chart: Chart) -> str:
    """Draw a chart as inline SVG."""
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {chart.height:g}" role="img">'
    return f"{head}<title>{escape(chart.title)}</title>{''.join(map(_shape, chart.shapes))}</svg>"


def _shape(shape: Box | ChartLine | Dot | Text) -> str:
    if isinstance(shape, Box):
        place = f'x="{shape.x:.1f}" y="{shape.y:.1f}" width="{shape.width:.1f}" height="{shape.height:.1f}"'
        hint = f"<title>{escape(shape.hint)}</title>" if shape.hint else ""
        return f'<rect {place} fill="{shape.colour}">{hint}</rect>'
    if isinstance(shape, ChartLine):
        ends = f'x1="{shape.x1:.1f}" y1="{shape.y1:.1f}" x2="{shape.x2:.1f}" y2="{shape.y2:.1f}"'
        return f'<line {ends} stroke="{shape.colour}" stroke-width="{shape.width:g}"/>'
    if isinstance(shape, Dot):
        return f'<circle cx="{shape.x:.1f}" cy="{shape.y:.1f}" r="5" fill="{shape.colour}"/>'
    return f'<text x="{shape.x:.1f}" y="{shape.y:.1f}" text-anchor="{shape.anchor}">{escape(shape.words)}</text>'
