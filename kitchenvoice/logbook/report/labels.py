"""Jar labels as a PDF, on common label sheets given in millimetres.

The sheets are plain grids; the sizes are common practice, no source. Print at actual size (no "fit to page").
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from types import MappingProxyType

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from kitchenvoice.logbook.report.records import LoadRecord
from kitchenvoice.logbook.report.use_first import best_until
from kitchenvoice.paper.pdf import PAPERS, drawable

__all__ = ["SHEETS", "Sheet", "label_lines", "labels_pdf", "places"]

_INSET_MM = 3.0
_BOLD, _PLAIN = "Helvetica-Bold", "Helvetica"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One kind of label sheet, all in millimetres: page, grid, label, the first label's corner, pitch of the grid."""

    page: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    corner: tuple[float, float]
    pitch: tuple[float, float]

    @property
    def each(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows


_A4, _LETTER = PAPERS["a4"], PAPERS["letter"]

SHEETS: Mapping[str, Sheet] = MappingProxyType(
    {
        "a4-70x37": Sheet(_A4, 3, 8, (70.0, 37.0), (0.0, 0.5), (70.0, 37.0)),
        "a4-99x38": Sheet(_A4, 2, 7, (99.1, 38.1), (4.7, 15.1), (101.6, 38.1)),
        "a4-64x34": Sheet(_A4, 3, 8, (64.0, 33.9), (7.2, 12.9), (66.0, 33.9)),
        "letter-67x25": Sheet(_LETTER, 3, 10, (66.7, 25.4), (4.8, 12.7), (69.85, 25.4)),
        "letter-102x51": Sheet(_LETTER, 2, 5, (101.6, 50.8), (4.0, 12.7), (106.3, 50.8)),
    }
)
"""The sheets by name: paper, then width and height of a label in millimetres."""


def places(sheet: Sheet, count: int, skip: int = 0) -> Iterator[tuple[int, float, float]]:
    """Yield (page, left, top) in millimetres for so many labels, skipping the first `skip` of the first page."""
    for number in range(skip, skip + count):
        page, place = divmod(number, sheet.each)
        row, column = divmod(place, sheet.columns)
        yield page, sheet.corner[0] + column * sheet.pitch[0], sheet.corner[1] + row * sheet.pitch[1]


def label_lines(load: LoadRecord) -> tuple[str, ...]:
    """Return the lines of a label: food, date packed, process, load, best-by date."""
    psi = f" at {load.psi:g} pounds" if load.psi else ""
    packed = datetime.fromtimestamp(load.opened_t).astimezone()
    until = datetime.fromtimestamp(best_until(load.opened_t)).astimezone()
    lines = (
        drawable(load.food_name[:1].upper() + load.food_name[1:]),
        f"Packed {packed.day} {packed:%B %Y}",
        drawable(f"{load.jar}, {load.pack} pack, {load.minutes:g} minutes{psi}"),
        f"Load {load.load}   Best before {until:%B %Y}",
    )
    return (*lines, drawable(f"Doubted: {load.doubts}")) if load.doubts else lines


def labels_pdf(loads: Iterable[tuple[LoadRecord, int]], sheet: Sheet, skip: int = 0) -> tuple[bytes, int]:
    """Return a PDF with so many labels for each load, and their total number."""
    texts = [lines for load, count in loads for lines in [label_lines(load)] * count]
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(sheet.page[0] * mm, sheet.page[1] * mm), invariant=1)
    canvas.setTitle("Jar labels")
    canvas.setViewerPreference("PrintScaling", "None")
    page = 0
    for lines, (on, left, top) in zip(texts, places(sheet, len(texts), skip), strict=True):
        if on != page:
            canvas.showPage()
            page = on
        _draw(canvas, sheet, lines, left, top)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue(), len(texts)


def _draw(canvas: Canvas, sheet: Sheet, lines: tuple[str, ...], left: float, top: float) -> None:
    width = (sheet.label[0] - 2 * _INSET_MM) * mm
    height = (sheet.label[1] - 2 * _INSET_MM) * mm
    step = height / (len(lines) + 0.6)
    x, y = (left + _INSET_MM) * mm, (sheet.page[1] - top - _INSET_MM) * mm
    for number, line in enumerate(lines):
        font = _PLAIN if number else _BOLD
        wanted = min(step * (0.72 if number else 1.25), 22.0)
        size = _fitting(line, font, wanted, width)
        y -= step * (1.0 if number else 1.5)
        canvas.setFont(font, size)
        canvas.drawString(x, y + step * 0.2, _cut(line, font, size, width))


def _fitting(line: str, font: str, wanted: float, width: float) -> float:
    needed = stringWidth(line, font, wanted)
    return max(5.0, wanted if needed <= width else wanted * width / needed)


def _cut(line: str, font: str, size: float, width: float) -> str:
    while line and stringWidth(line, font, size) > width:
        line = line[:-1]
    return line
