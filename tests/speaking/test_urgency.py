"""Every rule of priority, on the real mouth and the real speaker's mixer, counted in samples."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.ports import Announcement, Samples, Urgency
from kitchenvoice.speaking import TONES, Mouth, MouthCallbacks, SpeakerPlayer, player
from kitchenvoice.speaking.playback import tell
from kitchenvoice.speaking.tones import TONE_RATE_HZ
from kitchenvoice.testing.fake_mouth import FakeSynthesiser

BLOCK = 220
BLOCK_S = BLOCK / TONE_RATE_HZ
WHEN = SimpleNamespace(outputBufferDacTime=0.02, currentTime=0.0)


class Card:
    """A simulated sound card with its clock."""

    PortAudioError = RuntimeError
    latency = 0.0

    def __init__(self) -> None:
        self.t = 1000.0
        self.handed: list[Samples] = []

    def query_devices(self, device: object, kind: str) -> dict[str, float]:
        return {"default_samplerate": float(TONE_RATE_HZ)}

    def check_output_settings(self, device: object, **_: object) -> None: ...

    def OutputStream(self, **named: Any) -> Card:  # noqa: N802 - its name there
        self._callback = named["callback"]
        return self

    def start(self) -> None: ...

    def abort(self, ignore_errors: bool) -> None: ...

    def close(self, ignore_errors: bool) -> None: ...

    def pull(self) -> Samples:
        """Let the card take one block of 10 ms."""
        out = np.empty((BLOCK, 1), dtype=np.int16)
        self._callback(out, BLOCK, WHEN, None)
        self.t += BLOCK_S
        self.handed.append(out[:, 0].copy())
        return self.handed[-1]


class Kitchen:
    """The mouth, the speaker and the card; `go_on` advances all three."""

    def __init__(self, card: Card) -> None:
        self.card = card
        self.speaker = SpeakerPlayer()
        self.said: list[str] = []
        self.begun: list[str] = []
        self.ended = threading.Semaphore(0)
        callbacks = MouthCallbacks(on_spoken=self.said.append, on_started=lambda each: self.begun.append(each.text))
        self.mouth = Mouth(
            FakeSynthesiser(), self.speaker, lambda: card.t, callbacks=callbacks, run=lambda work: work()
        )

    def say(self, text: str, urgency: Urgency, **more: Any) -> None:
        self.mouth.say(Announcement(text, urgency, **more))
        self.mouth.step()

    def go_on(self, seconds: float) -> None:
        for _ in range(round(seconds / BLOCK_S)):
            self.card.pull()
            self._tell_what_ended()
            self.mouth.step()

    def _tell_what_ended(self) -> None:
        """Do the work of the speaker's watch thread, by the card's clock."""
        with self.speaker._lock:
            over = [f for f in self.speaker._ending if f.over_at is not None and f.over_at <= self.card.t]
            self.speaker._ending = [f for f in self.speaker._ending if f not in over]
        for each in over:
            tell([each], not each.stopping)


@pytest.fixture
def kitchen(monkeypatch: pytest.MonkeyPatch) -> Iterator[Kitchen]:
    card = Card()
    monkeypatch.setattr(portaudio, "sounddevice", lambda: card)
    monkeypatch.setattr(player, "time", SimpleNamespace(monotonic=lambda: card.t))
    monkeypatch.setattr(SpeakerPlayer, "_watch", lambda self: None)  # `go_on` does it
    made = Kitchen(card)
    yield made
    made.speaker.close()


FADE = round(player.FADE_S * TONE_RATE_HZ)


def place_of(tone: str, track: Samples) -> int:
    """Return the first sample of a tone, by its first 0.1 s without the part that an older sound may fade over."""
    part = TONES[tone].samples[FADE + BLOCK : 2200]
    for place in range(len(track) - 2200):
        if np.array_equal(track[place + FADE + BLOCK : place + 2200], part):
            return place
    raise AssertionError(f"there is no {tone}")


LONG = "the jars stand on the towel and nobody touches them until tomorrow at noon whatever they look like now"


@pytest.mark.parametrize("lower", [Urgency.CHAT, Urgency.GUIDANCE, Urgency.READBACK, Urgency.CAUTION])
def test_an_alarm_s_first_sample_is_handed_over_within_a_fifth_of_a_second(kitchen: Kitchen, lower: Urgency) -> None:
    kitchen.say(LONG, lower)
    kitchen.go_on(1.0)
    before = len(kitchen.card.handed)
    assert np.abs(kitchen.card.handed[-1]).max() > 1000, "it isn't talking"
    kitchen.say("pressure is low", Urgency.ALARM, key="low:1", tone="alarm")
    kitchen.go_on(0.3)
    track = np.concatenate(kitchen.card.handed[before:])
    assert place_of("alarm", track) / TONE_RATE_HZ <= 0.2 - player_latency_s()
    assert np.array_equal(track[300:4000], TONES["alarm"].samples[300:4000]), (
        "after the fade the alarm and nothing else"
    )


def player_latency_s() -> float:
    """Return the sound system's allowance until a sample is in the air; measured in the virtual card: 0.04 s."""
    return 0.1


@pytest.mark.parametrize(
    ("lower", "higher"),
    [(low, high) for low in Urgency for high in Urgency if low < high],
    ids=lambda urgency: urgency.name.lower(),
)
def test_the_more_urgent_cuts_in_and_all_but_chat_is_said_again_from_its_beginning(
    kitchen: Kitchen, lower: Urgency, higher: Urgency
) -> None:
    kitchen.say("the lower one of two", lower)
    kitchen.go_on(0.4)
    kitchen.say("the higher one of two", higher)
    kitchen.go_on(8.0)
    again = [] if lower == Urgency.CHAT else ["the lower one of two"]
    assert kitchen.said == ["the higher one of two", *again]
    assert kitchen.begun == ["the lower one of two", "the higher one of two", *again]


def test_a_caution_that_was_cut_short_is_said_again_whole_with_its_tone(kitchen: Kitchen) -> None:
    kitchen.say("too hot", Urgency.CAUTION, tone="timer")
    kitchen.go_on(0.3)
    kitchen.say("pressure is low", Urgency.ALARM, tone="alarm", key="low:1")
    before = len(kitchen.card.handed)
    kitchen.go_on(8.0)
    assert kitchen.said == ["pressure is low", "too hot"]
    assert place_of("timer", np.concatenate(kitchen.card.handed[before:])) > 0


@pytest.mark.parametrize("urgency", list(Urgency))
def test_equal_ones_are_said_in_the_order_they_came_and_none_cuts_in(kitchen: Kitchen, urgency: Urgency) -> None:
    for text in ("one", "two", "three"):
        kitchen.say(text, urgency)
        kitchen.go_on(0.05)
    kitchen.go_on(4.0)
    assert kitchen.said == kitchen.begun == ["one", "two", "three"]


def test_five_minutes_left_is_not_said_at_four(kitchen: Kitchen) -> None:
    kitchen.say("pressure is low, pressure is low, pressure is low, bring it up again now", Urgency.ALARM, key="low:1")
    kitchen.say("five minutes left", Urgency.GUIDANCE, true_s=3.0)
    kitchen.say("this stays true", Urgency.GUIDANCE)
    kitchen.go_on(8.0)
    assert "five minutes left" not in kitchen.begun
    assert kitchen.said[-1] == "this stays true"


def test_what_was_to_be_said_while_the_speaker_was_away_is_dropped_if_it_is_old_unless_it_lasts(
    kitchen: Kitchen,
) -> None:
    kitchen.card.t += 1.0  # no callback for a second: the speaker is gone
    kitchen.speaker._lost = True
    kitchen.say("a long sentence of ours, and then another one", Urgency.ALARM, key="low:1")
    kitchen.say("five minutes left", Urgency.GUIDANCE, true_s=30.0)
    kitchen.say("keep your hands off the glass", Urgency.CAUTION)
    kitchen.card.t += 31.0
    kitchen.go_on(8.0)
    assert kitchen.begun[-1] == kitchen.said[-1] == "keep your hands off the glass"
    assert "five minutes left" not in kitchen.begun


def loudness_of_each(kitchen: Kitchen, blocks: list[Samples]) -> list[tuple[float, float]]:
    """Return when each stretch of sound began (seconds) and its level (root mean square)."""
    found: list[tuple[float, list[Samples]]] = []
    quiet = 100
    for number, block in enumerate(blocks):
        if np.abs(block).max() < 100:
            quiet += 1
            continue
        if quiet >= 50:
            found.append((number * BLOCK_S, []))
        quiet = 0
        found[-1][1].append(block)
    return [(t, float(np.sqrt(np.mean(np.concatenate(part).astype(float) ** 2)))) for t, part in found]


def test_a_call_that_is_made_again_is_louder_and_none_is_made_again_by_itself(kitchen: Kitchen) -> None:
    for repeats in range(3):
        kitchen.say("time is up for load two", Urgency.CAUTION, key="hold:2", load=2, repeats=repeats)
        kitchen.go_on(20.0)
    levels = [level for _, level in loudness_of_each(kitchen, kitchen.card.handed)]
    assert len(levels) == 3
    assert levels[0] < levels[1] < levels[2] * 1.01
    before = len(kitchen.card.handed)
    kitchen.go_on(130.0)
    assert loudness_of_each(kitchen, kitchen.card.handed[before:]) == []


def test_two_calls_at_once_are_both_said_and_one_that_is_withdrawn_is_not(kitchen: Kitchen) -> None:
    for load in (1, 2, 3):
        kitchen.say(f"load {load} is done", Urgency.ALARM, key=f"hold:{load}", load=load)
    assert kitchen.mouth.withdraw("hold:2")
    kitchen.go_on(9.0)
    assert kitchen.said == ["load 1 is done", "load 3 is done"]
