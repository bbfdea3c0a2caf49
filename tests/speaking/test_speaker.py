"""The loudspeaker on a virtual sound card that is recorded, killed and restarted."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.clock import SystemClock
from kitchenvoice.errors import DeviceLost, DeviceMissing, KitchenVoiceError
from kitchenvoice.ports import Announcement, Sound, Urgency
from kitchenvoice.speaking import TONES, Mouth, MouthCallbacks, Pyttsx3Synthesiser, SpeakerPlayer
from kitchenvoice.speaking.levels import SPEECH_DBFS, level_dbfs, levelled

from .conftest import RATE_HZ, Recording

pytestmark = pytest.mark.audio

LONG = (
    "Wipe the rim of every jar with a damp cloth, put a lid on each one, and turn the ring until it is fingertip tight."
)


Start = Callable[..., Mouth]


@pytest.fixture
def start(virtual_room: Path) -> Iterator[Start]:
    """Start a mouth with a speaker; both are closed in the end, also when the test failed."""
    with ExitStack() as open_ones:

        def started(player: SpeakerPlayer, **callbacks: Callable[..., None]) -> Mouth:
            clock = SystemClock()
            heard_by = MouthCallbacks(**callbacks)
            mouth = Mouth(Pyttsx3Synthesiser(), player, lambda: clock.now().elapsed, callbacks=heard_by)
            open_ones.callback(player.close)
            open_ones.callback(mouth.close)
            mouth.start()
            return mouth

        yield started


def daemon(room: Path) -> int:
    return int((room / "pid").read_text())


def test_a_sentence_arrives_with_its_length_and_level(recording: Recording) -> None:
    player = SpeakerPlayer()
    sound = levelled(Pyttsx3Synthesiser().render("The time is up for load two. Turn off the heat."))
    ended = threading.Event()
    begun_t = time.perf_counter()
    player.play(sound, on_end=lambda finished: ended.set() if finished else None)
    first_t = recording.wait_loud(begun_t)
    assert ended.wait(10.0)
    last_t = recording.wait_quiet(0.5, begun_t)
    loud = np.flatnonzero(np.abs(sound.samples) > 300)
    assert last_t - first_t == pytest.approx((loud[-1] - loud[0]) / sound.rate_hz, abs=0.05)
    assert level_dbfs(Sound(recording.samples(begun_t), RATE_HZ)) == pytest.approx(SPEECH_DBFS, abs=1.0)
    player.close()


def test_stop_is_silence_within_a_fifth_of_a_second(recording: Recording, start: Start) -> None:
    player = SpeakerPlayer()
    mouth = start(player)
    mouth.say(Announcement(LONG))
    recording.wait_loud(0.0)
    stopped_t = time.perf_counter()
    mouth.stop()
    assert recording.wait_quiet(0.5, stopped_t) - stopped_t < 0.2


def test_an_alarm_cuts_into_chat_within_a_fifth_of_a_second(recording: Recording, start: Start) -> None:
    player = SpeakerPlayer()
    mouth = start(player)
    mouth.say(Announcement(LONG, Urgency.CHAT))
    recording.wait_loud(0.0)
    level_before = level_dbfs(Sound(recording.samples(time.perf_counter() - 0.3), RATE_HZ))
    called_t = time.perf_counter()
    mouth.say(Announcement("Pressure is low.", Urgency.ALARM, key="low", tone="alarm"))
    alarming = 10 ** ((level_before + 9.0) / 20) * 32768

    def alarm_is_heard() -> bool:
        block = recording.samples(called_t)[-320:].astype(np.float64)
        return bool(np.sqrt(np.mean(block**2)) > alarming)

    recording.wait(lambda: len(recording.loud_times(called_t)) > 2 and alarm_is_heard(), "no alarm was heard", 2.0)
    assert time.perf_counter() - called_t < 0.2


def test_a_killed_daemon_is_noticed_and_the_call_is_heard_after_it_is_back(
    virtual_room: Path, room_script: Callable[..., str], start: Start
) -> None:
    troubles: list[KitchenVoiceError] = []
    heard = {name: threading.Event() for name in ("lost", "recovered", "spoken")}

    def lost(error: KitchenVoiceError) -> None:
        troubles.append(error)
        heard["lost"].set()

    player = SpeakerPlayer(on_lost=lambda error: mouth.note_lost(error))
    mouth = start(
        player,
        on_trouble=lost,
        on_recovered=lambda part: heard["recovered"].set(),
        on_spoken=lambda text: heard["spoken"].set() if text == "Time is up." else None,
    )
    mouth.say(Announcement(LONG, Urgency.CHAT))
    os.kill(daemon(virtual_room), signal.SIGKILL)
    killed_t = time.perf_counter()
    assert heard["lost"].wait(5.0)
    assert time.perf_counter() - killed_t < 1.5
    assert isinstance(troubles[0], DeviceLost)
    mouth.say(Announcement("Time is up.", Urgency.ALARM, key="k"))
    room_script("start", virtual_room)
    recording = Recording()
    recording.wait_loud(0.0, 12.0)
    assert heard["spoken"].wait(10.0)
    assert heard["recovered"].is_set()
    assert len(troubles) == 1
    recording.close()


def test_a_frozen_daemon_is_a_lost_speaker_and_hangs_nobody(virtual_room: Path) -> None:
    lost = threading.Event()
    player = SpeakerPlayer(on_lost=lambda error: lost.set())
    ended: list[bool] = []
    player.play(TONES["alarm"], on_end=ended.append)
    os.kill(daemon(virtual_room), signal.SIGSTOP)
    try:
        assert lost.wait(3.0)
        assert ended == [False]
        assert not player.healthy
    finally:
        os.kill(daemon(virtual_room), signal.SIGCONT)
    player.close()


def test_without_a_device_there_is_one_sentence_that_says_so(
    virtual_room: Path, room_script: Callable[..., str]
) -> None:
    os.kill(daemon(virtual_room), signal.SIGKILL)
    portaudio.reinitialise()
    assert not any(device.outputs for device in portaudio.describe_devices())
    with pytest.raises(DeviceMissing, match="Plug one in"):
        SpeakerPlayer()
    room_script("start", virtual_room)
    portaudio.reinitialise()
    SpeakerPlayer().close()


def test_a_device_of_another_rate_gets_resampled_sound(recording: Recording, monkeypatch: pytest.MonkeyPatch) -> None:
    sd = portaudio.sounddevice()
    check = sd.check_output_settings

    def only_its_own(device: object, *, samplerate: int, channels: int, dtype: str) -> None:
        if samplerate == 22_050 or channels == 1:
            raise sd.PortAudioError("not offered")
        check(device, samplerate=samplerate, channels=channels, dtype=dtype)

    monkeypatch.setattr(sd, "check_output_settings", only_its_own)
    player = SpeakerPlayer()
    assert player.rate_hz == round(sd.query_devices(kind="output")["default_samplerate"]) != 22_050
    t = np.arange(22_050) / 22_050
    begun_t = time.perf_counter()
    player.play(Sound((9000 * np.sin(2 * np.pi * 1000 * t)).astype(np.int16), 22_050))
    recording.wait_loud(begun_t)
    recording.wait_quiet(0.4, begun_t)
    heard = recording.samples(begun_t).astype(np.float64)
    peak_hz = np.argmax(np.abs(np.fft.rfft(heard))) * RATE_HZ / len(heard)
    assert peak_hz == pytest.approx(1000, abs=3)
    player.close()


def test_the_half_duplex_signal_encloses_everything_that_is_heard(recording: Recording, start: Start) -> None:
    changes: list[tuple[bool, float]] = []
    player = SpeakerPlayer()
    mouth = start(player, on_speaking=lambda on: changes.append((on, time.perf_counter())))
    mouth.say(Announcement("Seven jars packed.", Urgency.READBACK, tone="accepted"))
    assert mouth.finish(10.0)
    recording.wait_quiet(0.3, changes[0][1])
    loud = recording.loud_times()
    assert [on for on, _ in changes] == [True, False]
    assert changes[0][1] < loud[0]
    assert changes[1][1] - loud[-1] > 0.2
