"""Schema of the answers to cooks' questions: wordings, answer, source.

An answer is spoken as it stands, so it is short. Slots such as ``{psi}`` are filled from the load that is asked about;
a family whose answers have slots keeps one without, for whoever asks with no load going.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import Formatter
from types import MappingProxyType
from typing import Literal

from .cited import Block, Cited

__all__ = ["MOST_WORDS", "NO_SOURCE", "SLOTS", "Family", "Topic", "Variant", "spoken_length"]

MOST_WORDS = 30  # of one answer: what a cook with wet hands takes in at once. Common practice, no source
NO_SOURCE = "common practice, no source"
# what a load or a crock can fill in, and how many words it is at most
SLOTS = MappingProxyType(
    {
        "acid": 12,
        "brine": 27,
        "headspace": 12,
        "hold_minutes": 1,
        "no_vinegar": 24,
        "own_vent": 30,
        "psi": 1,
        "rest_left": 9,
        "salt": 3,
        "save_left": 9,
        "water": 30,
    }
)

AnswerStage = Literal[
    "idle", "plan", "gear", "start", "pack", "canner", "vent", "come_up", "hold", "cool", "rest", "count", "keep",
    "crock",
]  # fmt: skip


def slots_of(answer: str) -> frozenset[str]:
    """Return the names of the slots in an answer."""
    return frozenset(name for _, name, _, _ in Formatter().parse(answer) if name is not None)


def spoken_length(answer: str) -> int:
    """Return the most words that an answer has with its slots filled."""
    slots = slots_of(answer)
    return len(answer.split()) - len(slots) + sum(SLOTS[name] for name in slots)


def _require_speakable(answer: str) -> None:
    unknown = slots_of(answer) - SLOTS.keys()
    if unknown:
        raise ValueError(f"no load fills {sorted(unknown)}")
    if not 0 < spoken_length(answer) <= MOST_WORDS:
        raise ValueError(f"an answer is {MOST_WORDS} words at most: {answer}")


@dataclass(frozen=True, kw_only=True)
class Variant(Block):
    """An answer for a condition; an empty condition applies everywhere.

    ``acidity`` is that of the food as it is canned: a food that needs acid counts as acid once it has it. ``at_zero``:
    a pressure canner that cools is at zero, by what was reported. ``source`` empty means that of the family.
    ``hazard``: it is a warning, and spoken as one. ``normal``: here it is as it should be, whatever the family makes of
    it elsewhere. The slot ``{rest_left}`` is what is left of the jars' rest, ``{save_left}`` of the hours in
    which a jar that failed can be saved.
    """

    answer: str
    stages: tuple[AnswerStage, ...] = ()
    method: Literal["pressure", "boiling-water", "atmospheric-steam"] | None = None
    gauge: Literal["dial", "weighted"] | None = None
    acidity: Literal["low", "acid"] | None = None
    at_zero: bool = False
    source: tuple[str, ...] = ()
    hazard: bool = False
    normal: bool = False

    def __post_init__(self) -> None:
        """Raise ValueError if it can't be spoken, or never differs from the family's own answer."""
        _require_speakable(self.answer)
        if not (self.stages or self.method or self.gauge or self.acidity or self.at_zero or slots_of(self.answer)):
            raise ValueError(f"nothing tells when to say: {self.answer}")


@dataclass(frozen=True, kw_only=True)
class Family(Cited):
    """One question in all its wordings (patterns), its answer, and the variants; the first that fits is said.

    ``doubts`` are wordings too, which say or imply that it happened: they may contradict a running hold. ``like`` and
    ``tells`` are further wordings of either, only compared; in ``stages`` it is asked more than in others.
    ``ends_hold``: where it happened a hold doesn't count, whatever a gauge reads; ``fault``: nor does anything before
    that is mended. ``shut``: whoever asks it may have pressure in the canner. ``harmless``: stated in a hold it tells
    of no loss. ``within_day``: it is about saving a jar, for which there are twenty four hours. ``at_canner``: it is of
    lid, weight, vent, heat or pressure; ``heats``: it may want more heat; ``keeps``: it is of eating or keeping what
    was canned; ``praises``: it says that all is well; ``pressure``: it is of what only a pressure canner has. The
    answer of such a one is led by, or gives way to, a sentence of ``leads.toml``. ``clock``: it is of what may be done
    when a time is over, so what is left of it is told first. ``record``: what happened is asked, so only what was
    reported answers it. ``words``: an emergency, by regular expressions of what is said.
    """

    id: str
    answer: str
    say: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    like: str = ""
    tells: str = ""
    stages: tuple[AnswerStage, ...] = ()
    ends_hold: bool = False
    fault: Literal["", "air", "gauge", "acid", "numbers", "cooling", "gear", "stop"] = ""
    harmless: bool = False
    shut: bool = False
    within_day: bool = False
    at_canner: bool = False
    heats: bool = False
    keeps: bool = False
    praises: bool = False
    pressure: bool = False
    clock: bool = False
    record: Literal["", "hold", "load", "pressure", "zero", "lid", "seals", "acid", "water", "out", "vent", "heat"] = ""
    words: tuple[str, ...] = ()
    hazard: bool = False
    variants: tuple[Variant, ...] = ()

    def __post_init__(self) -> None:
        """Raise ValueError if nobody can ask it, or its own answer needs a load."""
        Cited.__post_init__(self)
        _require_speakable(self.answer)
        if not (self.say or self.like):
            raise ValueError(f"{self.id}: nobody can ask this")
        if slots_of(self.answer):
            raise ValueError(f"{self.id}: the answer of the family has to stand without a load")


@dataclass(frozen=True, kw_only=True)
class Topic(Block):
    """The families of one topic, which is one file; ``stages`` are those of each family without its own."""

    topic: str
    family: tuple[Family, ...]
    stages: tuple[AnswerStage, ...] = ()
