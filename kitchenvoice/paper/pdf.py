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
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Paragraph, SimpleDocTemplate
from reportlab.platypus import Table as Grid

from kitchenvoice.paper.blocks import PagePart, Section, SmallPrint, Table
from kitchenvoice.paper.charts import WIDTH, Box, Chart, ChartLine, Dot, Text

__all__ = ["PAPERS", "drawable", "pdf_sheets"]

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in millimetres (ISO 216; ANSI/ASME Y14.1, both from memory)."""

_MARGIN_MM = 14.0
_LEAST_BELOW_MM = 35.0
"""Room for a heading with the first lines below it."""
_WHOLE_MM = 125.0
"""A section up to half a page high isn't broken: it goes to the next page whole, but leaves no more blank than this:"""
_MOST_BLANK_MM = 70.0
_PADDING = (3.0, 1.5)
"""Above and below a line of a table, in points: the second where it saves a page filled so far at most:"""
_FEW_LINES = 0.25
_GREEN, _GREY = HexColor("#2f5d62"), HexColor("#dddddd")
_BODY = ParagraphStyle("body", fontName="Times-Roman", fontSize=11, leading=15, spaceAfter=6)
_SMALL = ParagraphStyle("small", _BODY, fontSize=9, leading=12, allowWidows=0, textColor=HexColor("#555555"))
_TITLE = ParagraphStyle("title", _BODY, fontSize=20, leading=26, textColor=_GREEN)
_HEAD = ParagraphStyle("head", _BODY, fontSize=14, leading=20, spaceBefore=8, textColor=_GREEN)
_CELL = ParagraphStyle("cell", _BODY, fontSize=10, leading=12, spaceAfter=0)
_NUMBER = ParagraphStyle("number", _CELL, alignment=2)
_CELL_HEAD = ParagraphStyle("cell head", _CELL, fontName="Times-Bold")
_NUMBER_HEAD = ParagraphStyle("number head", _CELL_HEAD, alignment=2)


def drawable(text: str) -> str:
    """Return the text in characters of the standard fonts."""
    shown = "".join(letter for letter in text if letter.isprintable())
    return shown.encode("cp1252", "replace").decode("cp1252")


def pdf_sheets(title: str, sections: Sequence[Section], paper: str = "a4") -> bytes:
    """Return the report as a PDF on one of `PAPERS`."""
    size = (PAPERS[paper][0] * mm, PAPERS[paper][1] * mm)
    width = size[0] - 2 * _MARGIN_MM * mm
    wide, close = _PADDING
    pages, filled, content = _pages(title, _flow(title, sections, width, wide), size)
    if pages > 1 and filled < _FEW_LINES:
        fewer, _, closer = _pages(title, _flow(title, sections, width, close), size)
        content = closer if fewer < pages else content
    return content


def _flow(title: str, sections: Sequence[Section], width: float, padding: float) -> list[Flowable]:
    flow: list[Flowable] = [_words(title, _TITLE)]
    for section in sections:
        blocks = [_block(block, width, padding) for block in section.blocks]
        chart = next((place for place, block in enumerate(section.blocks[:2]) if isinstance(block, Chart)), -1)
        heading = [_words(section.title, _HEAD)] if section.title else []
        # a heading never stays alone at the foot of a page: all that may be broken goes on below it
        parts: list[Flowable] = [CondPageBreak(_LEAST_BELOW_MM * mm)] if heading else []
        parts += [KeepTogether([*heading, *blocks[: chart + 1]]), *blocks[chart + 1 :]]
        short = sum(each.wrap(width, PAPERS["a4"][1] * mm)[1] for each in blocks) <= _WHOLE_MM * mm
        flow += [_Whole([*heading, *blocks], parts)] if short else parts
    return flow


def _pages(title: str, flow: list[Flowable], size: tuple[float, float]) -> tuple[int, float, bytes]:
    """Return the number of pages, the part of the last that is filled, and the PDF."""
    buffer = BytesIO()
    margins = dict.fromkeys(("leftMargin", "rightMargin", "topMargin", "bottomMargin"), _MARGIN_MM * mm)
    document = SimpleDocTemplate(buffer, pagesize=size, title=drawable(title), invariant=1, **margins)
    document.build(flow)
    return document.page, 1 - document.frame._y / size[1], buffer.getvalue()


class _Whole(KeepTogether):  # type: ignore[misc]  # reportlab has no types
    """A section that isn't broken unless too much of the page would stay blank; then its parts go on below."""

    def __init__(self, blocks: list[Flowable], parts: list[Flowable]) -> None:
        super().__init__(blocks)
        self._parts = parts

    def split(self, width: float, height: float) -> list[Flowable]:
        """Split the element at the page's end; the page builder expects an empty first part."""
        first, *blocks = super().split(width, height)
        breaks = self._H > height > _MOST_BLANK_MM * mm
        return [self.NullActionFlowable(), *self._parts] if breaks else [first, *blocks]


def _words(text: str, style: ParagraphStyle) -> Paragraph:
    return Paragraph(escape(drawable(text), quote=False), style)


def _block(block: PagePart, width: float, padding: float) -> Flowable:
    if isinstance(block, Chart):
        return _drawing(block, width)
    if isinstance(block, Table):
        return _grid(block, width, padding)
    if isinstance(block, SmallPrint):
        return _words(block.words, _SMALL)
    return _words(block, _BODY)


def _grid(table: Table, width: float, padding: float) -> Flowable:
    columns = range(len(table.rows[0]) if table.rows else len(table.heads))
    right = [bool(table.rows) and all(isinstance(row[place], int) for row in table.rows) for place in columns]
    rows = [[_words(str(cell), _NUMBER if isinstance(cell, int) else _CELL) for cell in row] for row in table.rows]
    if table.heads:
        heads = zip(table.heads, right, strict=True)
        rows.insert(0, [_words(head, _NUMBER_HEAD if number else _CELL_HEAD) for head, number in heads])
    shares = table.shares or tuple(1.0 if number else 2.0 for number in right)
    widths = [width * share / sum(shares) for share in shares]
    line = [("LINEBELOW", (0, 0), (-1, -1), 0.5, _GREY), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    line += [(f"{side}PADDING", (0, 0), (-1, -1), padding) for side in ("TOP", "BOTTOM")]
    return Grid(rows, colWidths=widths, repeatRows=1 if table.heads else 0, style=line, spaceAfter=6)


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
