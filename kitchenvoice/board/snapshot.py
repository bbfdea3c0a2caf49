"""The snapshot that the session hands to the boards: kitchen and talk, frozen at one time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from kitchenvoice.board.history import HoldReading
from kitchenvoice.process import Kitchen

__all__ = ["Snapshot", "TalkLine"]

_NO_WORDS: Mapping[int, str] = MappingProxyType({})
_NO_READINGS: Mapping[int, tuple[HoldReading, ...]] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkLine:
    """Something heard or said at `t` (engine seconds); `taken` is False for words without effect."""

    text: str
    t: float
    taken: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """Everything that a board may show, true at engine time `t`.

    `names`, `stages` and `steps` are the spoken words for each open load, by its id; the step begins with
    its caution, which is among the `cautions` too. `readings` are the reports of pressure, weight or boil by load.
    `phrases` is what can be said now, after the wake phrase; `answers` are answers to the open `question`, without it.
    `attention` is the wake phrase, `language` that of the words, `asleep` True while nobody listens, as told.
    """

    t: float
    kitchen: Kitchen
    names: Mapping[int, str] = field(default_factory=lambda: _NO_WORDS)
    stages: Mapping[int, str] = field(default_factory=lambda: _NO_WORDS)
    steps: Mapping[int, str] = field(default_factory=lambda: _NO_WORDS)
    cautions: Mapping[int, str] = field(default_factory=lambda: _NO_WORDS)
    readings: Mapping[int, tuple[HoldReading, ...]] = field(default_factory=lambda: _NO_READINGS)
    focus: int | None = None
    phrases: tuple[str, ...] = ()
    question: str = ""
    answers: str = ""
    attention: str = ""
    language: str = "en"
    asleep: bool = False
    heard: TalkLine | None = None
    said: TalkLine | None = None
    trouble: TalkLine | None = None
