"""The shape of the published tables: frozen pydantic models with a source on every block.

Lengths are inches, pressures pounds per square inch on the gauge, times minutes, heights whole feet.
A jar size or a pack that isn't listed has no tested process: absence means refuse, never "probably".
"""

from __future__ import annotations

from typing import Annotated, Literal

from ._pydantic import BaseModel, ConfigDict, Field, model_validator

__all__ = [
    "AcidRule",
    "Altitude",
    "BoilingBand",
    "BoilingProcess",
    "Caution",
    "Container",
    "Headspace",
    "JarRule",
    "JarRules",
    "PressureBand",
    "PressureProcess",
    "Product",
    "RecipeYield",
    "Salt",
    "Source",
    "StyleYield",
    "Yields",
]

Citations = Annotated[tuple[str, ...], Field(min_length=1)]
Range = tuple[float, float]
Evidence = Literal["seen_full", "partial", "from_memory"]
Altitude = Annotated[int, Field(ge=0, le=20_000)]


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Source(_Frozen):
    """Name where a figure was read, and how."""

    title: str
    publisher: str
    year: str
    section: str
    how_read: str
    role: str
    url: str | None = None


class Caution(_Frozen):
    """Hold one remark of the source that the cook has to hear."""

    text: str
    source: Citations


class JarRule(_Frozen):
    """Say which printed column a jar size takes its time from; ``use`` None means refuse."""

    use: str | None
    by_rule: bool = False
    reason: str | None = None

    @model_validator(mode="after")
    def _refusals_say_why(self) -> JarRule:
        if self.use is None and not self.reason:
            raise ValueError("a jar size without a process needs a reason")
        return self


class JarRules(_Frozen):
    """List the jar sizes of a food."""

    sizes: dict[str, JarRule]
    source: Citations


class PressureBand(_Frozen):
    """Hold one row of a pressure table; ``to_ft`` None means no printed upper end."""

    from_ft: Altitude
    to_ft: Altitude | None
    psi: Annotated[float, Field(gt=0, le=15)] | None
    refuse: str | None = None
    seen: bool = True


class BoilingBand(_Frozen):
    """Hold one row of a boiling-water table, minutes by jar size."""

    from_ft: Altitude
    to_ft: Altitude | None
    minutes: dict[str, Annotated[float, Field(gt=0)]]
    seen: bool = True


class PressureProcess(_Frozen):
    """Hold one pressure block: minutes by jar size, psi by altitude."""

    method: Literal["pressure"]
    gauge: Literal["dial", "weighted"]
    packs: tuple[Literal["hot", "raw"], ...]
    minutes: dict[str, Annotated[float, Field(gt=0)]]
    bands: tuple[PressureBand, ...]
    option: str | None = None
    primary: bool = False
    source: Citations
    evidence: Evidence
    evidence_note: str | None = None


class BoilingProcess(_Frozen):
    """Hold one boiling-water block."""

    method: Literal["boiling_water"]
    packs: tuple[Literal["hot", "raw"], ...]
    bands: tuple[BoilingBand, ...]
    source: Citations
    evidence: Evidence
    evidence_note: str | None = None


Process = Annotated[PressureProcess | BoilingProcess, Field(discriminator="method")]


class Headspace(_Frozen):
    """Hold the headspace; ``raw`` lists alternatives that depend on the food's size, by jar column."""

    inches: Annotated[float, Field(gt=0, le=3)]
    raw: dict[str, dict[str, float]] | None = None
    source: Citations


class Salt(_Frozen):
    """Hold teaspoons of salt by jar size; an absent size has no printed figure."""

    tsp: dict[str, float] = Field(default_factory=dict)
    optional: bool | None
    note: str | None = None
    source: Citations


class AcidAmounts(_Frozen):
    """Hold what one jar needs: one of these, not all of them."""

    lemon_juice_tbsp: float
    citric_acid_tsp: float
    vinegar_tbsp: float | None = None


class AcidRule(_Frozen):
    """Hold the acid a food must have: amounts by jar, or the brine of its recipe."""

    kind: Literal["per_jar", "recipe"]
    per_jar: dict[str, AcidAmounts] = Field(default_factory=dict)
    recipe: str | None = None
    note: str | None = None
    applies_to: str | None = None
    source: Citations


class Container(_Frozen):
    """Hold what a bushel, crate, lug or bag weighs and yields, as printed."""

    name: str
    weight_lb: float
    printed_as: str | None = None
    quarts: Range | None = None
    pints: Range | None = None


class StyleYield(_Frozen):
    """Hold the yield of one style of a product (thin or thick sauce)."""

    lb_per_7_quarts: float
    lb_per_9_pints: float
    lb_per_quart: Range
    container: Container


class RecipeYield(_Frozen):
    """Hold the yield of a recipe by the weight of its main part."""

    lb: float
    of: str
    pints: Range


class JamYield(_Frozen):
    """Hold the yield of one jam recipe, in cups and half-pints."""

    fruit: str
    half_pints: Range
    crushed_cups: Range
    sugar_cups: Range


class Yields(_Frozen):
    """Hold the printed yields of a food."""

    lb_per_7_quarts: float | None = None
    lb_per_9_pints: float | None = None
    lb_per_quart: Range | None = None
    lb_per_pint: Range | None = None
    container: Container | None = None
    styles: dict[str, StyleYield] = Field(default_factory=dict)
    recipe: RecipeYield | None = None
    recipe_quarts: float | None = None
    recipe_cups: dict[str, float] = Field(default_factory=dict)
    recipe_half_pints: tuple[JamYield, ...] = ()
    superseded: dict[str, object] | None = None
    note: str | None = None
    source: Citations


class Pasteurization(_Frozen):
    """Hold a low-temperature pasteurization that a recipe prints; kept for the reader, never led."""

    minutes: float
    water_f: Range
    source: Citations


class Product(_Frozen):
    """Hold everything that is published about one food."""

    id: str
    title: str
    acidity: Literal["low", "acid", "acidified", "needs_acid"]
    methods: tuple[Literal["pressure", "boiling_water"], ...]
    jars: JarRules
    headspace: Headspace
    salt: Salt
    acid: AcidRule | None
    processes: tuple[Process, ...]
    yields: Yields
    cautions: tuple[Caution, ...] = ()
    notes: tuple[Caution, ...] = ()
    pasteurization: Pasteurization | None = None

    @model_validator(mode="after")
    def _low_acid_never_boils(self) -> Product:
        if self.acidity == "low" and any(p.method != "pressure" for p in self.processes):
            raise ValueError(f"{self.id}: a low-acid food must not have a boiling-water process")
        if self.acidity == "needs_acid" and self.acid is None:
            raise ValueError(f"{self.id}: the acid it needs is missing")
        return self

    @model_validator(mode="after")
    def _jars_point_at_printed_columns(self) -> Product:
        for size, rule in self.jars.sizes.items():
            if rule.use and rule.use not in self.columns:
                raise ValueError(f"{self.id}: {size} points at {rule.use}, which no table prints")
        return self

    @property
    def columns(self) -> frozenset[str]:
        """Return the jar columns that at least one table of this food prints."""
        printed = [p.minutes if isinstance(p, PressureProcess) else p.bands[0].minutes for p in self.processes]
        return frozenset(column for minutes in printed for column in minutes)

    @property
    def verified(self) -> tuple[PressureProcess | BoilingProcess, ...]:
        """Return the blocks that may be offered: those read in a source, at least in part."""
        return tuple(p for p in self.processes if p.evidence != "from_memory")


Product.model_rebuild()  # build the one schema that a look-up needs at import, so that no look-up waits for it
