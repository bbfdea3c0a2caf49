"""Read the data files of the reference, each once and only when something asks for it.

pydantic checks the tables when they are made (:mod:`.validation`), and that is recorded as the SHA-256 of every file.
At run time a file counts only if it is still that very file; one that was damaged or edited gives no number at all.
"""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from kitchenvoice.errors import TablesDamaged

from .building import build
from .cited import Source
from .models import Product

__all__ = [
    "DATA",
    "GUIDE_ID",
    "RECORD",
    "citation_id",
    "conversions",
    "data_names",
    "guide_page",
    "notes",
    "product",
    "product_ids",
    "publications",
    "raw",
    "require_unchanged",
    "source_name",
    "source_title",
    "sources",
    "table",
]

DATA = Path(__file__).with_name("data")
RECORD = "SHA256SUMS"
_OURSELVES = "this project"
GUIDE_ID = "aib539_2015"
_KINDS = ("*.json", "*.toml")


@cache
def _recorded() -> dict[str, str]:
    """Return the SHA-256 of every data file as it was when it was checked; the record is what sha256sum writes."""
    try:
        lines = (DATA / RECORD).read_text(encoding="ascii").splitlines()
    except (OSError, ValueError) as error:
        raise _damaged(RECORD) from error
    return {name: checksum for checksum, _, name in (line.partition("  ") for line in lines)}


def _content(name: str) -> bytes:
    try:
        content = (DATA / name).read_bytes()
    except OSError as error:
        raise _damaged(name) from error
    if hashlib.sha256(content).hexdigest() != _recorded().get(name):
        raise _damaged(name)
    return content


def _damaged(name: str) -> TablesDamaged:
    return TablesDamaged(
        f"The tables' file {name} isn't as it was when its figures were checked, so nothing is taken from it."
        " Install kitchenvoice again."
    )


def data_names(data: Path | None = None) -> tuple[str, ...]:
    """Return the names of all data files in alphabetical order, in the reference's own folder or in another."""
    folder = data or DATA
    return tuple(sorted(path.relative_to(folder).as_posix() for kind in _KINDS for path in folder.rglob(kind)))


def require_unchanged() -> int:
    """Compare every data file with the record and return how many there are.

    Raises:
        TablesDamaged: a file was changed, is gone or isn't in the record; the message names it.
    """
    found = data_names()
    for name in sorted({*found, *_recorded()}):
        _content(name)
    return len(found)


@cache
def raw(name: str) -> Any:
    """Return one data file as plain JSON values; callers must not change them."""
    return json.loads(_content(f"{name}.json"))


@cache
def table(name: str) -> dict[str, Any]:
    """Return one TOML data file, by its name in the folder; callers must not change it."""
    return tomllib.loads(_content(name).decode())


@cache
def product_ids() -> tuple[str, ...]:
    """Return the ids of all foods that have a table, in alphabetical order."""
    return tuple(sorted(raw("names")["foods"]))


@cache
def product(food_id: str) -> Product:
    """Return one food; ``food_id`` must be one of :func:`product_ids`."""
    if food_id not in product_ids():
        raise KeyError(food_id)
    return build(Product, json.loads(_content(f"products/{food_id}.json")))


@cache
def sources() -> dict[str, Source]:
    """Return every source by id."""
    return {key: build(Source, value) for key, value in raw("sources").items()}


def citation_id(citation: str) -> str:
    """Return the source id of a citation such as ``msue_pfs:01600045 (Guide 4:9-10)``."""
    return citation.split(" ", 1)[0].split(":", 1)[0]


def guide_page(citation: str) -> str | None:
    """Return the page of the guide that a citation names, as a cook finds it: Guide 4, page 10. Else None."""
    found = re.search(r"\(Guide (\d):([\d, -]+)\)", citation)
    if found is None or not citation.startswith(GUIDE_ID):
        return None
    pages = "page" if found[2].isdecimal() else "pages"
    return f"Guide {found[1]}, {pages} {found[2]}"


def source_name(citation: str) -> str | None:
    """Return title and year of a publication; None for any other source."""
    found = raw("sources").get(citation_id(citation))
    if found is None or found["publisher"] == _OURSELVES:
        return None
    return f"{found['title']} ({found['year']})" if found["year"] != "-" else str(found["title"])


def publications(citations: Iterable[str]) -> str:
    """Name the pages of the guide that are cited, then the other publications by their titles, each once."""
    cited = tuple(dict.fromkeys(citations))
    pages = sorted({page for each in cited if (page := guide_page(each))})
    guide = [f"Complete Guide to Home Canning (2015), {'; '.join(pages)}"] if pages else []
    others = dict.fromkeys(name for each in cited if not guide_page(each) and (name := source_name(each)))
    return ". ".join((*guide, *others))


def source_title(citation: str) -> str:
    """Spell a citation out: its title, publisher and year, and the part that was read."""
    found = raw("sources").get(citation_id(citation))
    if found is None:
        return citation
    rest = citation[len(citation_id(citation)) :].lstrip(":").strip()
    part = f", {rest}" if rest else ""
    return f"{found['title']} ({found['publisher']}, {found['year']}){part}"


def conversions() -> dict[str, Any]:
    """Return the exact unit definitions."""
    return dict(raw("conversions"))


def notes() -> dict[str, Any]:
    """Return the disagreements of the sources and the known traps of the tables."""
    return dict(raw("notes"))
