"""Parser of the process tables in the guide's text as ``pdftotext -layout`` gives it.

Pages are separated by form feeds. The text contains clipped remains of other tables among the page's own words: a table
counts only if its title, head and rows are complete, one line after the other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

__all__ = ["Row", "Table", "tables"]

_TITLE = re.compile(r"^Recommended process time for (?P<title>.+) in an? (?P<kind>[a-z-]+)(?: pressure)? canner$")
_LISTED = re.compile(r"^Process times for some acid foods in a (?P<kind>[a-z-]+) pressure canner$")
_HEAD = re.compile(r"^(?:Process Time at Altitudes of|Canner Pressure \(PSI\) at Altitudes of)$")
_COLUMNS = re.compile(
    r"^(?:(?:Type|of|Fruit|Style|Pack|Jar|Size|Process|Time|\(Min\)|\d[\d,]*–|Above|\d[\d,]* ?ft)(?: |$))+$"
)
_MARGIN = re.compile(
    r"\s{4,}(?:Principles of Home Canning|Fruit and Fruit Products|Tomatoes and Tomato Products|Vegetables and"
    r" Vegetable Products|Poultry, Red Meats, and Seafoods|Fermented Foods and Pickled Vegetables|Jams and Jellies)\s*$"
)
_CELL = r"\d+(?:,\d+)?\*?(?: ?(?:min|lb|psi))?|Not recommended"
_STYLES = r"Hot|Raw|See|above|and"
_JARS = r"Half-pints|Half-gallons|12-ounce|Pints|Quarts|or"
_TOKEN = re.compile(rf"(?P<style>{_STYLES})|(?P<jar>{_JARS})|(?P<cell>{_CELL})")
_ROW = re.compile(rf"^(?:(?:{_STYLES}|{_JARS}|{_CELL})(?: |$))+$")
_FOOTNOTE = re.compile(r"^\*Caution: Process (?P<minutes>\d+) minutes if \w+ contains (?P<what>\w+)\.$")
_PART = re.compile(r"^(?P<part>With(?:out)? Bones):$")
_JAR_IDS = {
    "Half-pints": "half_pint",
    "Pints": "pint",
    "Quarts": "quart",
    "Half-gallons": "half_gallon",
    "12-ounce": "twelve_ounce",
}
_KINDS = {"boiling-water": "boiling_water", "dial-gauge": "dial", "weighted-gauge": "weighted"}


@dataclass(frozen=True)
class Row:
    """One row: packs, jars, minutes (pressure only), and a figure for each band of altitude."""

    packs: tuple[str, ...]
    jars: tuple[str, ...]
    minutes: float | None
    cells: tuple[float | None, ...]


@dataclass(frozen=True)
class Table:
    """One table: page, food, kind, and the lower and upper ends of its bands, in feet."""

    page: str
    title: str
    kind: str
    bands: tuple[tuple[int, int | None], ...]
    rows: tuple[Row, ...]


def tables(guide: int, text: str) -> Iterator[Table]:
    """Yield every complete table of one guide, in the order of its pages."""
    for number, page in enumerate(text.split("\f"), start=1):
        # the number of the page, and that of the guide: no figure in a last column is that small
        margin = re.compile(rf"(?:^\s*|\s{{4,}}){guide}-\d+$|\s{{8,}}{guide}$")
        lines = [_MARGIN.sub("", margin.sub("", line.rstrip())) for line in plain(page).split("\n")]
        for index, line in enumerate(lines):
            found = _Reader(guide, f"{guide}-{number}", lines[index:])
            example = any("Table for Example" in above for above in lines[max(0, index - 4) : index])
            if "Recommended process time for" in line and not example:
                yield from found.titled()
            elif _LISTED.match(_squeezed(line)):
                yield from found.listed()


def plain(text: str) -> str:
    """Return the text with its exotic spaces replaced by plain ones."""
    return text.replace("\N{REPLACEMENT CHARACTER}", " ")


def _squeezed(line: str) -> str:
    return " ".join(line.split())


class _Reader:
    """Parser of the table, or the list of tables, that begins with the first of these lines."""

    def __init__(self, guide: int, page: str, lines: list[str]) -> None:
        self._guide, self._page, self._lines = guide, page, lines

    def titled(self) -> Iterator[Table]:
        title = _squeezed(self._lines[0])
        at = 1
        while not title.endswith("canner") and at < len(self._lines) and at < 4:
            title, at = _squeezed(f"{title} {self._lines[at]}"), at + 1
        named = _TITLE.match(title)
        bands, at = self._head(at)
        if named is None or not bands or named["kind"] not in _KINDS:
            return
        kind = _KINDS[named["kind"]]
        parts: dict[str, list[str]] = {}
        part = ""
        if not any(shape.match(_squeezed(line)) for line in self._lines[at : at + 1] for shape in (_ROW, _PART)):
            at += 1  # one line of the remains may come before the rows
        for line in self._lines[at:]:
            text = _squeezed(line)
            if (found := _PART.match(text)) is not None:
                part = f", {found['part'].lower()}"
            elif text and not _ROW.match(text):
                break
            elif text:
                parts.setdefault(part, []).append(text)
        note = next((note for line in self._lines[at:] if (note := _FOOTNOTE.match(_squeezed(line)))), None)
        for part, texts in parts.items():
            rows = tuple(self._rows(texts, kind, len(bands)))
            if rows:
                yield Table(self._page, named["title"] + part, kind, bands, rows)
            if rows and note and any("*" in text for text in texts):
                noted = tuple(replace(row, minutes=float(note["minutes"])) for row in rows)
                yield Table(self._page, f"{named['title']}, {note['what']}", kind, bands, noted)

    def listed(self) -> Iterator[Table]:
        """Yield the tables of a list under one head, with the food in the first column."""
        named = _LISTED.match(_squeezed(self._lines[0]))
        bands, at = self._head(1)
        style = next((line.index("Style") for line in self._lines[:at] if "Style" in line), None)
        if named is None or not bands or style is None:
            return
        kind = _KINDS[named["kind"]]
        foods: list[tuple[list[str], list[str]]] = []
        for line in self._lines[at:]:
            food, rest = line[: style - 1].strip(), _squeezed(line[style - 1 :])
            if rest and not _ROW.match(rest):
                break
            if food and food[0].isupper() and re.search(r"\d", rest):
                foods.append(([], []))
            if foods:
                foods[-1][0].extend([food] if food else [])
                foods[-1][1].extend([rest] if rest else [])
        for names, texts in foods:
            yield Table(self._page, " ".join(names), kind, bands, tuple(self._rows(texts, kind, len(bands))))

    def _head(self, at: int) -> tuple[tuple[tuple[int, int | None], ...], int]:
        """Return the bands of altitude of a table's head, and the line after it; no bands without a head."""
        heads = [
            index for index in range(at, min(at + 5, len(self._lines))) if _HEAD.match(_squeezed(self._lines[index]))
        ]
        if not heads:
            return (), at
        texts = []
        for at in range(heads[0] + 1, len(self._lines)):
            text = _squeezed(self._lines[at])
            if text and not _COLUMNS.match(text):
                break
            texts.append(text)
        columns = " ".join(texts)
        starts = re.findall(r"\d[\d,]*(?=–)|Above", columns)
        ends = re.findall(r"\d[\d,]*(?= ?ft)", columns)
        if len(starts) != len(ends):
            return (), at
        return tuple(_band(start, end) for start, end in zip(starts, ends, strict=True)), at

    def _rows(self, texts: Iterable[str], kind: str, bands: int) -> Iterator[Row]:
        groups = list(_styles(_tokens(text) for text in texts))
        for packs, lines in groups:
            for jars, cells in _jars(lines):
                row = self._row(packs, jars, cells, kind, bands)
                if row is not None:
                    yield row

    def _row(
        self, packs: tuple[str, ...], jars: tuple[str, ...], cells: list[str], kind: str, bands: int
    ) -> Row | None:
        figures = [None if cell.startswith("Not") else float(re.sub(r"[^\d]", "", cell)) for cell in cells]
        wanted = bands + (kind != "boiling_water")
        if len(figures) != wanted:
            return None
        minutes = None if kind == "boiling_water" else figures.pop(0)
        return Row(packs, jars, minutes, tuple(figures))


def _band(start: str, end: str) -> tuple[int, int | None]:
    feet = int(end.replace(",", ""))
    return (feet + 1, None) if start == "Above" else (int(start.replace(",", "")), feet)


def _tokens(text: str) -> list[tuple[str, str]]:
    return [(str(found.lastgroup), found[0]) for found in _TOKEN.finditer(text)]


def _styles(lines: Iterable[list[tuple[str, str]]]) -> Iterator[tuple[tuple[str, ...], list[list[tuple[str, str]]]]]:
    """Split the lines at a new style of pack; "Hot and Raw" is one style, on however many lines."""
    packs: list[str] = []
    group: list[list[tuple[str, str]]] = []
    joined = False
    for line in lines:
        for word in (text for name, text in line if name == "style"):
            if word == "and":
                joined = True
            elif word == "above" or joined:
                packs += [] if word == "above" else [word.lower()]
                joined = False
            else:
                if group:
                    yield tuple(packs), group
                packs, group = ["see_procedure" if word == "See" else word.lower()], []
        group.append([token for token in line if token[0] != "style"])
    if group:
        yield tuple(packs), group


def _jars(lines: list[list[tuple[str, str]]]) -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Yield the jars and the figures of every row; rows without jars share those around them."""
    groups: list[tuple[list[str], list[list[str]]]] = []
    joined = False
    for line in lines:
        for word in (text for name, text in line if name == "jar"):
            if word == "or":
                joined = True
            elif joined and groups:
                groups[-1][0].append(_JAR_IDS[word])
                joined = False
            else:
                groups.append(([_JAR_IDS[word]], []))
        cells = [text for name, text in line if name == "cell"]
        if cells and groups:
            groups[-1][1].append(cells)
    for jars, rows in groups:
        for cells in rows:
            yield tuple(jars), cells
