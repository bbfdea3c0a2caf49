"""The kitchen card on one page, for the wall by the stove: black on white, in the largest type that fits."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from kitchenvoice.card.contents import STAGE_BLOCKS, CardSection
from kitchenvoice.errors import BadInput

__all__ = ["LEAST_SIZE", "PAPERS", "card_pdf", "size_for"]

PAPERS = {"letter": landscape(letter), "a4": landscape(A4)}
LEAST_SIZE = 10.5
"""Points. Read at arm's length, 70 cm, an x-height of 1.9 mm is 9 minutes of arc, nearly twice the 5 of normal sight
(common practice for print read at a distance; no source)."""

_LARGEST = 16.0
_MARGIN = 26.0
_GUTTER = 12.0
_COLUMNS = 4
_HEAD = 44.0
_FOOT = 12.0
_LEADING = 1.2
_BOLD, _PLAIN = "Helvetica-Bold", "Helvetica"


def card_pdf(blocks: Sequence[CardSection], head: str, foot: str, paper: str = "letter") -> bytes:
    """Return the card as a PDF of exactly one page. Raises: BadInput if the type would be too small to read."""
    size = size_for(blocks, paper)
    out = BytesIO()
    page = PAPERS[paper]
    canvas = Canvas(out, pagesize=page, pageCompression=1)
    canvas.setTitle("kitchenvoice: what can be said")
    _draw_head(canvas, head, page)
    for column, (left, top) in zip(_flow(blocks, size, page), _tops(page), strict=False):
        _draw_column(canvas, column, left, top, size, _width(page))
    canvas.setFont(_PLAIN, 9)
    for number, line in enumerate(simpleSplit(foot, _PLAIN, 9, page[0] - 2 * _MARGIN)):
        canvas.drawString(_MARGIN, _MARGIN - 4 + 11 - 11 * number, line)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def size_for(blocks: Sequence[CardSection], paper: str = "letter") -> float:
    """Return the largest size of type, in points, in which everything fits. Raises: BadInput below `LEAST_SIZE`."""
    size = _LARGEST
    while size >= LEAST_SIZE:
        if len(_flow(blocks, size, PAPERS[paper])) <= _COLUMNS:
            return size
        size -= 0.25
    raise BadInput("There is more to say than one page can hold in a size that can be read. Print the text instead.")


def _width(page: tuple[float, float]) -> float:
    return (page[0] - 2 * _MARGIN - (_COLUMNS - 1) * _GUTTER) / _COLUMNS


def _tops(page: tuple[float, float]) -> list[tuple[float, float]]:
    step = _width(page) + _GUTTER
    return [(_MARGIN + column * step, page[1] - _MARGIN - _HEAD) for column in range(_COLUMNS)]


_Row = list[tuple[float, str]]
"""One line of print: texts, each with its offset from the left of the column."""


def _rows(block: CardSection, size: float, width: float) -> list[_Row]:
    """Break the phrases of a block into fitting lines; without a stage, two short ones share a line."""
    rows: list[_Row] = []
    half = width / 2 + size / 4
    waiting = False
    for phrase in block.phrases:
        short = block.name not in STAGE_BLOCKS and stringWidth(phrase.say, _PLAIN, size) <= half - size / 2
        if short and waiting:
            rows[-1].append((half, phrase.say))
            waiting = False
            continue
        broken = simpleSplit(phrase.say, _PLAIN, size, width - size)
        rows += [[(size if number else 0.0, line)] for number, line in enumerate(broken)]
        waiting = short
    return rows


def _height(block: CardSection, size: float, width: float) -> float:
    return (len(_rows(block, size, width)) + 1.7) * size * _LEADING


def _flow(blocks: Sequence[CardSection], size: float, page: tuple[float, float]) -> list[list[CardSection]]:
    """Fill the columns: the stages in the order of a day, then the other blocks, long ones first, where there is room.

    A block is never split.
    """
    room = page[1] - 2 * _MARGIN - _HEAD - _FOOT
    columns: list[list[CardSection]] = [[]]
    left = [room]
    stages = [block for block in blocks if block.name in STAGE_BLOCKS]
    others = [block for block in blocks if block.name not in STAGE_BLOCKS]
    for block in (*stages, *sorted(others, key=lambda each: -_height(each, size, _width(page)))):
        needed = _height(block, size, _width(page))
        places = range(len(columns)) if block.name not in STAGE_BLOCKS else (len(columns) - 1,)
        place = next((column for column in places if left[column] >= needed), None)
        if place is None:
            columns.append([])
            left.append(room)
            place = len(columns) - 1
        columns[place].append(block)
        left[place] -= needed
        if left[place] < 0:
            return [[]] * (_COLUMNS + 1)  # longer than a column: too large
    return columns


def _draw_head(canvas: Canvas, head: str, page: tuple[float, float]) -> None:
    first, _, rest = head.partition("\n")
    canvas.setFont(_BOLD, 22)
    canvas.drawString(_MARGIN, page[1] - _MARGIN - 18, first)
    canvas.setFont(_PLAIN, 11)
    canvas.drawString(_MARGIN, page[1] - _MARGIN - 34, rest)


def _draw_column(
    canvas: Canvas, column: Sequence[CardSection], left: float, top: float, size: float, width: float
) -> None:
    step = size * _LEADING
    y = top
    for block in column:
        canvas.setLineWidth(1.5)
        canvas.line(left, y, left + width, y)
        canvas.setFont(_BOLD, size)
        canvas.drawString(left, y - step, block.title)
        y -= step
        canvas.setFont(_PLAIN, size)
        for row in _rows(block, size, width):
            y -= step
            for place, text in row:
                canvas.drawString(left + place, y, text)
        y -= 0.7 * step
