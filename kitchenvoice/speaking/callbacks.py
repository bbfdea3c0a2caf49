"""Callbacks of the mouth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.ports import Announcement
from kitchenvoice.speaking.announcer import Dropped

__all__ = ["MouthCallbacks"]


def _ignore(*_: object) -> None:
    """Do nothing."""


@dataclass(frozen=True, slots=True)
class MouthCallbacks:
    """Callables of one argument; each is called from the mouth's thread and may call the mouth.

    `on_speaking(True)` comes before the first sample, `on_speaking(False)` after the last one and the tail.
    `on_started(announcement)` comes when its tone or words begin, `on_spoken(text)` when they were said to the end.
    `on_dropped` gets what won't be said and the reason. `on_trouble(error)` comes once for each outage of voice or
    speaker, `on_recovered(part)` when `"voice"` or `"speaker"` works again.
    """

    on_speaking: Callable[[bool], None] = _ignore
    on_started: Callable[[Announcement], None] = _ignore
    on_spoken: Callable[[str], None] = _ignore
    on_dropped: Callable[[Dropped], None] = _ignore
    on_trouble: Callable[[KitchenVoiceError], None] = _ignore
    on_recovered: Callable[[str], None] = _ignore
