"""Everything that is published about one food on one sheet: pure data, for whoever prints or shows it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from .answer import Acid, CannerNeeds, plain_fields, tidy
from .beside import NONE_PRINTED, Ferment, Preparation, Recipe
from .details import acid_for, canner_needs, headspace_for, inches_text, salt_for
from .ferments import ferment_weeks
from .library import product, raw
from .models import Product
from .names import find_food, food_name, refused_entry
from .processes import BoilingProcess, PressureProcess

__all__ = ["Sheet", "SheetJar", "SheetProcess", "sheet", "takes_syrup", "told_by_jar"]


@dataclass(frozen=True)
class SheetProcess:
    """One line of a table: for one method (and gauge) and jar, its figure for every band of altitude in feet.

    Pressure: ``minutes``, and a band's figure is pounds; None is "not recommended". Boiling water: a band's figure is
    minutes. The last band of a boiling-water or weighted table has no printed upper end.
    """

    method: str
    gauge: str | None
    packs: tuple[str, ...]
    jar: str
    minutes: float | None
    bands: tuple[tuple[int, int | None, float | None], ...]
    source: tuple[str, ...]


@dataclass(frozen=True)
class SheetJar:
    """What one jar size gets: headspace by pack, salt, acid, and whether it is sterile for a pack.

    ``headspace_in`` is the figure that all packs have, ``salt_tsp`` that of salt which may be left out; else None.
    """

    jar: str
    takes: str
    headspace: Mapping[str, str]
    headspace_in: float | None
    salt: str | None
    salt_tsp: float | None
    acid: Acid | None
    sterile_for: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """The sheet of a food, or why there is none (``reason``, ``instead``); every part names its source."""

    food: str | None
    name: str
    title: str | None = None
    acidity: str | None = None
    same_as: str | None = None
    processes: tuple[SheetProcess, ...] = ()
    pasteurization: str | None = None
    jars: tuple[SheetJar, ...] = ()
    preparations: tuple[Preparation, ...] = ()
    soak_hours: tuple[float, float] | None = None
    ascorbic_dip: bool = False
    release_bubbles: bool = True
    recipes: tuple[Recipe, ...] = ()
    ferment: tuple[str, ...] = ()
    canner: CannerNeeds | None = None
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    reason: str | None = None
    instead: tuple[str, ...] = ()
    candidates: tuple[str, ...] = ()
    source: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return plain values that JSON can hold."""
        return plain_fields(self)


def told_by_jar(sheet: Sheet, about: Literal["headspace", "salt", "acid"]) -> list[str]:
    """Return the amount for each jar; amounts of some jars (or packs) alone name them."""
    told: dict[str, list[str]] = {}
    for jar in sheet.jars:
        if about == "headspace":
            rows = [(f"{jar.jar}, {pack} pack", space) for pack, space in jar.headspace.items()]
        else:
            rows = [(jar.jar, (jar.salt if about == "salt" else jar.acid and jar.acid.text) or "")]
        for name, text in rows:
            told.setdefault(text, []).append(name)
    return [text if len(told) == 1 else f"{'; '.join(names)}: {text}" for text, names in told.items() if text]


def takes_syrup(sheet: Sheet) -> bool:
    """Tell whether a food is covered with a liquid that may be a syrup; recipes name their own."""
    syrup = re.compile(rf"\b{raw('names')['wording']['syrup']}")
    return not sheet.recipes and any(syrup.search(each.liquid or "") for each in sheet.preparations)


def sheet(food: str) -> Sheet:
    """Return the sheet of a food by its name or id; of a name of several foods their ids, of a refused one why."""
    found = find_food(food)
    if found.food:
        return _of(product(found.food))
    if found.kind == "ambiguous":
        return Sheet(None, found.said, reason=f"{found.ask}?", candidates=found.candidates)
    entry = refused_entry(found.refused or "")
    if entry is None:
        return Sheet(None, found.said, reason=f"I have no published table for {found.said}.")
    return Sheet(
        None, entry["spoken"], reason=entry["reason"], instead=tuple(entry["instead"]), source=tuple(entry["source"])
    )


def _of(item: Product) -> Sheet:
    blocks = (
        item.headspace,
        item.salt,
        *item.processes,
        *item.preparations,
        *item.recipes,
        *item.cautions,
        item.yields,
    )
    return Sheet(
        item.id,
        food_name(item.id),
        item.title,
        item.acidity,
        food_name(item.same_as.food) if item.same_as else None,
        tuple(line for block in item.processes for line in _lines(block)),
        item.pasteurization.text if item.pasteurization else None,
        tuple(_jar(item, size) for size in item.sizes),
        item.preparations,
        item.soak_hours,
        item.ascorbic_dip,
        item.no_bubbles is None,
        item.recipes,
        _ferment(item.ferment),
        canner_needs(item),
        tuple(caution.text for caution in item.cautions),
        tuple(note.text for note in item.notes),
        source=tuple(dict.fromkeys(source for block in blocks for source in block.source)),
    )


def _ferment(ferment: Ferment | None) -> tuple[str, ...]:
    if ferment is None:
        return ()
    salt = f"Never less salt: {ferment.salt}."
    return (f"{ferment_weeks(ferment)}.".capitalize(), salt, ferment.warm, ferment.look, ferment.brine, ferment.keeps)


def _lines(block: PressureProcess | BoilingProcess) -> list[SheetProcess]:
    packs = tuple(pack.replace("_", "-") for pack in block.packs)
    if isinstance(block, PressureProcess):
        bands = tuple((b.from_ft, b.to_ft, None if b.psi is None else tidy(b.psi)) for b in block.bands)
        return [
            SheetProcess("pressure", block.gauge, packs, _shown(jar), tidy(minutes), bands, block.source)
            for jar, minutes in block.minutes.items()
        ]
    return [
        SheetProcess(
            "boiling-water",
            None,
            packs,
            _shown(jar),
            None,
            tuple((b.from_ft, b.to_ft, tidy(b.minutes[jar])) for b in block.bands),
            block.source,
        )
        for jar in block.bands[0].minutes
    ]


def _jar(item: Product, size: str) -> SheetJar:
    column = item.jar(size).use or size
    packs = [preparation.pack for preparation in item.preparations]
    found = {_shown(pack): headspace_for(item, pack, column, None) for pack in packs}
    spaces = {pack: text or "" for pack, (_, text) in found.items()}
    inches = {value for value, text in found.values() if isinstance(value, float | int) and text == inches_text(value)}
    one = inches.pop() if len(inches) == len(set(spaces.values())) == 1 else None
    sterile = item.sterile_jars
    sterile_for = tuple(_shown(p) for p in sterile.packs) if sterile and size in sterile.jars else ()
    tsp, salt, _ = salt_for(item, size) if item.salt.note != NONE_PRINTED else (None, None, ())
    tsp = tsp if item.salt.optional else None
    return SheetJar(_shown(size), _shown(column), spaces, one, salt, tsp, acid_for(item.acid, size), sterile_for)


def _shown(value: str) -> str:
    return value.replace("_", "-")
