"""Pages as text for a terminal: tables in columns, words and named facts broken to its width."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from shutil import get_terminal_size
from textwrap import wrap

from kitchenvoice.paper.blocks import PagePart, Section, SmallPrint, Table

__all__ = ["columns", "date_of", "day_of", "day_of_month", "facts", "lines", "text_page", "time_of_day"]

_WIDEST = 100
_GAP = 2


def text_page(title: str, sections: Sequence[Section]) -> Iterator[str]:
    """Yield a page's lines. Charts have none: what they show stands in a table too."""
    yield title
    for section in sections:
        yield ""
        if section.title:
            yield section.title
        for block in section.blocks:
            yield from _block(block)


def _block(block: PagePart) -> Iterator[str]:
    if isinstance(block, Table):
        rows = [[str(cell) for cell in row] for row in block.rows]
        yield from columns(block.heads, rows) if block.heads else facts((row[0], row[1]) for row in rows)
    elif isinstance(block, str):
        yield from lines(block)
    elif isinstance(block, SmallPrint):
        yield from lines(block.words)


def columns(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield the lines of a table; a column without a word in it is left out."""
    used = [place for place in range(len(heads)) if any(row[place] for row in rows)]
    widths = {place: max(len(row[place]) for row in (heads, *rows)) + _GAP for place in used}
    for row in (heads, *rows):
        yield "".join(f"{row[place]:<{widths[place]}}" for place in used).rstrip()


def lines(text: str) -> Iterator[str]:
    """Yield a text broken to the width of the terminal."""
    yield from wrap(text, _width())


def _width() -> int:
    return max(40, min(get_terminal_size((_WIDEST, 24)).columns, _WIDEST))


def facts(told: Iterable[tuple[str, object]]) -> Iterator[str]:
    """Yield named facts, one under the other, long ones broken; a fact that is None or empty is left out."""
    known = [(name, str(fact)) for name, fact in told if fact not in (None, "")]
    indent = max((len(name) for name, _ in known), default=0) + _GAP
    for name, fact in known:
        broken = wrap(fact, _width() - indent) or [""]
        yield f"{name:<{indent}}{broken[0]}"
        yield from (f"{'':<{indent}}{line}" for line in broken[1:])


def day_of(moment: datetime, hours: int) -> str:
    """Write a day as it is written where clocks have 12 hours, or 24: Friday, July 3, 2026, Friday 3 July 2026."""
    return f"{moment:%A}{' ' if hours == 24 else ', '}{date_of(moment, hours)}"


def date_of(moment: datetime, hours: int, *, short: bool = False) -> str:
    """Write a date without its weekday, its month cut short where lines are narrow: July 3, 2026, 3 Jul 2026."""
    return f"{day_of_month(moment, hours, short=short)}{' ' if hours == 24 else ', '}{moment:%Y}"


def day_of_month(moment: datetime, hours: int, *, short: bool = False) -> str:
    """Write a date without its year: July 3, 3 Jul."""
    month = f"{moment:%b}" if short else f"{moment:%B}"
    return f"{moment.day} {month}" if hours == 24 else f"{month} {moment.day}"


def time_of_day(moment: datetime, hours: int) -> str:
    """Write a time by a clock of 12 hours, or of 24: 1:30 pm, 13:30."""
    if hours == 24:
        return f"{moment:%H:%M}"
    return f"{moment.hour % 12 or 12}:{moment:%M} {'am' if moment.hour < 12 else 'pm'}"
