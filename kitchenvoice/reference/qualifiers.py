"""Further particulars of a food (variety, style, bones ...): they settle a question or lead to a refusal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .inputs import normalise
from .models import Product
from .names import find_food, food_name, refused_entry

__all__ = ["KNOWN", "Check", "check"]

KNOWN = frozenset(
    {
        "acid_added",
        "bean_size",
        "bones",
        "dry_packed",
        "ground",
        "medium",
        "option",
        "soaked",
        "style",
        "variety",
        "wild",
    }
)
_MASHED = {"mashed", "puree", "pureed", "butter", "mash"}
_WHOLE_STYLES = {"whole", "sliced", "diced", "cubed", "cubes", "halved", "pieces", "chunks", "strips", "shelled"}
_MEDIUM = {
    "tomatoes_whole_water": "water",
    "tomatoes_whole_juice": "juice",
    "tomatoes_whole_no_liquid": "none",
    "dry_beans_plain": "water",
    "dry_beans_sauce": "sauce",
}
_OTHER_KIND = {
    "bones": {"chicken_bone_in": True, "chicken_boneless": False},
    "ground": {"meat_ground": True, "meat_strips_cubes": False},
}


@dataclass(frozen=True)
class Check:
    """The outcome: a refusal (reason, instead, source), or limits and remarks to carry on with."""

    reason: str | None = None
    instead: tuple[str, ...] = ()
    source: tuple[str, ...] = ()
    packs: tuple[str, ...] | None = None
    cautions: tuple[str, ...] = ()


def check(item: Product, given: Mapping[str, object]) -> Check:
    """Check every qualifier against the food; the first refusal wins."""
    cautions: list[str] = []
    packs: tuple[str, ...] | None = None
    for name, value in sorted(given.items()):
        if value is None or value == "":
            continue
        if name not in KNOWN:
            return Check(f"The tables say nothing about {name[:40].replace('_', ' ')}; ask without it.")
        outcome = _one(item, name, value)
        if outcome.reason:
            return outcome
        cautions += outcome.cautions
        packs = outcome.packs or packs
    return Check(packs=packs, cautions=tuple(cautions))


def _one(item: Product, name: str, value: object) -> Check:
    if name == "acid_added" and value is False and item.acid and item.acid.kind != "pot":
        return Check(
            f"{food_name(item.id).capitalize()} must be acidified.", ("adding the acid of the table",), item.acid.source
        )
    if name == "soaked" and value is False and item.id.startswith("dry_beans"):
        return _named("unsoaked_beans")
    if name == "wild" and value is True and item.id == "mushrooms":
        return _named("wild_mushrooms")
    if name == "dry_packed" and value is True:
        return Check(
            "I have no dry-pack process.",
            ("covering the food with liquid as the table says",),
            ("msue_pfs:01600190", "msue_pfs:01600235"),
        )
    if name in _OTHER_KIND and isinstance(value, bool) and _OTHER_KIND[name].get(item.id, value) is not value:
        return Check(f"That is not {food_name(item.id)}: it has another table.", (), item.processes[0].source)
    if name == "medium":
        return _medium(item, value)
    if name == "style":
        return _style(item, value)
    if name == "variety":
        return _variety(item, value)
    return Check()


def _named(entry_id: str) -> Check:
    entry = refused_entry(entry_id)
    assert entry is not None
    return Check(entry["reason"], tuple(entry["instead"]), tuple(entry["source"]))


def _medium(item: Product, value: object) -> Check:
    own = _MEDIUM.get(item.id)
    if own is None or normalise(value) == own:
        return Check()
    return Check(f"The table of {food_name(item.id)} holds for that packing only.", (), item.processes[0].source)


def _style(item: Product, value: object) -> Check:
    said = normalise(value)
    if item.acidity == "low" and set(said.split()) & _MASHED:
        return Check(
            f"No tested process exists for mashed or pureed {food_name(item.id)}.",
            ("pieces as the table says", "freezing"),
            ("nchfp_pumpkin", "ksu_pumpkin", "msue_pfs:01600190"),
        )
    if said in _WHOLE_STYLES:
        return Check()
    return Check(f"The tables say nothing about {said[:40]} as a style of {food_name(item.id)}.")


def _variety(item: Product, value: object) -> Check:
    said = normalise(value)
    for phrase in (f"{said} {food_name(item.id)}", said):
        found = find_food(phrase)
        if found.refused:
            return _named(found.refused)
        if found.food == item.id:
            return Check(packs=found.packs, cautions=(found.caution,) if found.caution else ())
        if found.food:
            other = food_name(found.food)
            return Check(f"{said[:40].capitalize()} belongs to another table.", (other,), item.processes[0].source)
    return Check(cautions=(f"The table does not name the variety {said[:40]}.",))
