"""Rendering of one turn: first its tone, if any, then its words."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.ports import Sound, Urgency
from kitchenvoice.speaking.announcer import SpeakingTurn

__all__ = ["TONE_WITHOUT_VOICE", "Part", "Saying", "in_thread"]

TONE_WITHOUT_VOICE = {
    Urgency.ALARM: "alarm",
    Urgency.CAUTION: "timer",
    Urgency.READBACK: "attention",
    Urgency.GUIDANCE: "attention",
}
"""Tone in place of words that can't be spoken: look at the board."""


@dataclass(eq=False, slots=True)
class Saying:
    """Progress of a turn. `stage` goes from `new` to `tone`, `words` (as soon as they are rendered) and `playing`.

    `play_id` is the number of this turn's sound last given to the player, 0 before the first.
    """

    turn: SpeakingTurn
    tone: str | None
    stage: str = "new"
    rendering: bool = False
    words: Sound | None = None
    failure: KitchenVoiceError | None = None
    play_id: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """One sound to give to the player; `first` for the first of its turn."""

    sound: Sound
    gain: float
    saying: Saying
    first: bool


def in_thread(work: Callable[[], None]) -> None:
    """Run `work` in a new thread."""
    threading.Thread(target=work, name="mouth-render", daemon=True).start()
