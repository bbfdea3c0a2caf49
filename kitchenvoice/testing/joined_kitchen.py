"""Dialogue, session, announcer and mouth of one kitchen on a simulated clock; ear, voice and speaker are made up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.app.listening import LiveMouth, told_to
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.ports import Announcement
from kitchenvoice.speaking import TONES, Mouth, MouthCallbacks
from kitchenvoice.testing.fake_mouth import FakePlayer, FakeSynthesiser, Played
from kitchenvoice.testing.simulated_kitchen import KitchenLog, SimulatedKitchen

__all__ = ["JoinedKitchen", "Sounded"]


@dataclass(frozen=True, slots=True)
class Sounded:
    """Words in the air: their engine time, text, and manner of playing."""

    t: float
    announcement: Announcement
    played: Played

    @property
    def text(self) -> str:
        """Text of the announcement."""
        return self.announcement.text


class JoinedKitchen(SimulatedKitchen):
    """A kitchen with a voice: `sounded` has the words in the air, in order; `render_s` is the voice's time for them."""

    def __init__(
        self, book: GrammarBook, profile: Profile, log: KitchenLog | None = None, *, home: Path | None = None
    ) -> None:
        super().__init__(book, profile, log, home=home)
        self.player = FakePlayer()
        self.synthesiser = FakeSynthesiser()
        self.render_s = 0.0
        self.sounded: list[Sounded] = []
        self._looked = 0

    def mouthpiece(self) -> LiveMouth:
        """Return a new mouth for the session; the sound of the previous one is cut off."""
        self.player.stop()
        self._moved_t = self.clock.now().elapsed
        self._rendering: list[tuple[float, Callable[[], None]]] = []
        self._begun: Announcement | None = None
        heard = {f"on_{name}": hear for name, hear in told_to(self.inbox).items()}
        callbacks = MouthCallbacks(on_started=self._note_begun, **heard)
        self.mouth = Mouth(
            self.synthesiser, self.player, lambda: self.clock.now().elapsed, callbacks=callbacks, run=self._render
        )
        return LiveMouth(self.mouth)

    def meanwhile(self) -> float:
        """Let the player and the mouth come to the clock's time; return the seconds until one has to do something."""
        now = self.clock.now().elapsed
        self.player.advance(now - self._moved_t)
        self._moved_t = now
        for each in [each for each in self._rendering if each[0] <= now]:
            self._rendering.remove(each)
            each[1]()
        pauses = [self.mouth.step()]
        self._note_sounds()
        present = self.player.present
        if present is not None:
            pauses.append(present.sound.seconds - present.heard_s)
        return min([*pauses, *(due_t - now for due_t, _ in self._rendering)])

    def _render(self, work: Callable[[], None]) -> None:
        if self.render_s:
            self._rendering.append((self.clock.now().elapsed + self.render_s, work))
        else:
            work()

    def _note_begun(self, announcement: Announcement) -> None:
        self._begun = announcement

    def _note_sounds(self) -> None:
        fresh, self._looked = self.player.played[self._looked :], len(self.player.played)
        for played in fresh:
            tone = any(played.sound is each for each in TONES.values())
            if self._begun is not None and not tone and len(played.sound.samples):
                self.sounded.append(Sounded(self.session.t, self._begun, played))
