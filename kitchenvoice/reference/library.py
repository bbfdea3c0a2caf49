"""Read the data files of the reference, each once and only when something asks for it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from .models import Product, Source

__all__ = ["citation_id", "conversions", "notes", "product", "product_ids", "raw", "source_title", "sources"]

_DATA = Path(__file__).with_name("data")


@cache
def raw(name: str) -> Any:
    """Return one data file as plain JSON values; callers must not change them."""
    return json.loads((_DATA / f"{name}.json").read_bytes())


@cache
def product_ids() -> tuple[str, ...]:
    """Return the ids of all foods that have a table, in alphabetical order."""
    return tuple(sorted(raw("names")["foods"]))


@cache
def product(food_id: str) -> Product:
    """Return one validated food; ``food_id`` must be one of :func:`product_ids`."""
    if food_id not in product_ids():
        raise KeyError(food_id)
    return Product.model_validate_json((_DATA / "products" / f"{food_id}.json").read_bytes())


@cache
def sources() -> dict[str, Source]:
    """Return every source by id."""
    return {key: Source.model_validate(value) for key, value in raw("sources").items()}


def citation_id(citation: str) -> str:
    """Return the source id of a citation such as ``msue_pfs:01600045 (Guide 4:9-10)``."""
    return citation.split(" ", 1)[0].split(":", 1)[0]


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
    """Return what the sources disagree about and the known traps of the tables."""
    return dict(raw("notes"))
