"""The first evening by ear: a synthetic cook under a hood, the real engine, and an empty kitchen; time is simulated."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from kitchenvoice.app.languages import book_for
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.hearing import find_rescorer, verified_model
from kitchenvoice.hearing.assembly import recognisers
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.rehearsal.cook import voice
from kitchenvoice.rehearsal.sounding import NoisyEar
from tests.live.first_evening import ALTITUDE_FT, evening

pytestmark = pytest.mark.audio

MORNING = 1_786_521_600.0
MOST_LINES = 60


class Evening:
    """The cook talks, and is answered, until the load started at the end is on record."""

    def __init__(self, who: str, below_db: float, profile: Profile | None = None) -> None:
        model = verified_model()
        ear = recognisers(model, second=find_rescorer())
        others = {"cleaned": ear.cleaned, "again": ear.again, "second": ear.second}
        self._ear = NoisyEar(ear.first, voice(who), noise="hood", snr_db=below_db, **others)
        self.profile = profile or Profile()
        self._conversation = Conversation(book_for(self.profile), self.profile)
        self._t = MORNING
        self._kinds: list[str] = []
        self.story: list[str] = []
        self.lines = 0

    def play(self) -> None:
        """Answer what is asked; without an answer, say it again, or wait for the question to come again."""
        book = evening()
        text = self._taken(self._conversation.begin(self._t))
        while "load_start" not in self._kinds and self.lines < MOST_LINES:
            answer = book.to(text) if text else book.said
            assert answer is not None, self.story
            book.said = answer
            self.lines += 1
            heard = self._ear.hear(answer, self._conversation.grammar(self._t))
            self.story.append(f"cook: {answer}   (heard: {heard.alternatives[:1]})")
            text = self._taken(self._conversation.hear(heard, self._t))
            self._t += 9.0
            text += self._taken(self._conversation.tick(self._t))

    def _taken(self, turn: Turn) -> str:
        for control in turn.controls:
            if control.name == "profile":
                self.profile = replace(self.profile, **control.data)
                if "canners" in control.data:
                    self._conversation.use(book_for(self.profile))
            elif control.name == "altitude":
                self.profile = replace(self.profile, altitude_ft=control.data["feet"])
        self._kinds += [event.kind for event in turn.events]
        text = " ".join(each.text for each in turn.announcements)
        self.story += [text] if text else []
        return text


def test_a_newcomer_gets_to_a_first_load_by_voice_alone() -> None:
    """The shorter half of the evening, to save time: `scripts/spoken_evening` plays all of it through a sound card."""
    asked = [f"canner.1.{part}" for part in ("pint", "half-pint", "tested", "error")]
    known = Profile(
        canners=(Canner(number=1, gauge="dial", dial_tested=date(2026, 6, 1), dial_error_psi=0.0),),
        asked=("units", *asked, "usual_jar", "attention", "speech_level"),
    )
    first = Evening("flite slt", 15.0, known)
    first.play()
    assert first.lines < MOST_LINES, first.story
    assert first.profile.altitude_ft == ALTITUDE_FT, first.story
    assert first.profile.canners[0].capacity == {"quart": 7}, first.story
