"""The outcome of one turn of the conversation: events to record, sentences to say, settings to change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.ports import Announcement
from kitchenvoice.process import Event

__all__ = ["Control", "Heard", "Objected", "TranscriptNote", "Turn", "tells_zero"]

_NOTHING: Mapping[str, Any] = MappingProxyType({})


def tells_zero(intent: str | None, slots: Mapping[str, Any]) -> bool:
    """True if a sentence says that there is no pressure, by name or as a number."""
    return intent == "gauge_zero" or (intent == "pressure_is" and slots.get("pressure") == 0)


@dataclass(frozen=True, slots=True)
class Heard:
    """An understood sentence: its meaning, its time, and whether it was addressed to the program.

    `of` is the load that the sentence itself named ("carrots, weight is on"), or that was named when it was asked: it
    is of that one, and of no other. `among`: loads that its name may mean. `rival` holds the slots of what sounds alike
    and could have been said instead. `asked` names what was asked about it and answered with a yes; `answer`: it is
    itself the yes or no to a question of ours.
    """

    intent: str
    slots: Mapping[str, Any]
    text: str
    t: float
    addressed: bool = True
    rival: Mapping[str, Any] | None = None
    of: int | None = None
    among: tuple[int, ...] = ()
    asked: tuple[str, ...] = ()
    answer: bool = False

    def sure(self, asked: str = "", of: int | None = None) -> Heard:
        """Return the sentence after a yes about it."""
        more = (asked,) if asked else ()
        return replace(self, rival=None, of=self.of if of is None else of, asked=(*self.asked, *more))


@dataclass(frozen=True, slots=True)
class Objected:
    """An objection to a report of a load, made at `t`; put into words when the cook asks why."""

    load: int
    kind: str
    data: Mapping[str, Any]
    t: float


@dataclass(frozen=True, slots=True)
class Control:
    """A wish to the session.

    `stop`; `answered` {keys}; `volume` {step}; `rate` {step}; `microphone`, the next one; `altitude` {feet};
    `level` {brief}; `profile` {what changes in it}.
    """

    name: str
    data: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class TranscriptNote:
    """Transcript entry without effect: the text heard, and the reason."""

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
