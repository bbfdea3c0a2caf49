"""Directions beside a process: headspace, salt, acid, sterile jars, yields, recipes. Lengths are inches."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from .cited import Block, Cited, Range
from .processes import Pack

__all__ = [
    "NONE_PRINTED",
    "AcidAmounts",
    "AcidRule",
    "Container",
    "Ferment",
    "FermentBand",
    "Headspace",
    "Ingredient",
    "NoBubbles",
    "Preparation",
    "Recipe",
    "Salt",
    "SameAs",
    "SterileJars",
    "StyleYield",
    "Yields",
]

_TOP_INCHES = 3
NONE_PRINTED = "none printed"
"""The note of salt that a food's procedure doesn't name."""


@dataclass(frozen=True, kw_only=True)
class Headspace(Cited):
    """The headspace, in inches; None is that of the fruit itself (baby food), and ``note`` says so.

    ``solids``: the pieces are filled to this first, then the liquid to ``inches``. ``raw`` lists alternatives that
    depend on the food's size, by jar column.
    """

    inches: float | None
    solids: float | None = None
    raw: dict[str, dict[str, float]] | None = None
    note: str | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if the headspace can't be, or nothing is cited."""
        Cited.__post_init__(self)
        if self.inches is None and not self.note:
            raise ValueError("a headspace without inches needs a note")
        for inches in (self.inches, self.solids):
            if inches is not None and not 0 < inches <= _TOP_INCHES:
                raise ValueError(f"headspace has to be more than nothing, and no more than {_TOP_INCHES} inches")


@dataclass(frozen=True, kw_only=True)
class Salt(Cited):
    """Teaspoons of salt by jar size; an absent size has no printed figure."""

    tsp: dict[str, float] = field(default_factory=dict)
    optional: bool | None
    note: str | None = None


@dataclass(frozen=True, kw_only=True)
class AcidAmounts(Block):
    """What one jar needs: one of these, not all of them; None is not printed."""

    lemon_juice_tbsp: float
    citric_acid_tsp: float | None = None
    vinegar_tbsp: float | None = None


@dataclass(frozen=True, kw_only=True)
class AcidRule(Cited):
    """The acid of a food: amounts by jar, or in its recipe, or from its ferment.

    ``pot``: lemon juice that the jam of some fruits is boiled with, so that no jar waits for it.
    """

    kind: Literal["per_jar", "recipe", "ferment", "pot"]
    per_jar: dict[str, AcidAmounts] = field(default_factory=dict)
    juice: Literal["bottled lemon juice", "lemon juice"] = "bottled lemon juice"
    recipe: str | None = None
    note: str | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if there is no amount."""
        Cited.__post_init__(self)
        if not (self.per_jar if self.kind == "per_jar" else self.recipe):
            raise ValueError("acid without an amount")


@dataclass(frozen=True, kw_only=True)
class FermentBand(Block):
    """How many weeks a ferment takes between two temperatures, in degrees Fahrenheit."""

    degrees_f: Range
    weeks: Range


@dataclass(frozen=True, kw_only=True)
class Ferment(Cited):
    """How a food ferments, the usual band of temperature first.

    ``salt`` is never less; ``warm`` tells what too much warmth or cold does, ``look`` how often to look at the crock
    and what for, ``brine`` what tops it up, ``keeps`` what becomes of it in the end.
    """

    bands: tuple[FermentBand, ...]
    salt: str
    warm: str
    look: str
    brine: str
    keeps: str


@dataclass(frozen=True, kw_only=True)
class SterileJars(Cited):
    """Which empty jars have to be sterile: these sizes, in these packs."""

    jars: tuple[str, ...]
    packs: tuple[Pack, ...]


@dataclass(frozen=True, kw_only=True)
class Preparation(Cited):
    """The preparation of a food for one pack: minutes boiled (simmered, steamed, baked), liquid, next step.

    ``order``: what goes into the jar first, where the text doesn't say.
    """

    pack: Pack
    minutes: Range | None = None
    liquid: str | None = None
    text: str
    order: str | None = None


@dataclass(frozen=True, kw_only=True)
class NoBubbles(Cited):
    """The guide has no air bubbles released from this food."""


@dataclass(frozen=True, kw_only=True)
class SameAs(Cited):
    """The food whose process the guide gives to this one."""

    food: str


@dataclass(frozen=True, kw_only=True)
class Container(Block):
    """What a bushel, crate, lug or bag weighs and yields, as printed."""

    name: str
    weight_lb: float
    printed_as: str | None = None
    quarts: Range | None = None
    pints: Range | None = None


@dataclass(frozen=True, kw_only=True)
class StyleYield(Block):
    """The yield of one style of a product (thin or thick sauce)."""

    lb_per_7_quarts: float
    lb_per_9_pints: float
    lb_per_quart: Range
    container: Container


@dataclass(frozen=True, kw_only=True)
class Yields(Cited):
    """The printed yields of a food."""

    lb_per_7_quarts: float | Range | None = None
    lb_per_9_pints: float | Range | None = None
    lb_per_9_half_pints: float | None = None
    lb_per_quart: Range | None = None
    lb_per_pint: Range | None = None
    container: Container | None = None
    styles: dict[str, StyleYield] = field(default_factory=dict)
    note: str | None = None


@dataclass(frozen=True, kw_only=True)
class Ingredient(Block):
    """One amount of a recipe, and ``most`` where a range is printed.

    ``keep`` says what may be done with it: ``main`` is what the recipe goes by; ``never_less`` and ``never_more`` make
    the process valid; ``as_printed`` is both; ``free`` is taste or firmness alone.
    """

    what: str
    amount: float
    most: float | None = None
    unit: str
    keep: Literal["main", "never_less", "never_more", "as_printed", "free"]


@dataclass(frozen=True, kw_only=True)
class Recipe(Cited):
    """The terms of a valid recipe, and its yield in jars of one size; ``name`` if a food has several.

    ``also`` are what the publication counts to it, such as the berries of berry jam.
    """

    name: str | None = None
    also: tuple[str, ...] = ()
    jar: str | None = None
    jars: Range | None = None
    ingredients: tuple[Ingredient, ...]
