"""Public fakes of the mouth: a synthesiser with one fixed tone, and a player without a clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kitchenvoice.errors import DeviceLost, VoiceMissing
from kitchenvoice.ports import Sound

__all__ = ["FakePlayer", "FakeSynthesiser", "Played"]

FAKE_RATE_HZ = 8_000
_PERIOD = np.round(8_000 * np.sin(2 * np.pi * np.arange(40) / 40)).astype(np.int16)
"""One period of 200 Hz."""


class FakeSynthesiser:
    """Give a tone with the duration of the text at the set rate; record the texts.

    Set `failing` to make every `render` raise VoiceMissing, as when the engine dies.
    """

    def __init__(self, rate_wpm: int = 150) -> None:
        self.asked: list[str] = []
        self.failing = False
        self.rate_wpm = rate_wpm

    @property
    def name(self) -> str:
        """Name of engine and voice."""
        return "fake synthesiser"

    def set_rate_wpm(self, rate_wpm: int) -> None:
        """Speak at this many words a minute from the next sentence on."""
        self.rate_wpm = rate_wpm

    def render(self, text: str) -> Sound:
        """Return a 200 Hz tone, one word's time for each six characters. Raises: VoiceMissing if `failing`."""
        if self.failing:
            raise VoiceMissing("The voice does not answer. Run: apt-get install espeak-ng")
        self.asked.append(text)
        seconds = len(text) / 6 * 60 / self.rate_wpm
        return Sound(np.resize(_PERIOD, round(seconds * FAKE_RATE_HZ)), FAKE_RATE_HZ)


@dataclass(slots=True)
class Played:
    """One sound given to the player. `finished` is `None` while it plays, False if it was cut short."""

    sound: Sound
    gain: float
    heard_s: float = 0.0
    finished: bool | None = None


class FakePlayer:
    """Play nothing; `advance` and `finish` move its time. `played` lists the sounds, in order."""

    def __init__(self) -> None:
        self.played: list[Played] = []
        self.broken = False
        self.attempts = 0
        self._on_end: Callable[[bool], None] | None = None
        self._closed = False

    @property
    def present(self) -> Played | None:
        """The current sound."""
        return self.played[-1] if self.played and self.played[-1].finished is None else None

    def play(self, sound: Sound, *, gain: float = 1.0, on_end: Callable[[bool], None] | None = None) -> None:
        """Start a sound; the current one is stopped. Raises: DeviceLost while broken or closed."""
        self.attempts += 1
        if self.broken or self._closed:
            raise DeviceLost("The speaker has stopped working. Check its plug.")
        self._end(False)
        self.played.append(Played(sound, gain))
        self._on_end = on_end

    def stop(self) -> None:
        """Fall silent."""
        self._end(False)

    @property
    def playing(self) -> bool:
        """True during a sound."""
        return self.present is not None

    def advance(self, seconds: float) -> None:
        """Move time forward by so much; the current sound ends when its length is reached."""
        present = self.present
        if present is None:
            return
        present.heard_s = min(present.heard_s + seconds, present.sound.seconds)
        if present.heard_s >= present.sound.seconds:
            self._end(True)

    def finish(self) -> None:
        """End the current sound normally."""
        present = self.present
        if present is not None:
            self.advance(present.sound.seconds)

    def break_down(self) -> None:
        """Lose the device, as when it is unplugged."""
        self.broken = True
        self._end(False)

    def repair(self) -> None:
        """Get the device back."""
        self.broken = False

    def close(self) -> None:
        """Release the device. Safe to call twice."""
        self._end(False)
        self._closed = True

    def _end(self, finished: bool) -> None:
        present = self.present
        if present is None:
            return
        present.finished = finished
        on_end, self._on_end = self._on_end, None
        if on_end is not None:
            on_end(finished)
