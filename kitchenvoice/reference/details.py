"""Directions of one process: headspace, salt, acid, cautions, each from its own printed block."""

from __future__ import annotations

from collections.abc import Mapping

from .answer import Acid, CannerNeeds, tidy
from .beside import AcidAmounts, AcidRule
from .inputs import jar_name, normalise
from .models import Product

__all__ = ["acid_for", "canner_needs", "headspace_for", "inches_text", "salt_for", "tablespoons"]

_FRACTIONS = {0.0: "", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4", 1 / 8: "1/8"}
_LARGER = {
    "half_pint": ("pint", "quart"),
    "twelve_ounce": ("pint", "quart"),
    "pint": ("quart",),
    "pint_and_half": ("quart",),
}
_TWICE = {"half_pint": "pint", "pint": "quart"}


def inches_text(inches: float) -> str:
    """Spell a measure as it is printed: 1-1/4 inches, 1/2 inch."""
    return f"{_mixed(inches)} inch" + ("es" if inches > 1 else "")


def tablespoons(amount: float, unit: str) -> str:
    """Spell an amount of spoons: 2 tablespoons, 1/2 teaspoon."""
    return f"{_mixed(amount)} {unit}" + ("s" if amount > 1 else "")


def _mixed(value: float) -> str:
    whole, part = int(value), value - int(value)
    if part not in _FRACTIONS:
        return str(tidy(value))
    return "-".join(x for x in (str(whole) if whole else "", _FRACTIONS[part]) if x) or "0"


def headspace_for(
    item: Product, pack: str, column: str, size: object
) -> tuple[float | Mapping[str, float] | None, str | None]:
    """Return the headspace and its text; alternatives where the table prints them by size of the food."""
    space = item.headspace
    printed = (space.raw or {}).get(column, {}) if pack == "raw" else {}
    wanted = {name: inches for name, inches in printed.items() if normalise(size) in ("", name, name.split()[0])}
    choice = wanted or printed
    values = set(choice.values())
    if len(values) > 1:
        text = ", ".join(f"{inches_text(inches)} for {name}" for name, inches in choice.items())
        return {name: tidy(inches) for name, inches in choice.items()}, text
    inches = values.pop() if values else space.inches
    if inches is None:
        return None, space.note
    if space.solids is not None:
        return tidy(inches), f"{inches_text(space.solids)} for the pieces, then liquid to {inches_text(inches)}"
    return tidy(inches), inches_text(inches)


def salt_for(item: Product, jar: str) -> tuple[float | None, str | None, tuple[str, ...]]:
    """Return teaspoons of salt for one jar, a text, and the source.

    Most sections print the figure for quarts only: a pint gets half of it, and a half-pint half of a printed pint's.
    """
    salt = item.salt
    tsp, source = salt.tsp.get(jar), salt.source
    if tsp is None and _TWICE.get(jar) in salt.tsp:
        tsp, source = salt.tsp[_TWICE[jar]] / 2, (*source, "computed")
    if tsp is None:
        if salt.tsp:
            return None, f"No salt figure is printed for {jar_name(jar)}; salt is optional.", source
        return None, f"No salt figure per jar: {salt.note}." if salt.note else None, source
    text = f"{tablespoons(tsp, 'teaspoon')} of salt to a jar" + (", if you like" if salt.optional else "")
    return tidy(tsp), text + ".", source


def acid_for(rule: AcidRule | None, jar: str) -> Acid | None:
    """Return the acid of one jar; a jar without a printed figure gets the next larger printed one."""
    if rule is None:
        return None
    if rule.kind == "pot":
        text = f"Lemon juice goes into the pot, as the recipe of the fruit says: {rule.recipe}."
        return Acid(False, text, rule.source, recipe=rule.recipe, goes="pot")
    if rule.kind == "ferment":
        text = f"Fermenting makes the acid, with all that goes in: {rule.recipe}."
        return Acid(True, text, rule.source, recipe=rule.recipe, goes="ferment")
    if rule.kind == "recipe":
        text = f"The acid is in the recipe: {rule.recipe}."
        return Acid(True, text, rule.source, recipe=rule.recipe, goes="recipe")
    column = next((c for c in (jar, *_LARGER.get(jar, ())) if c in rule.per_jar), None)
    if column is None:
        return Acid(True, f"Acid is needed, but no amount is printed for {jar_name(jar)}.", rule.source)
    amounts = rule.per_jar[column]
    text = _amounts_text(amounts, rule.juice)
    if column != jar:
        text += f" This is printed for {jar_name(column)}, nothing for {jar_name(jar)}: our choice, on the acid side."
    return Acid(
        True,
        f"{text} {rule.note}" if rule.note else text,
        rule.source,
        lemon_juice_tbsp=tidy(amounts.lemon_juice_tbsp),
        citric_acid_tsp=_tidy(amounts.citric_acid_tsp),
        vinegar_tbsp=_tidy(amounts.vinegar_tbsp),
        printed_for=column.replace("_", "-"),
    )


def _amounts_text(amounts: AcidAmounts, juice: str) -> str:
    text = f"{tablespoons(amounts.lemon_juice_tbsp, 'tablespoon')} of {juice}"
    if amounts.citric_acid_tsp is not None:
        text += f" or {tablespoons(amounts.citric_acid_tsp, 'teaspoon')} of citric acid"
    text += " to a jar."
    if amounts.vinegar_tbsp is not None:
        text += f" {tablespoons(amounts.vinegar_tbsp, 'tablespoon')} of 5 percent vinegar is the alternative."
    return text


def _tidy(amount: float | None) -> float | None:
    return None if amount is None else tidy(amount)


def canner_needs(item: Product) -> CannerNeeds | None:
    """Return the food's special wish of the pressure canner, if any."""
    rule = item.canner
    if rule is None:
        return None
    return CannerNeeds(**{name: getattr(rule, name) for name in CannerNeeds.__dataclass_fields__})
