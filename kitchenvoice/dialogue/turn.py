"""What one turn of the conversation brings out: events to record, sentences to say, settings to change."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from kitchenvoice.ports import Announcement
from kitchenvoice.process import Event

__all__ = ["Control", "Heard", "Question", "TranscriptNote", "Turn"]

_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Heard:
    """An understood sentence: what was meant, when, and whether it was said to us by name.

    `of` is the load that the sentence itself named ("carrots, weight is on"): it is of that one, and of no other.
    """

    intent: str
    slots: Mapping[str, Any]
    text: str
    t: float
    addressed: bool = True
    rival: Mapping[str, Any] | None = None
    of: int | None = None

    @property
    def doubtful(self) -> bool:
        """True if something that sounds alike could have been said instead; `rival` holds its slots."""
        return self.rival is not None


@dataclass(frozen=True, slots=True)
class Control:
    """A wish to the session.

    `stop`; `answered` {keys}; `volume` {step}; `rate` {step}; `altitude` {feet}; `level` {brief}; `profile`
    {what changes in it}.
    """

    name: str
    data: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class TranscriptNote:
    """Something for the transcript only: what was heard, and why it did nothing."""

    kind: str
    text: str = ""
    data: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class Turn:
    """Everything that follows from one utterance or one tick, in order."""

    events: tuple[Event, ...] = ()
    announcements: tuple[Announcement, ...] = ()
    controls: tuple[Control, ...] = ()
    notes: tuple[TranscriptNote, ...] = ()


@dataclass(slots=True)
class Question:
    """An open question of ours.

    `expects` names the answers that the grammar should know (`yes_no`, `count`, `jar` ...); `intents` are whole reports
    that answer it as well. `answer` gets what was heard and tells whether it was an answer. While the window is open
    the wake phrase isn't needed; after it the question can still be answered by name until `lapse` is called.
    `keep`: a command on the way doesn't end it. `check`: the load that it asks about. `passive`: it is asked by a step,
    isn't repeated, and gives way to any other. `dropped` is said when it is cancelled, `why` when she asks why.
    `missed` is told of an answer that wasn't understood, instead of "say that again". `confirms`: an answer is read
    back and counts only after a yes, so that one that isn't sure is read back as well. `unanswered` is said once when
    the question waits to be called. `again` asks for the same by what is so now, where a setting or the clock has
    moved on. `at_stake`: loads whose vent or hold the answer may end; none of them is called done before it is settled.
    `report` is what it asks about: another question about the same takes its place. `stands` is said when it is
    cancelled and what was taken stays taken. `heard`: the words that it asks whether she said.
    """

    expects: str
    prompt: str
    answer: Callable[[Heard], bool]
    intents: frozenset[str] = frozenset()
    lapse: Callable[[float], None] | None = None
    prompted: int = 0
    window_t: float = 0.0
    stale_t: float = 0.0
    keep: bool = False
    check: int | None = None
    passive: bool = False
    dropped: str = ""
    why: str = ""
    missed: Callable[[], None] | None = None
    confirms: bool = False
    unanswered: str = ""
    again: Callable[[], None] | None = None
    at_stake: frozenset[int] = frozenset()
    report: str = ""
    stands: str = ""
    heard: str = ""

    @property
    def pressing(self) -> bool:
        """True while an answer is still waited for, so that another question has to wait."""
        return self.prompted < 2 and not self.passive

    def replaces(self, other: Question) -> bool:
        """Tell whether this one asks about the same report of the same load as another that is still open."""
        return other is self or (
            bool(self.report) and self.report == other.report and bool(self.at_stake & other.at_stake)
        )
