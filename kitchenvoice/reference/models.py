"""The shape of the published tables: frozen dataclasses with a source on every block.

Lengths are inches, pressures pounds per square inch on the gauge, times minutes, heights whole feet.
A jar size or a pack that isn't listed has no tested process: absence means refuse, never "probably".

What must hold beyond the types stands in ``__post_init__`` and raises ValueError: so it holds whoever builds a block,
pydantic (:mod:`.validation`, when the tables are checked) or the loader of every look-up (:mod:`.library`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

__all__ = [
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
    "Rule",
    "Salt",
    "Source",
    "StyleYield",
    "Yields",
]

Range = tuple[float, float]
Evidence = Literal["seen_full", "partial", "from_memory"]

_TOP_FT = 20_000
_TOP_PSI = 15
_TOP_INCHES = 3


class Block:
    """Allow nothing but what is declared (pydantic reads this; our own loader always works so)."""

    __pydantic_config__: ClassVar[dict[str, str]] = {"extra": "forbid"}


@dataclass(frozen=True, kw_only=True)
class Cited(Block):
    """Hold where the figures of a block were read; none without."""

    source: tuple[str, ...]

    def __post_init__(self) -> None:
        """Raise ValueError if nothing is cited."""
        if not self.source:
            raise ValueError("a block needs its source")


def _require_positive(minutes: Iterable[float]) -> None:
    if not all(0 < number < float("inf") for number in minutes):
        raise ValueError("minutes have to be more than nothing")


def _require_height(from_ft: int, to_ft: int | None) -> None:
    if not 0 <= from_ft <= (_TOP_FT if to_ft is None else to_ft) <= _TOP_FT:
        raise ValueError("a band of altitude has to lie between sea level and 20,000 feet, its lower end first")


@dataclass(frozen=True, kw_only=True)
class Source(Block):
    """Name where a figure was read, and how."""

    title: str
    publisher: str
    year: str
    section: str
    how_read: str
    role: str
    url: str | None = None


@dataclass(frozen=True, kw_only=True)
class Caution(Cited):
    """Hold one remark of the source that the cook has to hear, with one ``pack`` only where it is of that."""

    text: str
    pack: Literal["raw", "hot"] | None = None


@dataclass(frozen=True, kw_only=True)
class Rule(Cited):
    """Hold one published rule; ``third_party`` evidence means the official page itself wasn't read."""

    text: str
    evidence: Literal["seen", "third_party"]
    figures: dict[str, Any] = field(default_factory=dict)
    action: str | None = None


@dataclass(frozen=True, kw_only=True)
class JarRule(Block):
    """Say which printed column a jar size takes its time from; ``use`` None means refuse."""

    use: str | None
    by_rule: bool = False
    reason: str | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if a refusal doesn't say why."""
        if self.use is None and not self.reason:
            raise ValueError("a jar size without a process needs a reason")


@dataclass(frozen=True, kw_only=True)
class JarRules(Cited):
    """List the jar sizes of a food."""

    sizes: dict[str, JarRule]


@dataclass(frozen=True, kw_only=True)
class PressureBand(Block):
    """Hold one row of a pressure table; ``to_ft`` None means no printed upper end."""

    from_ft: int
    to_ft: int | None
    psi: float | None
    refuse: str | None = None
    seen: bool = True

    def __post_init__(self) -> None:
        """Raise ValueError if the heights or the pressure can't be."""
        _require_height(self.from_ft, self.to_ft)
        if self.psi is not None and not 0 < self.psi <= _TOP_PSI:
            raise ValueError(f"pounds have to be more than nothing, and no more than {_TOP_PSI}")


@dataclass(frozen=True, kw_only=True)
class BoilingBand(Block):
    """Hold one row of a boiling-water table, minutes by jar size."""

    from_ft: int
    to_ft: int | None
    minutes: dict[str, float]
    seen: bool = True

    def __post_init__(self) -> None:
        """Raise ValueError if the heights or the minutes can't be."""
        _require_height(self.from_ft, self.to_ft)
        _require_positive(self.minutes.values())


@dataclass(frozen=True, kw_only=True)
class PressureProcess(Cited):
    """Hold one pressure block: minutes by jar size, psi by altitude."""

    method: Literal["pressure"]
    gauge: Literal["dial", "weighted"]
    packs: tuple[Literal["hot", "raw"], ...]
    minutes: dict[str, float]
    bands: tuple[PressureBand, ...]
    option: str | None = None
    primary: bool = False
    evidence: Evidence
    evidence_note: str | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if the minutes can't be, or nothing is cited."""
        Cited.__post_init__(self)
        _require_positive(self.minutes.values())


@dataclass(frozen=True, kw_only=True)
class BoilingProcess(Cited):
    """Hold one boiling-water block."""

    method: Literal["boiling_water"]
    packs: tuple[Literal["hot", "raw"], ...]
    bands: tuple[BoilingBand, ...]
    evidence: Evidence
    evidence_note: str | None = None


Process = PressureProcess | BoilingProcess


@dataclass(frozen=True, kw_only=True)
class Headspace(Cited):
    """Hold the headspace; ``raw`` lists alternatives that depend on the food's size, by jar column."""

    inches: float
    raw: dict[str, dict[str, float]] | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if the headspace can't be, or nothing is cited."""
        Cited.__post_init__(self)
        if not 0 < self.inches <= _TOP_INCHES:
            raise ValueError(f"headspace has to be more than nothing, and no more than {_TOP_INCHES} inches")


@dataclass(frozen=True, kw_only=True)
class Salt(Cited):
    """Hold teaspoons of salt by jar size; an absent size has no printed figure."""

    tsp: dict[str, float] = field(default_factory=dict)
    optional: bool | None
    note: str | None = None


@dataclass(frozen=True, kw_only=True)
class AcidAmounts(Block):
    """Hold what one jar needs: one of these, not all of them."""

    lemon_juice_tbsp: float
    citric_acid_tsp: float
    vinegar_tbsp: float | None = None


@dataclass(frozen=True, kw_only=True)
class AcidRule(Cited):
    """Hold the acid a food must have: amounts by jar, or the brine of its recipe."""

    kind: Literal["per_jar", "recipe"]
    per_jar: dict[str, AcidAmounts] = field(default_factory=dict)
    recipe: str | None = None
    note: str | None = None
    applies_to: str | None = None


@dataclass(frozen=True, kw_only=True)
class Container(Block):
    """Hold what a bushel, crate, lug or bag weighs and yields, as printed."""

    name: str
    weight_lb: float
    printed_as: str | None = None
    quarts: Range | None = None
    pints: Range | None = None


@dataclass(frozen=True, kw_only=True)
class StyleYield(Block):
    """Hold the yield of one style of a product (thin or thick sauce)."""

    lb_per_7_quarts: float
    lb_per_9_pints: float
    lb_per_quart: Range
    container: Container


@dataclass(frozen=True, kw_only=True)
class RecipeYield(Block):
    """Hold the yield of a recipe by the weight of its main part."""

    lb: float
    of: str
    pints: Range


@dataclass(frozen=True, kw_only=True)
class JamYield(Block):
    """Hold the yield of one jam recipe, in cups and half-pints."""

    fruit: str
    half_pints: Range
    crushed_cups: Range
    sugar_cups: Range


@dataclass(frozen=True, kw_only=True)
class Yields(Cited):
    """Hold the printed yields of a food."""

    lb_per_7_quarts: float | None = None
    lb_per_9_pints: float | None = None
    lb_per_quart: Range | None = None
    lb_per_pint: Range | None = None
    container: Container | None = None
    styles: dict[str, StyleYield] = field(default_factory=dict)
    recipe: RecipeYield | None = None
    recipe_quarts: float | None = None
    recipe_cups: dict[str, float] = field(default_factory=dict)
    recipe_half_pints: tuple[JamYield, ...] = ()
    superseded: dict[str, Any] | None = None
    note: str | None = None


@dataclass(frozen=True, kw_only=True)
class Pasteurization(Cited):
    """Hold a low-temperature pasteurization that a recipe prints; kept for the reader, never led."""

    minutes: float
    water_f: Range


@dataclass(frozen=True, kw_only=True)
class Product(Block):
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

    def __post_init__(self) -> None:
        """Raise ValueError if low-acid food would boil, acid is missing, or a jar points at no printed column."""
        if self.acidity == "low" and any(p.method != "pressure" for p in self.processes):
            raise ValueError(f"{self.id}: a low-acid food must not have a boiling-water process")
        if self.acidity == "needs_acid" and self.acid is None:
            raise ValueError(f"{self.id}: the acid it needs is missing")
        for size, rule in self.jars.sizes.items():
            if rule.use and rule.use not in self.columns:
                raise ValueError(f"{self.id}: {size} points at {rule.use}, which no table prints")

    @property
    def columns(self) -> frozenset[str]:
        """Return the jar columns that at least one table of this food prints."""
        printed = [p.minutes if isinstance(p, PressureProcess) else p.bands[0].minutes for p in self.processes]
        return frozenset(column for minutes in printed for column in minutes)

    @property
    def verified(self) -> tuple[PressureProcess | BoilingProcess, ...]:
        """Return the blocks that may be offered: those read in a source, at least in part."""
        return tuple(p for p in self.processes if p.evidence != "from_memory")
