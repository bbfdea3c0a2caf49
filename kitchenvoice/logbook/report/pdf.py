"""A report as a PDF on A4 or US letter paper, in the standard fonts of every PDF reader."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from io import BytesIO

from reportlab.graphics.shapes import Circle, Drawing, Rect, String
from reportlab.graphics.shapes import Line as Stroke
from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate
from reportlab.platypus import Table as Grid

from kitchenvoice.logbook.report.charts import WIDTH, Box, Chart, ChartLine, Dot, Text
from kitchenvoice.logbook.report.sections import Block, ReportNote, Section, Table

__all__ = ["PAPERS", "drawable", "pdf_sheets"]

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in millimetres (ISO 216; ANSI/ASME Y14.1, both from memory)."""

_MARGIN_MM = 18.0
_GREEN, _GREY = HexColor("#2f5d62"), HexColor("#dddddd")
_BODY = ParagraphStyle("body", fontName="Times-Roman", fontSize=11, leading=15, spaceAfter=6)
_SMALL = ParagraphStyle("small", _BODY, fontSize=9, leading=12, textColor=HexColor("#555555"))
_TITLE = ParagraphStyle("title", _BODY, fontSize=20, leading=26, textColor=_GREEN)
_HEAD = ParagraphStyle("head", _BODY, fontSize=14, leading=20, spaceBefore=8, textColor=_GREEN)
_CELL = ParagraphStyle("cell", _BODY, fontSize=10, leading=12, spaceAfter=0)
_NUMBER = ParagraphStyle("number", _CELL, alignment=2)


def drawable(text: str) -> str:
    """Return the text in characters of the standard fonts."""
    shown = "".join(letter for letter in text if letter.isprintable())
    return shown.encode("cp1252", "replace").decode("cp1252")


def pdf_sheets(title: str, sections: Sequence[Section], paper: str = "a4") -> bytes:
    """Return the report as a PDF on one of `PAPERS`."""
    size = (PAPERS[paper][0] * mm, PAPERS[paper][1] * mm)
    width = size[0] - 2 * _MARGIN_MM * mm
    flow: list[Flowable] = [_words(title, _TITLE)]
    for section in sections:
        blocks = [_block(block, width) for block in section.blocks]
        if section.title:  # a heading never stays alone at the foot of a page, nor with a sentence about a chart
            first = 2 if any(isinstance(block, Chart) for block in section.blocks[1:2]) else 1
            flow.append(KeepTogether([_words(section.title, _HEAD), *blocks[:first]]))
            blocks = blocks[first:]
        flow += blocks
    buffer = BytesIO()
    margins = dict.fromkeys(("leftMargin", "rightMargin", "topMargin", "bottomMargin"), _MARGIN_MM * mm)
    document = SimpleDocTemplate(buffer, pagesize=size, title=drawable(title), invariant=1, **margins)
    document.build(flow)
    return buffer.getvalue()


def _words(text: str, style: ParagraphStyle) -> Paragraph:
    return Paragraph(escape(drawable(text), quote=False), style)


def _block(block: Block, width: float) -> Flowable:
    if isinstance(block, Chart):
        return _drawing(block, width)
    if isinstance(block, Table):
        return _grid(block, width)
    if isinstance(block, ReportNote):
        return _words(block.words, _SMALL)
    return _words(block, _BODY)


def _grid(table: Table, width: float) -> Flowable:
    rows = [[_words(str(cell), _NUMBER if isinstance(cell, int) else _CELL) for cell in row] for row in table.rows]
    narrow = [all(isinstance(row[place], int) for row in table.rows) for place in range(len(table.heads))]
    heads = [_words(head, _NUMBER if small else _CELL) for head, small in zip(table.heads, narrow, strict=True)]
    small = width / (len(narrow) + sum(1 for each in narrow if not each))
    widths = [small if each else 2 * small for each in narrow]
    line = [("LINEBELOW", (0, 0), (-1, -1), 0.5, _GREY)]
    return Grid([heads, *rows], colWidths=widths, repeatRows=1, style=line, spaceAfter=6)


def _drawing(chart: Chart, width: float) -> Drawing:
    """Draw a chart: the same shapes as on the page, mirrored because PDF's y axis points up."""
    scale = width / WIDTH
    drawing = Drawing(width, chart.height * scale)
    drawing.scale(scale, scale)
    for shape in chart.shapes:
        drawing.add(_shape(shape, chart.height))
    return drawing


def _shape(shape: Box | ChartLine | Dot | Text, top: float) -> Rect | Stroke | Circle | String:
    if isinstance(shape, Box):
        colour = HexColor(shape.colour)
        return Rect(
            shape.x, top - shape.y - shape.height, shape.width, shape.height, fillColor=colour, strokeColor=None
        )
    if isinstance(shape, ChartLine):
        ends = (shape.x1, top - shape.y1, shape.x2, top - shape.y2)
        return Stroke(*ends, strokeColor=HexColor(shape.colour), strokeWidth=shape.width)
    if isinstance(shape, Dot):
        return Circle(shape.x, top - shape.y, 5, fillColor=HexColor(shape.colour), strokeColor=None)
    words = drawable(shape.words)
    return String(shape.x, top - shape.y, words, fontName="Helvetica", fontSize=13, textAnchor=shape.anchor)
