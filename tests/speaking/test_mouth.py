"""The mouth step by step on a simulated clock, with a player moved by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from kitchenvoice.errors import DeviceLost, KitchenVoiceError, VoiceMissing
from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.speaking import TONES, Dropped, Mouth, MouthCallbacks, MouthSettings
from kitchenvoice.speaking.announcer import STOPPED_S
from kitchenvoice.speaking.levels import as_factor
from kitchenvoice.speaking.mouth import RETRY_S, TAIL_S
from kitchenvoice.testing.fake_mouth import FakePlayer, FakeSynthesiser


class Room:
    """A mouth with its surroundings."""

    def __init__(self, run: Callable[[Callable[[], None]], None] = lambda work: work()) -> None:
        self.t = 0.0
        self.synthesiser = FakeSynthesiser()
        self.player = FakePlayer()
        self.speaking: list[bool] = []
        self.started: list[str] = []
        self.spoken: list[str] = []
        self.dropped: list[Dropped] = []
        self.troubles: list[KitchenVoiceError] = []
        self.recovered: list[str] = []
        callbacks = MouthCallbacks(
            on_speaking=self.speaking.append,
            on_started=lambda announcement: self.started.append(announcement.text),
            on_spoken=self.spoken.append,
            on_dropped=self.dropped.append,
            on_trouble=self.troubles.append,
            on_recovered=self.recovered.append,
        )
        self.mouth = Mouth(self.synthesiser, self.player, lambda: self.t, callbacks=callbacks, run=run)

    def say(self, text: str, urgency: Urgency = Urgency.GUIDANCE, **more: object) -> None:
        self.mouth.say(Announcement(text, urgency, **more))  # type: ignore[arg-type]
        self.mouth.step()

    def play_on(self, seconds: float, pace_s: float = 0.1) -> None:
        """Advance the clock and the player together."""
        for _ in range(round(seconds / pace_s)):
            self.t += pace_s
            self.player.advance(pace_s)
            self.mouth.step()

    def sounds(self) -> list[str]:
        """Names of the sounds played: the name of a tone, or `words`."""
        names = {id(tone.samples): name for name, tone in TONES.items()}
        return [names.get(id(played.sound.samples), "words") for played in self.player.played]


@pytest.fixture
def room() -> Room:
    return Room()


def test_words_are_rendered_played_and_reported(room: Room) -> None:
    room.say("put seven jars in")
    room.play_on(3.0)
    assert room.synthesiser.asked == ["put seven jars in"]
    assert room.started == room.spoken == ["put seven jars in"]
    assert room.sounds() == ["words"]
    assert not room.player.playing


def test_a_tone_comes_before_the_words(room: Room) -> None:
    room.say("seven packed", Urgency.READBACK, tone="accepted")
    room.play_on(3.0)
    assert room.sounds() == ["accepted", "words"]
    assert room.spoken == ["seven packed"]


def test_a_tone_alone_needs_no_voice(room: Room) -> None:
    room.synthesiser.failing = True
    room.say("", Urgency.READBACK, tone="refused")
    room.play_on(2.0)
    assert room.sounds() == ["refused"]
    assert room.troubles == []
    assert room.spoken == []


def test_an_unknown_tone_does_not_keep_the_words_back(room: Room) -> None:
    room.say("hello", tone="no such tone")
    assert room.sounds() == ["words"]


def test_the_ear_is_shut_from_before_the_first_sample_until_the_tail_is_over(room: Room) -> None:
    shut_before_play: list[bool] = []
    play = room.player.play

    def watched(*given: object, **named: object) -> None:
        shut_before_play.append(room.mouth.busy)
        play(*given, **named)  # type: ignore[arg-type]

    room.player.play = watched  # type: ignore[assignment,method-assign]
    room.say("one")
    room.say("two")
    assert shut_before_play == [True]
    room.player.finish()
    room.mouth.step()
    room.player.finish()
    room.mouth.step()
    assert room.speaking == [True]
    room.t += TAIL_S - 0.01
    room.mouth.step()
    assert room.mouth.busy
    room.t += 0.02
    room.mouth.step()
    assert room.speaking == [True, False]
    assert not room.mouth.busy
    assert room.spoken == ["one", "two"]


def test_an_alarm_cuts_chat_short_at_once_and_begins_with_its_tone(room: Room) -> None:
    room.say("did you know that beans are legumes", Urgency.CHAT)
    room.play_on(0.5)
    room.say("pressure is low on load one", Urgency.ALARM, key="low:1", tone="alarm")
    assert room.sounds() == ["words", "alarm"]
    assert room.player.played[0].finished is False
    assert [(d.announcement.text[:3], d.reason) for d in room.dropped] == [("did", "interrupted")]
    room.play_on(8.0)
    assert room.spoken == ["pressure is low on load one"]


def test_a_call_is_said_once_and_louder_when_it_is_made_again(room: Room) -> None:
    for repeats in range(3):
        room.say("time is up for load two", Urgency.CAUTION, key="hold:2", load=2, repeats=repeats)
        room.play_on(20.0)
    assert [played.gain for played in room.player.played] == [as_factor(0), as_factor(3), as_factor(6)]
    assert room.mouth.pending == ()


def test_words_that_are_not_true_any_more_once_they_are_rendered_are_not_played(room: Room) -> None:
    rendering: list[Callable[[], None]] = []
    room.mouth._run = rendering.append
    room.say("ended just now", Urgency.ALARM, key="k", true_s=30.0, tone="timer")
    room.play_on(31.0)
    rendering.pop()()
    room.play_on(1.0)
    assert room.sounds() == ["timer"]
    assert [(each.announcement.text, each.reason) for each in room.dropped] == [("ended just now", "expired")]
    assert room.speaking == [True, False]


def test_stop_silences_at_once_and_the_call_comes_back(room: Room) -> None:
    room.say("time is up", Urgency.ALARM, key="k")
    room.play_on(0.5)
    room.mouth.say(Announcement("and now for something else", Urgency.CHAT))
    assert [a.text for a in room.mouth.stop()] == ["and now for something else"]
    assert not room.player.playing
    room.play_on(7.0)
    assert len(room.player.played) == 1
    assert room.speaking == [True, False]
    room.play_on(3.0)
    assert len(room.player.played) == 2


def test_without_a_voice_urgent_ones_still_sound_and_trouble_is_told_once(room: Room) -> None:
    room.synthesiser.failing = True
    room.say("pressure is low", Urgency.ALARM, key="low", tone="alarm")
    room.say("steam stopped", Urgency.CAUTION)
    room.say("next, wipe the rims", Urgency.GUIDANCE)
    room.say("nice weather", Urgency.CHAT)
    room.play_on(7.0)
    assert room.sounds() == ["alarm", "timer", "attention"]
    assert [type(error) for error in room.troubles] == [VoiceMissing]
    assert "apt-get install espeak-ng" in str(room.troubles[0])
    assert room.spoken == []
    assert room.mouth.pending == ()
    room.synthesiser.failing = False
    room.say("pressure is low", Urgency.ALARM, key="low", tone="alarm", repeats=1)
    room.play_on(12.0)
    assert room.recovered == ["voice"]
    assert room.spoken == ["pressure is low"]


def test_a_voice_that_fails_in_an_unknown_way_is_a_missing_voice(
    room: Room, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(_: str) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(room.synthesiser, "render", broken)
    room.say("pressure is low", Urgency.ALARM, key="low")
    room.play_on(6.0)
    assert room.sounds() == ["alarm"]
    assert [type(error) for error in room.troubles] == [VoiceMissing]
    assert "ZeroDivisionError" in caplog.text


def test_a_player_that_fails_in_an_unknown_way_is_tried_again(
    room: Room, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    with monkeypatch.context() as patch:
        patch.setattr(room.player, "play", broken)
        room.say("pressure is low", Urgency.ALARM, key="low")
        room.play_on(3.0)
    assert [type(error) for error in room.troubles] == [DeviceLost]
    room.play_on(6.0)
    assert room.spoken == ["pressure is low"]
    assert "ZeroDivisionError" in caplog.text


def test_a_lost_speaker_is_told_once_tried_every_second_and_nothing_urgent_is_lost(room: Room) -> None:
    room.say("time is up", Urgency.ALARM, key="k")
    room.play_on(0.25, 0.125)
    room.player.break_down()
    room.mouth.step()
    before = room.player.attempts
    room.play_on(5.0, 0.125)
    assert room.player.attempts - before == 5
    assert [type(error) for error in room.troubles] == [DeviceLost]
    assert not room.mouth.busy
    assert room.speaking == [True, False]
    room.player.repair()
    room.play_on(4.0)
    assert room.recovered == ["speaker"]
    assert room.spoken == ["time is up"]
    assert room.speaking == [True, False, True, False]


def test_a_lost_speaker_is_tried_every_second_although_there_is_nothing_to_say(room: Room) -> None:
    room.player.break_down()
    room.mouth.note_lost(DeviceLost("gone"))
    before = room.player.attempts
    room.play_on(5.0, 0.125)
    assert room.player.attempts - before == 5
    assert room.recovered == []
    room.player.repair()
    room.play_on(1.0, 0.125)
    assert room.recovered == ["speaker"]
    assert room.speaking == [], "nothing was said, so the ear was never shut"


def test_the_ear_stays_open_while_the_speaker_is_only_tried(room: Room) -> None:
    room.player.break_down()
    room.say("time is up", Urgency.ALARM, key="k")
    room.play_on(1.0)
    shut = list(room.speaking)
    room.play_on(10.0)
    assert room.speaking == shut == [True, False]


def test_a_player_that_reports_its_loss_itself_is_told_once_too(room: Room) -> None:
    room.mouth.note_lost(DeviceLost("gone"))
    room.mouth.note_lost(DeviceLost("gone"))
    room.mouth.step()
    assert len(room.troubles) == 1
    room.say("hello")
    room.mouth.step()
    assert room.recovered == ["speaker"]


def test_a_slow_voice_holds_up_no_alarm() -> None:
    kept: list[Callable[[], None]] = []
    room = Room(run=kept.append)
    room.say("a long chat", Urgency.CHAT)
    assert room.sounds() == []
    room.say("pressure is low", Urgency.ALARM, key="low", tone="alarm")
    assert room.sounds() == ["alarm"]
    for work in kept:
        work()
    room.player.finish()
    room.mouth.step()
    room.mouth.step()
    room.player.finish()
    room.mouth.step()
    assert room.spoken == ["pressure is low"]
    assert room.sounds() == ["alarm", "words"]


def test_words_that_were_rendered_for_a_silenced_turn_are_not_played() -> None:
    kept: list[Callable[[], None]] = []
    room = Room(run=kept.append)
    room.say("chat", Urgency.CHAT)
    room.mouth.stop()
    kept[0]()
    room.play_on(1.0)
    assert room.player.played == []


def test_a_stop_that_comes_while_the_player_starts_still_silences(room: Room) -> None:
    play = room.player.play

    def stopped_meanwhile(*given: object, **named: object) -> None:
        room.mouth.stop()
        play(*given, **named)  # type: ignore[arg-type]

    room.player.play = stopped_meanwhile  # type: ignore[assignment,method-assign]
    room.say("chat", Urgency.CHAT)
    assert not room.player.playing
    assert room.player.played[0].heard_s == 0.0


def test_an_expired_announcement_is_not_said_and_is_named(room: Room) -> None:
    room.say("first a long sentence about beans")
    room.say("ten minutes left", true_s=1.0)
    room.play_on(6.0)
    assert room.spoken == ["first a long sentence about beans"]
    assert [(d.announcement.text, d.reason) for d in room.dropped] == [("ten minutes left", "expired")]


def test_volume_and_pace_change_the_next_sentence_and_say_when_the_bound_is_reached(room: Room) -> None:
    assert room.mouth.louder()
    assert room.mouth.louder()
    assert not room.mouth.louder()
    assert room.mouth.slower()
    assert room.synthesiser.rate_wpm == MouthSettings().rate_wpm - 20
    room.say("hello")
    assert room.player.played[0].gain == as_factor(6)
    assert room.mouth.softer()
    assert room.mouth.faster()
    assert room.mouth.settings == MouthSettings(volume_db=3.0)


def test_speech_is_brought_to_one_level_before_it_is_played(room: Room) -> None:
    from kitchenvoice.speaking.levels import SPEECH_DBFS, level_dbfs

    room.say("hello hello hello")
    assert level_dbfs(room.player.played[0].sound) == pytest.approx(SPEECH_DBFS, abs=0.1)
    assert np.abs(room.player.played[0].sound.samples).max() > 0


def test_step_says_when_it_wants_to_be_called_again(room: Room) -> None:
    assert room.mouth.step() == math.inf
    room.say("time is up", Urgency.ALARM, key="k")
    room.mouth.stop()
    assert room.mouth.step() == pytest.approx(TAIL_S)
    room.t += STOPPED_S - 0.05
    room.mouth.step()
    assert room.mouth.step() == pytest.approx(0.05, abs=0.001)
    room.player.break_down()
    room.mouth.note_lost(DeviceLost("The speaker has stopped working. Check its plug."))
    room.mouth.step()
    assert room.mouth.step() == pytest.approx(RETRY_S)


def test_with_its_thread_it_speaks_by_itself_and_finish_waits_for_it() -> None:
    from kitchenvoice.clock import SystemClock

    clock = SystemClock()
    player = FakePlayer()
    spoken: list[str] = []
    play = player.play

    def at_once(*given: object, **named: object) -> None:
        play(*given, **named)  # type: ignore[arg-type]
        player.finish()

    player.play = at_once  # type: ignore[assignment,method-assign]
    callbacks = MouthCallbacks(on_spoken=spoken.append)
    mouth = Mouth(FakeSynthesiser(), player, lambda: clock.now().elapsed, callbacks=callbacks)
    mouth.start()
    for text in ("one", "two", "three"):
        mouth.say(Announcement(text))
    assert mouth.finish(5.0)
    mouth.close()
    mouth.close()
    assert spoken == ["one", "two", "three"]


def test_a_mistake_in_a_callback_does_not_make_the_kitchen_silent(caplog: pytest.LogCaptureFixture) -> None:
    from kitchenvoice.clock import SystemClock

    clock = SystemClock()
    player = FakePlayer()
    play = player.play

    def at_once(*given: object, **named: object) -> None:
        play(*given, **named)  # type: ignore[arg-type]
        player.finish()

    def wrong(_: str) -> None:
        raise ZeroDivisionError

    player.play = at_once  # type: ignore[assignment,method-assign]
    mouth = Mouth(FakeSynthesiser(), player, lambda: clock.now().elapsed, callbacks=MouthCallbacks(on_spoken=wrong))
    mouth.start()
    mouth.say(Announcement("one"))
    mouth.say(Announcement("two"))
    assert mouth.finish(5.0)
    mouth.close()
    assert len(player.played) == 2
    assert "goes on after an error" in caplog.text
