"""Read one cell of the tables, once everything that decides it is known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from .answer import Answer, Option, tidy
from .details import acid_for, canner_needs, headspace_for, salt_for
from .models import Product
from .names import food_name
from .outcomes import refuse
from .processes import BoilingBand, BoilingProcess, Pasteurization, PressureBand, PressureProcess

__all__ = ["STEAM_CAUTION", "answer_from_tables", "packs_of"]

_Band = TypeVar("_Band", PressureBand, BoilingBand)
_STEAM = ("nchfp_steam", "msue_steam", "aib539_2015 (Guide 1:10)")
_STEAM_MAX_MINUTES = 45
STEAM_CAUTION = (
    "Atmospheric steam: vent to full boiling temperature first, and never open the canner during the process; only for"
    " times of 45 minutes or less. The guide of 2015 did not recommend steam canners yet; the National Center does, for"
    " acid foods."
)
"""What has to be known of every load in a steam canner."""
_GENERAL_RULE = ("aib539_2015 (Guide 1:23)", "nchfp_process_time")


def packs_of(item: Product, method: str | None) -> tuple[str, ...]:
    """Return the packs that have a table, for one method or for any."""
    table = "boiling_water" if method == "atmospheric_steam" else method
    table = None if table == "pasteurization" else table
    packs = {p for block in item.processes if table in (None, block.method) for p in block.packs}
    return tuple(p for p in ("raw", "hot", "see_procedure") if p in packs)


def answer_from_tables(
    item: Product,
    pack: str,
    jar: str,
    method: str,
    gauge: str,
    altitude_ft: int | None,
    qualifiers: Mapping[str, object],
) -> Answer:
    """Return the numbers of one cell, or a refusal when that cell isn't printed."""
    column = item.jar(jar).use or ""
    asked = Answer(
        "ok",
        food=item.id,
        food_name=food_name(item.id),
        pack=pack.replace("_", "-"),
        jar=jar.replace("_", "-"),
        method=method.replace("_", "-"),
        gauge=gauge if method == "pressure" else None,
        altitude_ft=altitude_ft,
    )
    if method == "pasteurization" and item.pasteurization:
        return replace(
            _complete(
                item, asked, item.pasteurization, column, jar, tidy(item.pasteurization.minutes), None, (), qualifiers
            ),
            water_f=item.pasteurization.water_f,
        )
    if method == "pressure":
        blocks = [b for b in item.processes if isinstance(b, PressureProcess) and b.gauge == gauge and pack in b.packs]
        return _pressure(item, asked, blocks, column, jar, qualifiers)
    boiling = [b for b in item.processes if isinstance(b, BoilingProcess) and pack in b.packs]
    return _boiling(item, asked, boiling, column, jar, qualifiers)


def _pressure(
    item: Product, asked: Answer, blocks: list[PressureProcess], column: str, jar: str, qualifiers: Mapping[str, object]
) -> Answer:
    rows = []
    refusals = []
    for block in blocks:
        band = _band(block.bands, asked.altitude_ft or 0)
        if band is None or band.psi is None or column not in block.minutes:
            refusals.append((block, (band and band.refuse) or "This cell of the table isn't printed."))
        else:
            rows.append((block, band, Option(tidy(block.minutes[column]), tidy(band.psi))))
    wanted = _wanted_minutes(qualifiers.get("option"))
    offers = tuple(f"{o.minutes} minutes at {o.psi} pounds" for _, _, o in rows)
    if wanted is not None:
        why = next((text for b, text in refusals if b.minutes.get(column) == wanted), "The table has no such option.")
        rows = [row for row in rows if row[2].minutes == wanted]
        if not rows:
            return _no_cell(item, why, offers, blocks)
    if not rows:
        return _no_cell(item, refusals[0][1] if refusals else "No such table is printed.", (), blocks)
    block, band, option = next((row for row in rows if row[0].primary), rows[0])
    options = tuple(o for _, _, o in rows) if block.option else ()
    return _complete(item, asked, block, column, jar, option.minutes, option.psi, options, qualifiers)


def _boiling(
    item: Product, asked: Answer, blocks: list[BoilingProcess], column: str, jar: str, qualifiers: Mapping[str, object]
) -> Answer:
    block = blocks[0] if blocks else None
    band = _band(block.bands, asked.altitude_ft or 0) if block else None
    minutes = band.minutes.get(column) if band else None
    if block is None or band is None or minutes is None:
        return _no_cell(item, "This cell of the table isn't printed.", (), blocks)
    wanted = _wanted_minutes(qualifiers.get("option"))
    if wanted is not None and wanted != minutes:
        return _no_cell(item, "The table has no such option.", (f"{tidy(minutes)} minutes",), blocks)
    if asked.method == "atmospheric-steam" and minutes > _STEAM_MAX_MINUTES:
        why = f"{tidy(minutes)} minutes is over the 45-minute limit of atmospheric steam canners."
        return refuse(why, item.id, tuple(m.replace("_", " ") for m in item.methods), (*_STEAM, *block.source))
    return _complete(item, asked, block, column, jar, tidy(minutes), None, (), qualifiers)


def _complete(
    item: Product,
    asked: Answer,
    block: PressureProcess | BoilingProcess | Pasteurization,
    column: str,
    jar: str,
    minutes: float,
    psi: float | None,
    options: tuple[Option, ...],
    qualifiers: Mapping[str, object],
) -> Answer:
    pack = (asked.pack or "").replace("-", "_")
    headspace, headspace_text = headspace_for(item, pack, column, qualifiers.get("bean_size"))
    salt, salt_text, salt_source = salt_for(item, jar)
    acid = acid_for(item.acid, jar)
    source = block.source
    if item.jar(jar).by_rule:
        source = (*source, *_GENERAL_RULE)
    cautions = [c.text for c in item.cautions if c.pack in (None, pack)]
    if asked.method == "atmospheric-steam":
        source = (*source, *_STEAM)
        cautions.insert(0, STEAM_CAUTION)
    if isinstance(block, Pasteurization):
        cautions.insert(0, block.text)
    sterile = item.sterile_jars
    return Answer(
        **{name: getattr(asked, name) for name in _ASKED},
        minutes=minutes,
        psi=psi,
        options=options,
        headspace_in=headspace,
        headspace_text=headspace_text,
        headspace_first_in=item.headspace.solids and tidy(item.headspace.solids),
        salt_tsp_per_jar=salt,
        salt_text=salt_text,
        acid=acid,
        preparation=next((p.text for p in item.preparations if p.pack == pack), None),
        release_bubbles=item.no_bubbles is None,
        sterile_jars=sterile is not None and jar in sterile.jars and pack in sterile.packs,
        canner=canner_needs(item) if asked.method == "pressure" else None,
        cautions=tuple(cautions),
        of_hands=tuple(each.text for each in item.cautions if each.of == "hands"),
        of_table=tuple(each.text for each in item.cautions if each.of == "table"),
        source=tuple(dict.fromkeys(source)),
        sources={
            "process": tuple(dict.fromkeys(source)),
            "headspace": item.headspace.source,
            "salt": salt_source,
            "acid": acid.source if acid else (),
            "cautions": tuple(dict.fromkeys(s for c in item.cautions for s in c.source)),
        },
    )


_ASKED = ("status", "food", "food_name", "pack", "jar", "method", "gauge", "altitude_ft")


def _band(bands: tuple[_Band, ...], altitude_ft: int) -> _Band | None:
    for band in bands:
        if band.from_ft <= altitude_ft and (band.to_ft is None or altitude_ft <= band.to_ft):
            return band
    return None


def _wanted_minutes(option: object) -> float | None:
    if isinstance(option, int | float) and not isinstance(option, bool):
        return float(option)
    found = re.search(r"\d+(?:\.\d+)?", option) if isinstance(option, str) else None
    return float(found.group()) if found else None


def _no_cell(
    item: Product,
    why: str,
    instead: tuple[str, ...],
    blocks: list[PressureProcess] | list[BoilingProcess],
) -> Answer:
    source = blocks[0].source if blocks else item.processes[0].source
    return refuse(why, item.id, instead, source)
