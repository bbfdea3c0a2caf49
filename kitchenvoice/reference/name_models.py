"""The shape of the spoken names and of what is refused by name; used when the tables are checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .cited import Block, Cited

__all__ = ["Names", "Refusal"]


@dataclass(frozen=True, kw_only=True)
class MadeDish(Block):
    """How food that isn't canned is named by what it is made of: "mashed {}", "{} in oil"."""

    called: tuple[str, ...]
    of: tuple[str, ...] = ()
    but_of: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Refusal(Cited):
    """A food, an appliance or a jar without a tested process: the reason, and a tested alternative."""

    id: str
    spoken: str
    phrases: tuple[str, ...]
    kind: Literal["food", "appliance", "appliance_note", "jar"]
    reason: str
    instead: tuple[str, ...]
    typed: tuple[str, ...] = ()
    made: MadeDish | None = None

    def __post_init__(self) -> None:
        """Raise ValueError if it doesn't say why, or names no way on."""
        Cited.__post_init__(self)
        if not (self.reason and self.instead):
            raise ValueError(f"{self.id}: a refusal says why, and what there is instead")


@dataclass(frozen=True, kw_only=True)
class SpokenName(Block):
    """The preferred name of a food, its other names, and those only typed, such as the guide's headings."""

    spoken: str
    also: tuple[str, ...]
    typed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Variety(Cited):
    """Names of a variety under its food's table, for the packs read."""

    phrases: tuple[str, ...]
    food: str
    packs: tuple[Literal["hot", "raw"], ...]
    caution: str | None = None
    typed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Decide(Block):
    """The particular that tells foods apart, with the food of each value."""

    qualifier: Literal["bones", "ground", "jar", "medium"]
    values: dict[str, str]


@dataclass(frozen=True, kw_only=True)
class Group(Block):
    """Names that several foods share: they lead to this question."""

    id: str
    phrases: tuple[str, ...]
    candidates: tuple[str, ...]
    ask: str
    decide: Decide | None = None
    typed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Raise ValueError if there is nothing to choose between."""
        if len(self.candidates) < 2:
            raise ValueError(f"{self.id}: a question needs two answers at least")


@dataclass(frozen=True, kw_only=True)
class Wording(Block):
    """Words and endings around the names of foods.

    ``little`` changes nothing beside a name, ``between`` stands between its words, ``edges`` begins or ends no name but
    with ``edge_of_a_name``, ``choice`` stands beside the one that is chosen, ``done`` ends what was done to a food.
    ``singular`` and ``plural`` map endings, the first that fits; ``rewritten`` maps spellings.
    """

    little: tuple[str, ...]
    of: str
    either: str
    also: str
    between: tuple[str, ...]
    joints: tuple[str, ...]
    edges: tuple[str, ...]
    edge_of_a_name: str
    made_for: str
    choice: tuple[str, ...]
    none: str
    without: str
    with_any: str
    done: str
    singular: dict[str, str]
    plural: dict[str, str]
    rewritten: dict[str, str]
    syrup: str


@dataclass(frozen=True, kw_only=True)
class Names(Block):
    """All spoken names, what only goes in with a food though it is called like one, and words of one meaning."""

    typed_only_words: tuple[str, ...]
    ingredients: tuple[str, ...]
    same_words: dict[str, str]
    wording: Wording
    foods: dict[str, SpokenName]
    varieties: tuple[Variety, ...]
    groups: tuple[Group, ...]
