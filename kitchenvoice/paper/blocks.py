"""Parts of a page: sections of words, tables and charts; `html` and `pdf` render them."""

from __future__ import annotations

from dataclasses import dataclass

from kitchenvoice.paper.charts import Chart

__all__ = ["PagePart", "Section", "SmallPrint", "Table"]


@dataclass(frozen=True, slots=True)
class Table:
    """A table; numbers are right-aligned. `shares` are the widths of the columns, as parts of the page's."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str | int, ...], ...]
    shares: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class SmallPrint:
    """Words in small print."""

    words: str


PagePart = str | SmallPrint | Table | Chart


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page; one without a title has no heading."""

    title: str
    blocks: tuple[PagePart, ...]
