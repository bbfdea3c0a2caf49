"""The shape of a food's tables: a frozen dataclass with a source on every block.

A jar size or a pack that isn't listed has no tested process: absence means refuse, never "probably".

What must hold beyond the types stands in ``__post_init__`` and raises ValueError: so it holds whoever builds a block,
pydantic (:mod:`.validation`, when the tables are checked) or the loader of every look-up (:mod:`.library`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from .beside import AcidRule, Ferment, Headspace, NoBubbles, Preparation, Recipe, Salt, SameAs, SterileJars, Yields
from .cited import Block, Caution, Range
from .processes import BoilingProcess, CannerRule, GuideProcess, Pasteurization, PressureProcess

__all__ = ["JARS", "JarRule", "Product"]

JARS = ("half_pint", "twelve_ounce", "pint", "pint_and_half", "quart", "half_gallon")
"""Every jar size that any table knows, the smallest first."""

_BY_RULE = {"half_pint": "pint", "pint_and_half": "quart"}
_NO_JAR = {
    "half_gallon": "Half-gallon jars are only tested for apple juice and grape juice.",
    "twelve_ounce": "Twelve-ounce jars are only printed for fish in pints and for pickled asparagus.",
}
_STERILE_BELOW_MINUTES = 10


@dataclass(frozen=True, kw_only=True)
class JarRule:
    """Which printed column a jar size takes its time from; ``use`` None means refuse, for this reason.

    ``by_rule``: the size isn't printed for the food, its time is that of another by the guide's general rule.
    """

    use: str | None
    by_rule: bool = False
    reason: str | None = None


@dataclass(frozen=True, kw_only=True)
class Product(Block):
    """Everything that is published about one food.

    ``no_jar`` says more of why a size has no process; ``soak_hours`` is that of dried beans; with ``ascorbic_dip`` the
    peeled fruit is kept in the solution of the rule ``preparing.ascorbic_acid``.
    """

    id: str
    title: str
    acidity: Literal["low", "acid", "acidified", "fermented", "needs_acid"]
    methods: tuple[Literal["pressure", "boiling_water"], ...]
    no_jar: dict[str, str] = field(default_factory=dict)
    headspace: Headspace
    salt: Salt
    acid: AcidRule | None
    ferment: Ferment | None = None
    sterile_jars: SterileJars | None = None
    canner: CannerRule | None = None
    same_as: SameAs | None = None
    processes: tuple[GuideProcess, ...]
    pasteurization: Pasteurization | None = None
    preparations: tuple[Preparation, ...] = ()
    soak_hours: Range | None = None
    ascorbic_dip: bool = False
    no_bubbles: NoBubbles | None = None
    yields: Yields
    recipes: tuple[Recipe, ...] = ()
    cautions: tuple[Caution, ...] = ()
    notes: tuple[Caution, ...] = ()

    def __post_init__(self) -> None:
        """Raise ValueError if low-acid food would boil, or acid, sterile jars or a printed jar are missing."""
        if not self.processes:
            raise ValueError(f"{self.id}: a food without a process has to be refused by name")
        if self.acidity == "low" and any(p.method != "pressure" for p in self.processes):
            raise ValueError(f"{self.id}: a low-acid food must not have a boiling-water process")
        if self.acidity in ("needs_acid", "acidified", "fermented") and self.acid is None:
            raise ValueError(f"{self.id}: the acid it needs is missing")
        if (self.acidity == "fermented") is (self.ferment is None):
            raise ValueError(f"{self.id}: how it ferments is missing, or doesn't belong to it")
        packs = {pack for block in self.processes for pack in block.packs}
        prepared = {preparation.pack for preparation in self.preparations}
        if not prepared or not prepared <= packs:
            raise ValueError(f"{self.id}: the preparation of a pack that it has is missing")
        if not self.columns <= set(JARS) or self.columns & self.no_jar.keys():
            raise ValueError(f"{self.id}: {sorted(self.columns)} can't all be its jars")
        for block in self.processes:
            if isinstance(block, BoilingProcess) and not self._sterile_enough(block):
                raise ValueError(f"{self.id}: a process of less than ten minutes needs sterile jars")

    def _sterile_enough(self, block: BoilingProcess) -> bool:
        short = {jar for jar, minutes in block.bands[0].minutes.items() if minutes < _STERILE_BELOW_MINUTES}
        sterile = self.sterile_jars
        return not short or (
            sterile is not None and short <= set(sterile.jars) and set(block.packs) <= set(sterile.packs)
        )

    @property
    def columns(self) -> frozenset[str]:
        """Return the jar columns that at least one table of this food prints."""
        printed = [p.minutes if isinstance(p, PressureProcess) else p.bands[0].minutes for p in self.processes]
        return frozenset(column for minutes in printed for column in minutes)

    def jar(self, size: str) -> JarRule:
        """Return the rule of one size of :data:`JARS`: its own column, by the general rule, or none and why."""
        if size in self.columns:
            return JarRule(use=size)
        other = _BY_RULE.get(size)
        if other in self.columns and size not in self.no_jar:
            return JarRule(use=other, by_rule=True)
        missing = "No tested process is published for this food in that jar size."
        return JarRule(use=None, reason=self.no_jar.get(size) or _NO_JAR.get(size, missing))

    @property
    def sizes(self) -> tuple[str, ...]:
        """Return the jar sizes that have a process, the smallest first."""
        return tuple(size for size in JARS if self.jar(size).use)
