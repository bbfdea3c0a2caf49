"""The sheet of a food as sections to print: times, jars, packing, its recipe, cautions, and sources."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitchenvoice.paper import Section, SmallPrint, Table
from kitchenvoice.reference import Sheet, publications, rule, rule_names
from kitchenvoice.reference.beside import Ingredient, Recipe
from kitchenvoice.reference.inputs import jar_name
from kitchenvoice.reference.sheets import SheetProcess, takes_syrup, told_by_jar

__all__ = ["amount_text", "kept_text", "rule_sections", "sheet_sections"]

_METHODS = {"boiling-water": "Boiling water", "pressure": "Pressure canner"}
_PACKS = {"see-procedure": "as above"}
_KEEP = {
    "main": "what the rest goes by",
    "never_less": "never less",
    "never_more": "never more",
    "as_printed": "neither more nor less",
    "free": "to taste",
}
_UNITS = {"lb": "pounds", "oz": "ounces", "tbsp": "tablespoons", "tsp": "teaspoons"}
_UNITS |= {unit: f"{unit}s" for unit in ("cup", "pint", "quart")}
_TITLES = {
    "method_choice": "Which canner",
    "jar_size_rule": "Sizes of jar",
    "low_acid_needs_pressure": "Food low in acid",
    "vinegar_does_not_convert": "Vinegar added",
    "tomatoes_acidify": "Acid for tomatoes",
    "pressure_canner_size": "Small canners",
    "electric_multi_cooker": "Electric cookers",
    "no_invention": "Recipes of your own",
    "steam_canner_vent": "Steam canner: how",
    "steam_canner_guide": "Steam canner: guide",
    "max_psi": "Most pressure",
    "glass_stovetop": "Glass stove top",
    "must_know": "Why it matters",
    "dial_bands_low_acid": "Dial, low acid",
    "dial_bands_acid": "Dial, acid",
    "weighted_bands_low_acid": "Weight, low acid",
    "weighted_bands_acid": "Weight, acid",
    "bw_bands_4": "Boiling water: fruit",
    "bw_bands_3": "Boiling water: pickles",
    "table_limits": "Where tables end",
    "beyond_8000": "Above 8,000 feet",
    "equivalence": "Between the sizes",
    "own_row": "Half-pints",
    "dial_gauge_yearly": "Dial, every year",
    "dial_gauge_tolerance": "Dial that is off",
    "weighted_gauge_no_test": "Weighted gauge",
    "rack_required": "Rack",
    "inspect": "Look them over",
    "jar_type": "Which jars",
    "lids_once": "Lids: used once",
    "lid_prep": "Lids: heating",
    "lid_age": "Lids: age",
    "lid_look": "Lids: looks",
    "fingertip": "Band",
    "headspace_general": "Headspace",
    "bubbles_rims": "Bubbles and rims",
    "no_bubbles": "Jams and juices",
    "commercial": "Bought jars",
    "vent_exception_fish_quarts": "Vent: fish in quarts",
    "timed_depressurise_old": "Old canners",
    "pressurise": "Pressure comes up",
    "sterilise": "Sterilizing",
    "no_force_cool": "Never cool it by force",
    "failed_seal_stricter": "Failed seal: stricter",
}
"""Rules whose heading isn't their name."""
_NEAR = 0.01
_PARTS = {0.125: "1/8", 0.25: "1/4", 1 / 3: "1/3", 0.5: "1/2", 2 / 3: "2/3", 0.75: "3/4"}


def sheet_sections(sheet: Sheet) -> list[Section]:
    """Return the sheet of a food that has one, in the order of the work."""
    return [
        *_recipes(sheet.recipes),
        *([Section("In the crock", sheet.ferment)] if sheet.ferment else []),
        Section("Packing", (Table((), tuple(_packing(sheet)), _NAMED),)),
        Section("Each jar", (Table((), tuple(_jars(sheet)), _NAMED),)),
        *_times(sheet),
        *_mind(sheet),
        Section("", (SmallPrint(f"{publications(sheet.source)}."),)),
    ]


def rule_sections() -> list[Section]:
    """Return the rules that hold for every food: jars and lids, both canners, seals, storing, opening, suspect jars."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for name in rule_names():
        group, what = (_TITLES.get(part, part.replace("_", " ").capitalize()) for part in name.split("."))
        groups.setdefault(group, []).append((what, rule(name).text))
    cited = publications(source for name in rule_names() for source in rule(name).source)
    tables = [Section(group, (Table((), tuple(rows), (2, 6)),)) for group, rows in groups.items()]
    return [*tables, Section("", (SmallPrint(f"{cited}."),))]


_NAMED = (1, 6)


def _recipes(recipes: Iterable[Recipe]) -> Iterator[Section]:
    for recipe in recipes:
        name = f": {recipe.name}" if recipe.name else ""
        fills = f", for {_range(recipe.jars)} {jar_name(recipe.jar or 'jar', recipe.jars[1])}" if recipe.jars else ""
        rows = tuple((_amount(item), item.what, kept_text(item.keep)) for item in recipe.ingredients)
        yield Section(f"Recipe{name}{fills}", (Table(("Amount", "Of what", "It may be"), rows, (2, 4, 3)),))


def _amount(item: Ingredient) -> str:
    """Write an amount; what is free to taste has none."""
    return "" if item.keep == "free" else amount_text((item.amount, item.most or item.amount), item.unit)


def amount_text(ends: tuple[float, float], unit: str) -> str:
    """Write an amount from its least to its most, such as 1-1/2 cups."""
    named = "" if unit == "each" else _UNITS.get(unit, unit)
    return f"{_range(ends)} {named.removesuffix('s') if ends[1] <= 1 else named}".rstrip()


def kept_text(keep: str) -> str:
    """Say whether an amount may be less or more than the recipe's."""
    return _KEEP[keep]


def _range(ends: tuple[float, float]) -> str:
    low, high = map(_mixed, ends)
    return low if low == high else f"{low} to {high}"


def _mixed(value: float) -> str:
    whole = int(value + _NEAR)
    rest = value - whole
    part = next((written for size, written in _PARTS.items() if abs(size - rest) < _NEAR), None)
    return (
        f"{value:g}"
        if rest > _NEAR and part is None
        else "-".join(filter(None, (str(whole) if whole else "", part))) or "0"
    )


def _packing(sheet: Sheet) -> Iterator[tuple[str, str]]:
    if sheet.same_as:
        yield "Processed as", sheet.same_as
    if sheet.soak_hours:
        yield "Soak", f"{_range(sheet.soak_hours)} hour{'s' if sheet.soak_hours[1] > 1 else ''} in water"
    if sheet.ascorbic_dip:
        yield "Dip", "keep the cut fruit in ascorbic acid solution, so that it doesn't darken"
    for preparation in sheet.preparations:
        name = "Pack" if preparation.pack == "see_procedure" else f"{preparation.pack.capitalize()} pack"
        yield name, " ".join(filter(None, (preparation.text, preparation.order)))
    yield from (("Syrup", told) for told in _syrups(sheet))
    if not sheet.release_bubbles:
        yield "Bubbles", "not released from this food"


def _syrups(sheet: Sheet) -> Iterator[str]:
    """Yield how each syrup is mixed, for a food whose covering liquid may be one."""
    if not takes_syrup(sheet):
        return
    figures = rule("preparing.syrup").figures
    for jars, key in (("7 quarts", "quarts_7"), ("9 pints", "pints_9")):
        mixed = (f"{name.replace('_', ' ')} {' and '.join(map(_mixed, each[key]))}" for name, each in figures.items())
        yield f"for {jars}, cups of water and of sugar: {'; '.join(mixed)}"


def _jars(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Yield the additions to each jar; those of some jars or packs alone name them."""
    for name in ("headspace", "salt", "acid"):
        yield from ((name.capitalize(), told) for told in told_by_jar(sheet, name))
    sterile = [f"{jar.jar}, {' and '.join(jar.sterile_for)} pack" for jar in sheet.jars if jar.sterile_for]
    if sterile:
        yield "Sterile", f"the empty jars before they are filled: {'; '.join(sterile)}"


def _times(sheet: Sheet) -> Iterator[Section]:
    """Yield a table for each method and gauge, with a column for each band of altitude."""
    tables: dict[tuple[str, str | None, tuple[str, ...]], list[SheetProcess]] = {}
    for line in sheet.processes:
        bands = tuple(_band(low, high) for low, high, _ in line.bands)
        tables.setdefault((line.method, line.gauge, bands), []).append(line)
    for (method, gauge, bands), lines in tables.items():
        title = f"{_METHODS[method]}{f', {gauge} gauge: pounds' if gauge else ': minutes'} by altitude"
        heads = ("Jar", "Pack", *(("Minutes",) if gauge else ()), *bands)
        yield Section(title, (Table(heads, tuple(map(_time_row, lines))),))
    if sheet.canner:
        yield Section("The canner", (sheet.canner.text,))
    if sheet.pasteurization:
        yield Section("Low-temperature pasteurization", (sheet.pasteurization,))


def _band(low: int, high: int | None) -> str:
    return f"above {low - 1:,} ft" if high is None else f"{low:,} to {high:,} ft"


def _time_row(line: SheetProcess) -> tuple[str, ...]:
    pack = " or ".join(_PACKS.get(pack, pack) for pack in line.packs)
    minutes = () if line.minutes is None else (f"{line.minutes:g}",)
    figures = ("not recommended" if figure is None else f"{figure:g}" for _, _, figure in line.bands)
    return (line.jar, pack, *minutes, *figures)


def _mind(sheet: Sheet) -> Iterator[Section]:
    if sheet.cautions or sheet.notes:
        yield Section("Mind", (*sheet.cautions, *sheet.notes))
