"""Input of a session: utterances, typed lines, troubles, answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from kitchenvoice.ports import Utterance

__all__ = ["Answered", "Chosen", "Inbox", "Item", "Pressed", "Trouble", "Typed", "Unsaid"]


@dataclass(frozen=True, slots=True)
class Typed:
    """A line from the keyboard; `None` is a wish to end, and can't be put off if it is `final`."""

    text: str | None
    final: bool = False


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something wrong with a device; `spoken` if it should be said as well as shown.

    `text` is a key of the sentences about trouble, filled with `values`, or the finished sentence of an error.
    """

    text: str
    spoken: bool = False
    values: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Answered:
    """A call that was answered by hand, on a board; `key` names it."""

    key: str


@dataclass(frozen=True, slots=True)
class Unsaid:
    """A call that couldn't be said while its words were true; `key` names it."""

    key: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """Another microphone that gives sound, and is listened to from now on; `None` if there is no other."""

    name: str | None


@dataclass(frozen=True, slots=True)
class Pressed:
    """The key or pedal was pressed: the next utterance is addressed to the program."""


Item = Utterance | Typed | Trouble | Answered | Unsaid | Chosen | Pressed


class Inbox(Protocol):
    """Where everything comes in, and where the loop waits. A simple queue is one: a signal handler may put into it."""

    def put(self, item: Item, /) -> None:
        """Add something. Returns at once."""

    def get(self, block: bool = True, timeout: float | None = None) -> Item:
        """Return the next thing, waiting `timeout` seconds at most. Raises: queue.Empty."""

    def qsize(self) -> int:
        """Return the number of items that wait."""
