"""The hook for diagnostics: an observer of everything in and out of a session."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Protocol

from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.ports import Announcement, Utterance

__all__ = ["NoObserver", "Observer", "tell"]

_log = logging.getLogger(__name__)


class Observer(Protocol):
    """Each is called from the session's thread, but `began`, and must return at once.

    `t` is engine time in seconds. An observer that raises is told nothing more.
    """

    def heard(self, t: float, utterance: Utterance, turn: Turn, *, typed: bool) -> None:
        """Learn what an utterance brought; the turn is empty if a fault of ours came of it."""

    def turned(self, t: float, turn: Turn, *, recorded: bool) -> None:
        """Learn of a turn, and whether its events are on the disk."""

    def queued(self, t: float, announcement: Announcement) -> None:
        """Learn of an announcement handed to the mouth."""

    def began(self, t: float, announcement: Announcement) -> None:
        """Learn that an announcement begins to sound; from the mouth's thread."""

    def answered(self, t: float, key: str) -> None:
        """Learn of a call answered by hand."""

    def troubled(self, t: float, text: str, *, spoken: bool) -> None:
        """Learn of a trouble, in the words in which it is shown."""


class NoObserver:
    """Nobody is told."""

    def heard(self, t: float, utterance: Utterance, turn: Turn, *, typed: bool) -> None:
        """Do nothing."""

    def turned(self, t: float, turn: Turn, *, recorded: bool) -> None:
        """Do nothing."""

    def queued(self, t: float, announcement: Announcement) -> None:
        """Do nothing."""

    def began(self, t: float, announcement: Announcement) -> None:
        """Do nothing."""

    def answered(self, t: float, key: str) -> None:
        """Do nothing."""

    def troubled(self, t: float, text: str, *, spoken: bool) -> None:
        """Do nothing."""


def tell(observer: Observer, told: Callable[[Observer], None]) -> Observer:
    """Tell the observer, and return it; one that fails is left, and the session goes on without."""
    try:
        told(observer)
    except Exception:
        _log.exception("the observer is left after an error of its own")
        return NoObserver()
    return observer
