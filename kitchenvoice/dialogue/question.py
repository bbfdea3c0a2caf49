"""An open question as plain data, and what the questions of one kind, and the forms, do.

What a question asks, takes, and does without an answer are functions of its kind: `yes_no`, `which` load, `form`,
`check` of the stove, `loss` to confirm, `step`. They are given the conversation, of which nothing is known here (`T`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from kitchenvoice.dialogue.turn import Heard

__all__ = ["OF_WORDS", "Form", "Frame", "Kind", "Values"]

OF_WORDS = frozenset({"said", "kept"})
"""Questions about words that were said: what is told next may be anything."""

T = TypeVar("T")
Values = Mapping[str, Any]
_NOTHING: Values = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One open question.

    `about` tells what of its kind it asks; `expects` names the answers that the grammar should know. `said` is the
    sentence that waits for the answer, `load` the load it is about, `values` what is known already, `kept` that a
    command doesn't end it. `prompted` counts how often it was said; times are POSIX seconds.
    """

    kind: str
    about: str
    expects: str
    prompt: str
    load: int | None = None
    said: Heard | None = None
    values: Values = field(default_factory=lambda: _NOTHING)
    kept: bool = False
    prompted: int = 0
    window_t: float = 0.0
    stale_t: float = 0.0

    @property
    def passive(self) -> bool:
        """True if nothing was asked aloud: it isn't repeated, and gives way to any other."""
        return self.kind == "step" or (self.kind == "stands" and self.about == "report")

    @property
    def pressing(self) -> bool:
        """True while an answer is still waited for, so that another question has to wait."""
        return self.prompted < 2 and not self.passive

    def rests(self, t: float) -> bool:
        """True if it was asked twice, and its pause isn't over."""
        return self.prompted >= 2 and t <= self.stale_t

    @property
    def of_stove(self) -> bool:
        """True if it asks what the stove does now."""
        return self.kind == "check" or self.expects in ("gauge_reading", "weight_check", "boil_check", "steam_check")

    @property
    def doubt(self) -> int | None:
        """The doubt that the answer settles, if any."""
        doubt = self.values.get("doubt")
        return doubt if isinstance(doubt, int) else None

    @property
    def heard(self) -> str:
        """The words that are asked about, if they are."""
        return str(self.values.get("as_heard") or "")

    def same(self, other: Frame) -> bool:
        """True if both ask the same."""
        if self.doubt is not None or other.doubt is not None:
            return self.doubt == other.doubt
        return (self.kind, self.about, self.load) == (other.kind, other.about, other.load)


@dataclass(frozen=True, slots=True)
class Kind(Generic[T]):
    """What the frames of one kind do. `take` tells whether it was an answer; `prompt` is what is asked now, nothing if
    there is nothing left to ask; `lapse` follows two unanswered windows, `cancel` a "never mind". `again` asks anew.
    `intents` are whole sentences that answer it without the wake phrase.
    """

    take: Callable[[T, Frame, Heard], bool]
    prompt: Callable[[T, Frame], str]
    lapse: Callable[[T, Frame], None]
    cancel: Callable[[T, Frame], None]
    intents: Callable[[T, Frame], frozenset[str]]
    again: Callable[[T, Frame], None] | None = None


@dataclass(frozen=True, slots=True)
class Form(Generic[T]):
    """How a form is filled: `intents` answer it, `lapsed` is what follows if nobody does, `missed` if what was heard,
    of `longest` words at most, is no sentence, `unlike` if a sentence is no answer and none of another stage."""

    fill: Callable[[T, Frame, Heard], Values | None]
    go_on: Callable[[T, Frame | None, Values], None]
    dropped: Callable[[T, Frame], str] | None = None
    intents: frozenset[str] = frozenset({"choice", "number"})
    lapsed: Callable[[T, Frame], None] | None = None
    again: bool = True
    missed: Callable[[T, Frame, str], bool] = lambda _t, _frame, _text: False
    unlike: Callable[[T, Frame, str], bool] = lambda _t, _frame, _text: False
    longest: int = 5
