"""The processes: bands of altitude, pressure, boiling water, and the pasteurization that some pickles may have.

Pressures are pounds per square inch on the gauge, times minutes, heights whole feet. What can't be is a ValueError.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from .cited import Block, Cited, Range

__all__ = [
    "GUIDE",
    "BoilingBand",
    "BoilingProcess",
    "CannerRule",
    "GuideProcess",
    "Pack",
    "Pasteurization",
    "PressureBand",
    "PressureProcess",
]

Pack = Literal["raw", "hot", "see_procedure"]
"""``see_procedure`` stands where the guide prints "See above": neither raw nor hot, the procedure decides."""

GUIDE = "aib539_2015 (Guide "
"""How the first source of every process begins: the guide itself, with the page that prints its table."""

_TOP_FT = 20_000
_TOP_PSI = 15


def _require_positive(minutes: Iterable[float]) -> None:
    if not all(0 < number < float("inf") for number in minutes):
        raise ValueError("minutes have to be more than nothing")


def _require_guide(source: tuple[str, ...]) -> None:
    if not source or not source[0].startswith(GUIDE):
        raise ValueError("the first source of a process has to be the page of the guide that prints it")


def _require_height(from_ft: int, to_ft: int | None) -> None:
    if not 0 <= from_ft <= (_TOP_FT if to_ft is None else to_ft) <= _TOP_FT:
        raise ValueError("a band of altitude has to lie between sea level and 20,000 feet, its lower end first")


@dataclass(frozen=True, kw_only=True)
class PressureBand(Block):
    """One row of a pressure table; ``to_ft`` None means no printed upper end."""

    from_ft: int
    to_ft: int | None
    psi: float | None
    refuse: str | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if the heights or the pressure can't be."""
        _require_height(self.from_ft, self.to_ft)
        if self.psi is not None and not 0 < self.psi <= _TOP_PSI:
            raise ValueError(f"pounds have to be more than nothing, and no more than {_TOP_PSI}")


@dataclass(frozen=True, kw_only=True)
class BoilingBand(Block):
    """One row of a boiling-water table, minutes by jar size."""

    from_ft: int
    to_ft: int | None
    minutes: dict[str, float]

    def __post_init__(self) -> None:
        """Raise ValueError if the heights or the minutes can't be."""
        _require_height(self.from_ft, self.to_ft)
        _require_positive(self.minutes.values())


@dataclass(frozen=True, kw_only=True)
class PressureProcess(Cited):
    """One pressure block: minutes by jar size, psi by altitude; ``table`` is the title it is printed under."""

    method: Literal["pressure"]
    gauge: Literal["dial", "weighted"]
    packs: tuple[Pack, ...]
    minutes: dict[str, float]
    bands: tuple[PressureBand, ...]
    table: str
    option: str | None = None
    primary: bool = False

    def __post_init__(self) -> None:
        """Raise ValueError if the minutes can't be, or the guide isn't cited first."""
        _require_guide(self.source)
        _require_positive(self.minutes.values())


@dataclass(frozen=True, kw_only=True)
class BoilingProcess(Cited):
    """One boiling-water block; ``table`` is the title it is printed under."""

    method: Literal["boiling_water"]
    packs: tuple[Pack, ...]
    bands: tuple[BoilingBand, ...]
    table: str

    def __post_init__(self) -> None:
        """Raise ValueError if the guide isn't cited first."""
        _require_guide(self.source)


GuideProcess = PressureProcess | BoilingProcess


@dataclass(frozen=True, kw_only=True)
class Pasteurization(Cited):
    """The low-temperature pasteurization that a pickle may have instead: minutes, and degrees of the water."""

    minutes: float
    water_f: Range
    text: str

    def __post_init__(self) -> None:
        """Raise ValueError if the guide isn't cited first."""
        _require_guide(self.source)


@dataclass(frozen=True, kw_only=True)
class CannerRule(Cited):
    """The special wish of a food for the pressure canner.

    Water in quarts, ``cool`` if it must not be heated before; the canner's size in quarts; minutes of heating, of
    venting, and of both together at least.
    """

    water_quarts: float
    cool: bool = False
    size_quarts: Range | None = None
    heat_minutes: float | None = None
    vent_minutes: float | None = None
    least_minutes: float | None = None
    text: str
