"""The one look-up: the published numbers, a refusal with its reason, or the missing particulars.

Nothing is assumed and nothing computed: a cell that isn't printed is refused. The order is fixed: first what can
never be answered (refused), then what is missing (incomplete), then the numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from kitchenvoice.errors import TablesDamaged

from . import inputs
from .answer import Answer
from .inputs import Word
from .library import product
from .models import Product
from .names import Found, decided, find_food, food_name, refused_entry, similar_names
from .outcomes import named_refusal, refuse
from .qualifiers import check
from .tables import answer_from_tables, packs_of

__all__ = ["lookup"]

_ASK = ("nchfp_process_time",)
_LOW_ACID = ("aib539_2015 (Guide 1:8)", "nchfp_pumpkin", "isu_gauge")
_ASKED = {
    "food": "the food",
    "pack": "the pack",
    "jar": "the jar size",
    "method": "the method",
    "gauge": "the gauge",
    "altitude_ft": "the altitude",
}


@dataclass(frozen=True)
class _Inputs:
    found: Found
    pack: Word
    jar: Word
    method: Word
    gauge: Word
    altitude: Word
    qualifiers: Mapping[str, object]


def lookup(
    food: str | None,
    *,
    pack: str | None = None,
    jar: str | None = None,
    method: str | None = None,
    gauge: str | None = None,
    altitude_ft: float | None = None,
    **qualifiers: object,
) -> Answer:
    """Look a process up in the published tables; total over its inputs, never raises, never assumes.

    Args:
        food: a spoken name or a product id.
        pack: raw or hot; see-procedure where the guide prints neither.
        jar: half-pint, twelve-ounce, pint, pint-and-half, quart, half-gallon.
        method: pressure or boiling-water; atmospheric-steam and pasteurization follow their published rules.
        gauge: dial or weighted; needed for pressure only.
        altitude_ft: rounded up to the next whole foot; above 8,000 feet is refused.
        qualifiers: variety, style, medium, bones, ground, acid_added, soaked, wild, dry_packed, bean_size, and
            option (the minutes of the printed alternative that is wanted).
    """
    try:
        return _answer(food, pack, jar, method, gauge, altitude_ft, qualifiers)
    except TablesDamaged as error:
        return Answer("refused", reason=str(error), source=("design_note",))


def _answer(
    food: object,
    pack: object,
    jar: object,
    method: object,
    gauge: object,
    altitude_ft: object,
    qualifiers: Mapping[str, object],
) -> Answer:
    given = _Inputs(
        find_food(food),
        inputs.pack(pack),
        inputs.jar(jar),
        inputs.method(method),
        inputs.gauge(gauge),
        inputs.altitude(altitude_ft),
        qualifiers,
    )
    refused = _refused_whatever_the_food(given)
    if refused:
        return refused
    found = given.found
    settled = found.food or decided(found, qualifiers, jar)
    if settled:
        return _for_food(product(settled), given)
    if found.kind == "refused":
        return named_refusal(found.refused or "", None)
    if not found.said:
        return _incomplete(given, None, ("food",), {}, None)
    if found.kind == "unknown":
        return _unknown(found.said)
    names = ", ".join(food_name(c) for c in found.candidates[:-1]) + f" or {food_name(found.candidates[-1])}"
    question = f"{found.ask}: {names}?"
    return _incomplete(given, None, ("food",), {"food": found.candidates}, question)


def _unknown(said: str) -> Answer:
    unknown = f"I have no published table for {said}."
    answer = refuse(unknown, instead=("asking the local Extension office",))
    similar = similar_names(said)
    if not similar:
        return answer
    meant = " or ".join((", ".join(similar[:-1]), similar[-1]) if len(similar) > 1 else similar)
    return replace(answer, reason=f"{unknown} Did you mean {meant}?", choices={"food": similar})


def _refused_whatever_the_food(given: _Inputs) -> Answer | None:
    if given.method.kind == "unknown":
        appliance = find_food(given.method.said)
        entry = refused_entry(appliance.refused or "")
        if entry and entry["kind"] == "appliance":
            return named_refusal(entry["id"], given.found.food)
    if given.jar.kind == "refused":
        return refuse(given.jar.reason or "", given.found.food, ("US pints or quarts",), ("design_note",))
    if given.altitude.kind == "refused":
        return refuse(
            given.altitude.reason or "",
            given.found.food,
            ("asking the local Extension office",),
            ("aib539_2015 (Guide 2:31)", "usu_timetables", "msue_pfs:01600874"),
        )
    return None


def _for_food(item: Product, given: _Inputs) -> Answer:
    used = given.found.decide.get("qualifier")
    limits = check(item, {name: value for name, value in given.qualifiers.items() if name != used})
    if limits.reason:
        return refuse(limits.reason, item.id, limits.instead, limits.source)
    packs = tuple(
        p
        for p in packs_of(item, given.method.value)
        if p in (given.found.packs or limits.packs or ("raw", "hot", "see_procedure"))
    )
    refused = _method_refused(item, given) or _jar_refused(item, given) or _pack_refused(item, given, packs)
    if refused:
        return refused
    missing = tuple(_missing(given))
    if missing:
        return _incomplete(given, item, missing, _choices(item, packs), None)
    answer = answer_from_tables(
        item,
        given.pack.value or "",
        given.jar.value or "",
        given.method.value or "",
        given.gauge.value or "",
        given.altitude.feet,
        given.qualifiers,
    )
    if answer.status != "ok":
        return answer
    remarks = (*answer.cautions, *([given.found.caution] if given.found.caution else []), *limits.cautions)
    return replace(answer, cautions=remarks)


def _method_refused(item: Product, given: _Inputs) -> Answer | None:
    method = given.method.value
    if method is None:
        return None
    if item.acidity == "low" and method != "pressure":
        return refuse(
            f"{food_name(item.id).capitalize()}: a low-acid food. It needs a pressure canner; boiling water is not hot"
            " enough for it at any time.",
            item.id,
            ("a pressure canner", "freezing"),
            _LOW_ACID,
        )
    table = "boiling_water" if method == "atmospheric_steam" else method
    if table not in item.methods and not (table == "pasteurization" and item.pasteurization):
        spoken = method.replace("_", " ")
        return refuse(
            f"No {spoken} process is published for {food_name(item.id)}.",
            item.id,
            tuple(m.replace("_", " ") for m in item.methods),
            item.processes[0].source,
        )
    return None


def _jar_refused(item: Product, given: _Inputs) -> Answer | None:
    if given.jar.value is None:
        return None
    rule = item.jar(given.jar.value)
    if rule.use:
        return None
    offered = tuple(inputs.jar_name(size) for size in item.sizes)
    source = (*item.processes[0].source, "aib539_2015 (Guide 1:23)")
    return refuse(f"{food_name(item.id).capitalize()}: {_lower(rule.reason)}", item.id, offered, source)


def _pack_refused(item: Product, given: _Inputs, packs: tuple[str, ...]) -> Answer | None:
    pack = given.pack.value
    if not packs:
        return refuse(f"No tested process is published for {given.found.said}.", item.id, (), item.processes[0].source)
    if pack is None or pack in packs:
        return None
    named = given.found.said if given.found.packs else food_name(item.id)
    if packs == ("see_procedure",):
        why = f"The guide prints neither raw nor hot pack for {named}: its procedure decides."
        return refuse(why, item.id, ("packing as its procedure says",), item.processes[0].source)
    only = " or ".join(packs)
    if pack == "see_procedure":
        why = f"{food_name(item.id).capitalize()}: the guide prints {only} pack."
        return refuse(why, item.id, tuple(f"{p} pack" for p in packs), item.processes[0].source)
    return refuse(
        f"No {pack}-pack process is published for {named}: {only} pack only.",
        item.id,
        tuple(f"{p} pack" for p in packs),
        item.processes[0].source,
    )


def _missing(given: _Inputs) -> Iterable[str]:
    for name, word in (("pack", given.pack), ("jar", given.jar), ("method", given.method)):
        if word.kind != "known":
            yield name
    if given.method.value == "pressure" and given.gauge.kind != "known":
        yield "gauge"
    if given.altitude.kind != "known" and given.method.value != "pasteurization":
        yield "altitude_ft"


def _choices(item: Product, packs: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    return {
        "pack": tuple(p.replace("_", "-") for p in packs),
        "jar": tuple(size.replace("_", "-") for size in item.sizes),
        "method": tuple(m.replace("_", "-") for m in item.methods),
        "gauge": ("dial", "weighted"),
        "altitude_ft": (),
    }


def _incomplete(
    given: _Inputs,
    item: Product | None,
    missing: tuple[str, ...],
    choices: Mapping[str, tuple[str, ...]],
    question: str | None,
) -> Answer:
    if item is None:
        missing = (*missing, *_missing(given))
    words = (given.pack, given.jar, given.method, given.altitude, *((given.gauge,) if "gauge" in missing else ()))
    strange = [word.reason for word in words if word.kind == "unknown" and word.reason]
    needed = "Still needed: " + ", ".join(_ASKED[m] for m in missing) + "."
    return Answer(
        "incomplete",
        food=item.id if item else None,
        food_name=food_name(item.id) if item else None,
        pack=_shown(given.pack.value),
        jar=_shown(given.jar.value),
        method=_shown(given.method.value),
        gauge=given.gauge.value,
        altitude_ft=given.altitude.feet,
        reason=" ".join([*strange, question or needed]),
        missing=missing,
        choices={name: choices[name] for name in missing if choices.get(name)},
        source=_ASK,
    )


def _shown(value: str | None) -> str | None:
    return value and value.replace("_", "-")


def _lower(text: str | None) -> str:
    return text[:1].lower() + text[1:] if text else ""
