"""Jar labels as a PDF, on common label sheets given in millimetres.

The sheets are plain grids; the sizes are common practice, no source. Print at actual size (no "fit to page").
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
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
from kitchenvoice.paper.text import date_of

__all__ = [
    "SHEETS",
    "LabelSheet",
    "Type",
    "label_lines",
    "labels_pdf",
    "places",
    "text_corner",
    "type_for",
    "usual_sheet",
]

_INSET_MM = 3.0
_UNPRINTED_MM = 6.4
"""Edge of the paper on which a home printer prints nothing, a quarter inch at most. Common practice, no source."""
_LEAST_PT = 7.0
_BOLD, _PLAIN = "Helvetica-Bold", "Helvetica"


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """One kind of label sheet, all in millimetres: page, grid, label, the first label's corner, pitch of the grid."""

    page: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    corner: tuple[float, float]
    pitch: tuple[float, float]

    @property
    def text(self) -> tuple[float, float]:
        """Width and height of the text, in millimetres: what is printed of every label on the page."""
        across, down = (
            min(self._end(way, number) - self._begin(way, number) for number in range(count))
            for way, count in enumerate((self.columns, self.rows))
        )
        return across, down

    def _begin(self, way: int, number: int) -> float:
        return max(self.corner[way] + number * self.pitch[way] + _INSET_MM, _UNPRINTED_MM)

    def _end(self, way: int, number: int) -> float:
        label = self.corner[way] + number * self.pitch[way] + self.label[way]
        return min(label - _INSET_MM, self.page[way] - _UNPRINTED_MM)

    @property
    def each(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows


_A4, _LETTER = PAPERS["a4"], PAPERS["letter"]

SHEETS: Mapping[str, LabelSheet] = MappingProxyType(
    {
        "a4-70x37": LabelSheet(_A4, 3, 8, (70.0, 37.0), (0.0, 0.5), (70.0, 37.0)),
        "a4-99x38": LabelSheet(_A4, 2, 7, (99.1, 38.1), (4.7, 15.1), (101.6, 38.1)),
        "a4-64x34": LabelSheet(_A4, 3, 8, (64.0, 33.9), (7.2, 12.9), (66.0, 33.9)),
        "letter-67x25": LabelSheet(_LETTER, 3, 10, (66.7, 25.4), (4.8, 12.7), (69.85, 25.4)),
        "letter-102x51": LabelSheet(_LETTER, 2, 5, (101.6, 50.8), (4.0, 12.7), (106.3, 50.8)),
    }
)
"""The sheets by name: paper, then width and height of a label in millimetres."""


def usual_sheet(paper: str) -> str:
    """Return the name of the sheet that is taken for a paper."""
    return next(name for name in SHEETS if name.startswith(paper))


def places(sheet: LabelSheet, count: int, skip: int = 0) -> Iterator[tuple[int, float, float]]:
    """Yield (page, left, top) in millimetres for so many labels, skipping the first `skip` of the first page."""
    for number in range(skip, skip + count):
        page, place = divmod(number, sheet.each)
        row, column = divmod(place, sheet.columns)
        yield page, sheet.corner[0] + column * sheet.pitch[0], sheet.corner[1] + row * sheet.pitch[1]


def label_lines(load: LoadRecord, hours: int) -> tuple[str, ...]:
    """Return the lines of a label: food, date packed, process, load, best-by date; a day has 12 hours twice, or 24."""
    psi = f" at {load.psi:g} pounds" if load.psi else ""
    packed = datetime.fromtimestamp(load.opened_t).astimezone()
    until = datetime.fromtimestamp(best_until(load.opened_t)).astimezone()
    lines = (
        drawable(load.food_name[:1].upper() + load.food_name[1:]),
        f"Packed {date_of(packed, hours)}",
        drawable(f"{load.jar}, {load.pack} pack, {load.minutes:g} minutes{psi}"),
        f"Load {load.load}   Best before {until:%B %Y}",
    )
    return (*lines, drawable(f"Doubted: {load.doubts}")) if load.doubts else lines


def labels_pdf(
    loads: Iterable[tuple[LoadRecord, int]], sheet: LabelSheet, hours: int, skip: int = 0
) -> tuple[bytes, int]:
    """Return a PDF with so many labels for each load, and their total number."""
    texts = [lines for load, count in loads for lines in [label_lines(load, hours)] * count]
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(sheet.page[0] * mm, sheet.page[1] * mm), invariant=1)
    canvas.setTitle("Jar labels")
    canvas.setViewerPreference("PrintScaling", "None")
    type_ = type_for(texts, sheet)
    page = 0
    for lines, (on, left, top) in zip(texts, places(sheet, len(texts), skip), strict=True):
        if on != page:
            canvas.showPage()
            page = on
        _draw(canvas, sheet, type_, lines, *text_corner(left, top))
    canvas.showPage()
    canvas.save()
    return buffer.getvalue(), len(texts)


def text_corner(left: float, top: float) -> tuple[float, float]:
    """Return the corner of a label's text, in millimetres: inside the label and the printable area."""
    return max(left + _INSET_MM, _UNPRINTED_MM), max(top + _INSET_MM, _UNPRINTED_MM)


@dataclass(frozen=True, slots=True)
class Type:
    """Sizes of type, in points, and the step from line to line, the same on every label of a sheet."""

    food: float
    small: float
    step: float


def type_for(texts: Sequence[tuple[str, ...]], sheet: LabelSheet) -> Type:
    """Return the largest sizes in which the lines of all these labels fit."""
    width, height = (length * mm for length in sheet.text)
    step = height / (max(map(len, texts), default=4) + 0.7)
    foods = {lines[0] for lines in texts}
    others = {line for lines in texts for line in lines[1:]}
    return Type(
        _fitting(foods, _BOLD, min(1.2 * step, 22.0), width),
        _fitting(others, _PLAIN, min(0.8 * step, 14.0), width),
        step,
    )


def _fitting(lines: Iterable[str], font: str, wanted: float, width: float) -> float:
    widest = max((stringWidth(line, font, wanted) for line in lines), default=0.0)
    return max(_LEAST_PT, wanted if widest <= width else wanted * width / widest)


def _draw(canvas: Canvas, sheet: LabelSheet, type_: Type, lines: tuple[str, ...], left: float, top: float) -> None:
    width = sheet.text[0] * mm
    y = (sheet.page[1] - top) * mm - 1.3 * type_.step
    for number, line in enumerate(lines):
        font, size = (_PLAIN, type_.small) if number else (_BOLD, type_.food)
        canvas.setFont(font, size)
        canvas.drawString(left * mm, y, _cut(line, font, size, width))
        y -= type_.step


def _cut(line: str, font: str, size: float, width: float) -> str:
    if stringWidth(line, font, size) <= width + 0.01:
        return line
    while line and stringWidth(f"{line}...", font, size) > width:
        line = line[:-1]
    return f"{line}..."
