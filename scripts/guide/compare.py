"""Comparison of every cell of the reference tables with the guide's tables, in both directions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from guide.layout import Row, Table
from kitchenvoice.reference.models import Product
from kitchenvoice.reference.processes import BoilingProcess, PressureProcess

__all__ = ["Comparison", "compare"]

Process = PressureProcess | BoilingProcess
Line = tuple[float | None, tuple[tuple[int, int | None, float | None], ...]]
"""One printed line for one pack and jar: minutes (pressure), and from, to and figure of every band of altitude."""


@dataclass
class Comparison:
    """Counts and differences; ``differing``, ``unread`` and ``missing`` are sentences."""

    products: set[str] = field(default_factory=set)
    tables: set[tuple[str, str]] = field(default_factory=set)
    agreeing: int = 0
    differing: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


def compare(products: Iterable[Product], tables: Iterable[Table]) -> Comparison:
    """Compare all foods with all tables of the guide.

    A table with several copies in the text counts once, in its most complete copy; contradictory copies are a
    difference.
    """
    found = Comparison()
    printed = _printed(tables, found)
    ours: dict[tuple[str, str], set[tuple[str, str]]] = defaultdict(set)
    for item in products:
        found.products.add(item.id)
        for block in item.processes:
            kind = block.gauge if isinstance(block, PressureProcess) else "boiling_water"
            ours[block.table, kind] |= {(pack, jar) for pack in block.packs for jar in item.columns}
            table = printed.get((block.table, kind))
            if table is None:
                found.unread.append(f"{item.id}: {block.table}, {kind.replace('_', ' ')} ({block.source[0]})")
            else:
                found.tables.add((block.table, kind))
                _compare(item, block, table, found)
    for key, table in printed.items():
        for row in table.rows:
            for pack, jar in ((pack, jar) for pack in row.packs for jar in row.jars):
                if (pack, jar) not in ours.get(key, set()):
                    found.missing.append(f"{table.page} {table.title}, {table.kind}: {pack}, {jar}")
    return found


def _printed(tables: Iterable[Table], found: Comparison) -> dict[tuple[str, str], Table]:
    best: dict[tuple[str, str], Table] = {}
    for table in tables:
        key = (table.title, table.kind)
        known = best.get(key)
        if known is not None and any(
            _lines(known, *place) and _lines(table, *place) and _lines(known, *place) != _lines(table, *place)
            for place in _places(table)
        ):
            found.differing.append(f"the guide itself has two versions: {table.title}, {table.page} and {known.page}")
        if known is None or len(_places(table)) >= len(_places(known)):
            best[key] = table
    return best


def _places(table: Table) -> set[tuple[str, str]]:
    return {(pack, jar) for row in table.rows for pack in row.packs for jar in row.jars}


def _lines(table: Table, pack: str, jar: str) -> set[Line]:
    return {_line(table, row) for row in table.rows if pack in row.packs and jar in row.jars}


def _line(table: Table, row: Row) -> Line:
    return row.minutes, tuple((*band, cell) for band, cell in zip(table.bands, row.cells, strict=True))


def _compare(item: Product, block: Process, table: Table, found: Comparison) -> None:
    for pack, jar, line in _own(block):
        where = f"{item.id}, {table.title} ({table.page}), {table.kind}, {pack}, {jar}"
        lines = _lines(table, pack, jar)
        if line in lines:
            found.agreeing += _cells(line)
        elif not lines and any(pack in row.packs for row in table.rows) and jar not in {j for _, j in _places(table)}:
            found.told.append(f"{where}: {_spelt(line)}")
        else:
            found.differing.append(
                f"{where}: {_spelt(line)} on board, {'; '.join(map(_spelt, lines)) or 'nothing'} there"
            )


def _own(block: Process) -> Iterator[tuple[str, str, Line]]:
    """Yield every line of a block, its last band open-ended as in the guide."""
    if isinstance(block, PressureProcess):
        bands = tuple((band.from_ft, band.to_ft, band.psi) for band in block.bands)
        for jar, minutes in block.minutes.items():
            yield from ((pack, jar, (minutes, bands)) for pack in block.packs)
        return
    for jar in block.bands[0].minutes:
        cells = tuple((band.from_ft, band.to_ft, band.minutes[jar]) for band in block.bands)
        yield from ((pack, jar, (None, cells)) for pack in block.packs)


def _cells(line: Line) -> int:
    return len(line[1]) + (line[0] is not None)


def _spelt(line: Line) -> str:
    figures = "/".join("-" if figure is None else f"{figure:g}" for _, _, figure in line[1])
    return figures if line[0] is None else f"{line[0]:g} minutes at {figures}"
