"""The base of every published block: frozen dataclasses with the sources of their figures."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

__all__ = ["Block", "Caution", "Cited", "Range", "Rule", "Source"]

Range = tuple[float, float]


class Block:
    """A block with nothing but what is declared (pydantic reads this; our own loader always works so)."""

    __pydantic_config__: ClassVar[dict[str, str]] = {"extra": "forbid"}


@dataclass(frozen=True, kw_only=True)
class Cited(Block):
    """Where the figures of a block were read; none without."""

    source: tuple[str, ...]

    def __post_init__(self) -> None:
        """Raise ValueError if nothing is cited."""
        if not self.source:
            raise ValueError("a block needs its source")


@dataclass(frozen=True, kw_only=True)
class Source(Block):
    """Where a figure was read, and how."""

    title: str
    publisher: str
    year: str
    section: str
    how_read: str
    role: str
    url: str | None = None


@dataclass(frozen=True, kw_only=True)
class Caution(Cited):
    """One remark of the source for the cook's ears; ``pack`` limits it to one.

    ``of`` is the table where it helps to choose a process: it is shown with a look-up, and not said over the jars. It
    is the hands where it is of cutting, peeling and filling: no jar is other for it, so it is not said of a filled one.
    """

    text: str
    pack: Literal["raw", "hot"] | None = None
    of: Literal["filling", "hands", "table"] = "filling"


@dataclass(frozen=True, kw_only=True)
class Rule(Cited):
    """One published rule."""

    text: str
    figures: dict[str, Any] = field(default_factory=dict)
    action: str | None = None
