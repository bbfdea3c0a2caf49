"""From what is on hand to jars, loads, salt, lids and acid, as ranges with their sources."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from . import inputs
from .answer import Status, plain_fields, tidy
from .day import DayPlan, day_plan
from .details import acid_for, salt_for
from .library import product
from .lookup import lookup
from .measures import Span
from .models import Product
from .names import food_name
from .quantity import Quantity, parse_have
from .recipes import RecipeAmount, amounts, main_of, recipe_for
from .yields import jars_from

__all__ = ["LastLoad", "Plan", "plan"]

_MOST_JARS = 100
_NO_WAITING = "Jars already filled must not wait for a second load."


@dataclass(frozen=True)
class LastLoad:
    """How many jars go into the last canner load, for the fewest, the average and the most jars."""

    at_fewest: int
    at_most: int
    at_typical: int | None


@dataclass(frozen=True)
class Plan:
    """The plan for an amount of food; ``last_load`` says what is left for the last canner load.

    Salt is in teaspoons, acid in tablespoons of lemon juice and teaspoons of citric acid (one of them); ``recipe`` has
    what else the jars take by the recipe of the food: vinegar, sugar, salt and all that makes it valid.
    """

    status: Status
    food: str | None = None
    food_name: str | None = None
    have: str | None = None
    jar: str | None = None
    capacity: int | None = None
    jars: Span | None = None
    loads: Span | None = None
    last_load: LastLoad | None = None
    lids: Span | None = None
    salt_tsp: Span | None = None
    lemon_juice_tbsp: Span | None = None
    citric_acid_tsp: Span | None = None
    recipe: tuple[RecipeAmount, ...] = ()
    text: str | None = None
    notes: tuple[str, ...] = ()
    day: DayPlan | None = None
    reason: str | None = None
    missing: tuple[str, ...] = ()
    choices: dict[str, tuple[str, ...]] | None = None
    source: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return plain values that JSON can hold."""
        return plain_fields(self)


def plan(
    food: str | None,
    have: str | Quantity | None = None,
    jar: str | None = None,
    capacity: int | None = None,
    *,
    style: str | None = None,
    pack: str | None = None,
    method: str | None = None,
    gauge: str | None = None,
    altitude_ft: float | None = None,
    canners: int = 1,
    pack_minutes: tuple[float, float] | None = None,
    heat_minutes: tuple[float, float] | None = None,
) -> Plan:
    """Plan a day from what is on hand; with pack, method, gauge and altitude too, its times are estimated.

    Raises:
        BadInput: ``have`` isn't an amount, such as "28 lb".
    """
    quantity = parse_have(have) if isinstance(have, str) and have.strip() else have
    asked = lookup(food, pack=pack, jar=jar, method=method, gauge=gauge, altitude_ft=altitude_ft)
    if asked.status == "refused":
        return Plan("refused", asked.food, asked.food_name, reason=asked.reason, source=asked.source)
    missing: list[str] = [name for name in ("food", "jar") if name in asked.missing]
    missing += [] if isinstance(quantity, Quantity) else ["have"]
    missing += [] if _fits(capacity) else ["capacity"]
    if asked.food is None or not isinstance(quantity, Quantity) or capacity is None or missing:
        order: list[str] = [name for name in ("food", "have", "jar", "capacity") if name in missing]
        return Plan(
            "incomplete",
            asked.food,
            asked.food_name,
            reason=_still_needed(order, asked.reason if asked.choices.get("food") else None),
            missing=tuple(order),
            choices={name: found for name in order if (found := asked.choices.get(name))},
            source=asked.source,
        )
    size = inputs.jar(jar).value or ""
    made = _for(product(asked.food), quantity, size, int(capacity), style)
    if made.status == "ok" and asked.status == "ok" and made.loads:
        day = day_plan(asked, int(made.loads.high), canners, pack_minutes=pack_minutes, heat_minutes=heat_minutes)
        return replace(made, day=day)
    return made


def _for(item: Product, have: Quantity, jar: str, capacity: int, style: str | None) -> Plan:
    base = Plan(
        "ok", item.id, food_name(item.id), have.text, jar.replace("_", "-"), capacity, source=item.yields.source
    )
    jars = jars_from(item, have, jar, style)
    if isinstance(jars, str):
        return replace(base, status="refused", reason=jars)
    tsp, _, salt_source = salt_for(item, jar)
    acid = acid_for(item.acid, jar)
    lemon, citric = (acid.lemon_juice_tbsp, acid.citric_acid_tsp) if acid else (None, None)
    used = (*item.yields.source, *(salt_source if tsp else ()), *(acid.source if acid else ()))
    used += tuple(s for r in item.recipes for s in r.source)
    loads = _each(jars, lambda n: math.ceil(n / capacity))
    recipe = recipe_for(item, jar, jars.high, style)
    main = main_of(recipe) if recipe else []
    return replace(
        base,
        jars=jars,
        loads=loads,
        last_load=_last_load(jars, capacity),
        lids=Span(jars.low, jars.high, jars.typical),
        salt_tsp=_times(jars, tsp),
        lemon_juice_tbsp=_times(jars, lemon),
        citric_acid_tsp=_times(jars, citric),
        recipe=amounts(recipe, have, jars, jar) if recipe else (),
        text=_text(base, have, jars, loads, main[0].what if len(main) == 1 and have.unit != "batch" else None),
        notes=_notes(item, have, jar, capacity, jars),
        source=tuple(dict.fromkeys((*used, "si_defs"))),
    )


def _last_load(jars: Span, capacity: int) -> LastLoad:
    low, high, typical = (None if n is None else _rest(int(n), capacity) for n in (jars.low, jars.high, jars.typical))
    return LastLoad(low or 0, high or 0, typical)


def _rest(jars: int, capacity: int) -> int:
    return (jars - 1) % capacity + 1 if jars else 0


def _text(base: Plan, on_hand: Quantity, jars: Span, loads: Span, main: str | None) -> str:
    size = (base.jar or "").replace("-", "_")
    have = f"{(base.have or '')[:1].upper()}{(base.have or '')[1:]}"
    if not jars.high:
        return f"{have} of {base.food_name} will not fill one {inputs.jar_name(size, 1)}."
    name = inputs.jar_name(size, jars.high)
    about = f", on average {jars.typical}" if jars.typical is not None and jars.low != jars.high else ""
    load = "load" if loads.high == 1 else "loads"
    if on_hand.counts_jars:
        return f"{_span(jars)} {name} of {base.food_name}: that is {_span(loads)} canner {load}."
    made = f"{_span(jars)} {name}" + (f" of {base.food_name}" if main else "")
    return f"{have} of {main or base.food_name} will make {made}{about}; that is {_span(loads)} canner {load}."


def _split(count: int, capacity: int) -> str:
    """Say how so many jars go into the canner."""
    full, rest = divmod(count, capacity)
    parts = [f"{full} full {'load' if full == 1 else 'loads'}"] if full else []
    if rest:
        parts.append(f"a last one of {rest}" if full else f"one load of {rest}")
    return " and ".join(parts) or "not one full jar"


def _all(count: int, capacity: int) -> str:
    return f"{count} {'jar' if count == 1 else 'jars'}: {_split(count, capacity)}."


def _notes(item: Product, have: Quantity, jar: str, capacity: int, jars: Span) -> tuple[str, ...]:
    if have.counts_jars:
        return (_all(int(jars.low), capacity), _NO_WAITING)
    if jars.low == jars.high:
        notes = [_all(int(jars.low), capacity)] if jars.low else []
    else:
        ends = (("fewest", int(jars.low)), ("most", int(jars.high)))
        notes = [f"The {which} jars, {count}: {_split(count, capacity)}." for which, count in ends]
    printed = item.yields.lb_per_7_quarts if jar == "quart" else item.yields.lb_per_9_pints
    own = {recipe.jar for recipe in item.recipes}
    if jar not in own | {"pint", "quart"} or not (printed or item.yields.styles or own):
        notes.append("The yield is printed for other jars; it was carried over by volume, which is exact.")
    if item.yields.note:
        notes.append(f"Yield note: {item.yields.note}.".replace("..", "."))
    return (*notes, "Yields vary widely: this is for planning.", _NO_WAITING)


def _fits(capacity: int | None) -> bool:
    return isinstance(capacity, int) and not isinstance(capacity, bool) and 1 <= capacity <= _MOST_JARS


def _still_needed(order: list[str], question: str | None) -> str:
    words = {"food": "the food", "have": "how much there is", "jar": "the jar size", "capacity": "how many jars fit"}
    return question or "Still needed: " + ", ".join(words[name] for name in order) + "."


def _each(jars: Span, of: Any) -> Span:
    return Span(of(jars.low), of(jars.high), None if jars.typical is None else of(jars.typical))


def _times(jars: Span, amount: float | None) -> Span | None:
    return None if amount is None else _each(jars, lambda n: tidy(n * amount))


def _span(span: Span) -> str:
    return f"{span.low}" if span.low == span.high else f"{span.low} to {span.high}"
