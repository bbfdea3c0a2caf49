"""The speaker on a fake PortAudio: a driver that hangs, a device that stays away."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.audio.portaudio import SoundDevice
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.speaking import TONES, SpeakerPlayer, player
from kitchenvoice.speaking.tones import TONE_RATE_HZ

BLOCK = 220
WHEN = SimpleNamespace(outputBufferDacTime=0.02, currentTime=0.0)


class MadeUpStream:
    """A stream with its callback called by hand."""

    latency = 0.0

    def __init__(
        self, callback: Callable[..., None], channels: int, finished_callback: Callable[[], None], **_: object
    ) -> None:
        self._callback = callback
        self.finish = finished_callback
        self._channels = channels
        self.closed = threading.Event()

    def pull(self) -> np.ndarray[Any, Any]:
        """Ask for one block of 10 ms."""
        out = np.empty((BLOCK, self._channels), dtype=np.int16)
        self._callback(out, BLOCK, WHEN, None)
        return out

    def start(self) -> None: ...

    def abort(self, ignore_errors: bool) -> None: ...

    def close(self, ignore_errors: bool) -> None:
        self.closed.set()


class MadeUpPortAudio:
    """A minimal fake of sounddevice for the speaker."""

    PortAudioError = RuntimeError

    def __init__(self) -> None:
        self.streams: list[MadeUpStream] = []
        self.gone = False
        self.hangs: threading.Event | None = None
        self.arrived = threading.Event()

    def query_devices(self, device: object, kind: str) -> dict[str, float]:
        return {"default_samplerate": 48_000.0}

    def check_output_settings(self, device: object, **_: object) -> None:
        if self.gone:
            raise self.PortAudioError("gone")

    def OutputStream(self, **named: Any) -> MadeUpStream:  # noqa: N802 - its name there
        if self.hangs is not None:
            self.hangs.wait(10.0)
        self.streams.append(MadeUpStream(**named))
        self.arrived.set()
        return self.streams[-1]


@pytest.fixture
def sd(monkeypatch: pytest.MonkeyPatch) -> MadeUpPortAudio:
    made_up = MadeUpPortAudio()
    monkeypatch.setattr(portaudio, "sounddevice", lambda: made_up)
    return made_up


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[SimpleNamespace]:
    """The speaker's clock, moved by hand."""
    hands = SimpleNamespace(t=1000.0)
    monkeypatch.setattr(player, "time", SimpleNamespace(monotonic=lambda: hands.t))
    yield hands


def test_a_stream_that_opens_too_late_is_closed_again(sd: MadeUpPortAudio, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(portaudio, "PATIENCE_S", 0.05)
    sd.hangs = threading.Event()
    with pytest.raises(DeviceLost, match="Check its plug"):
        SpeakerPlayer()
    sd.hangs.set()
    assert sd.arrived.wait(5.0)
    assert sd.streams[0].closed.wait(5.0)


def test_a_little_noise_keeps_the_device_awake_and_a_sound_begins_at_once_and_whole(
    sd: MadeUpPortAudio, clock: SimpleNamespace
) -> None:
    speaker = SpeakerPlayer()
    (stream,) = sd.streams
    tone = TONES["accepted"]
    for seconds_open, lead_s in ((0.0, player.WAKE_S), (1.0, 0.0), (60.0, 0.0)):
        clock.t = 1000.0 + seconds_open
        idle = [stream.pull()[:, 0] for _ in range(200)]
        assert all(0 < np.abs(block).max() <= player.WAKE_PEAK for block in idle), "it may fall asleep"
        assert not np.array_equal(idle[0], idle[1]), "a hum would be heard"
        speaker.play(tone)
        heard = np.concatenate([stream.pull()[:, 0] for _ in range(60)])
        lead = round((clock.t + lead_s - clock.t) * TONE_RATE_HZ)
        assert np.abs(heard[:lead]).max(initial=0) <= player.WAKE_PEAK
        assert np.array_equal(heard[lead : lead + len(tone.samples)], tone.samples)
    speaker.close()


def test_what_is_in_the_air_is_told_without_the_noise(sd: MadeUpPortAudio, clock: SimpleNamespace) -> None:
    told: list[np.ndarray[Any, Any]] = []
    speaker = SpeakerPlayer(on_played=lambda samples, rate_hz, t: told.append(samples))
    sd.streams[0].pull()
    assert np.abs(told[0]).max() == 0
    speaker.close()


def test_stop_fades_within_5_ms_and_is_silent_from_then_on(sd: MadeUpPortAudio, clock: SimpleNamespace) -> None:
    speaker = SpeakerPlayer()
    (stream,) = sd.streams
    speaker.play(TONES["alarm"])
    assert max(np.abs(stream.pull()).max() for _ in range(40)) > 20_000
    speaker.stop()
    last = stream.pull()[:, 0]
    assert np.abs(last[: BLOCK // 4]).max() > 0
    assert np.abs(last[BLOCK // 2 :]).max() == 0
    assert np.abs(stream.pull()).max() <= player.WAKE_PEAK
    speaker.close()


def test_a_sound_ends_although_its_driver_says_it_is_heard_in_an_hour(
    sd: MadeUpPortAudio, clock: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(WHEN, "outputBufferDacTime", 3600.0)
    speaker, over = SpeakerPlayer(), queue.Queue[bool]()
    speaker.play(TONES["accepted"], on_end=over.put)
    for _ in range(30):
        clock.t += 0.1
        for _ in range(10):
            sd.streams[0].pull()
    assert over.get(timeout=5.0)
    speaker.close()


def test_loud_over_a_fading_sound_never_wraps_round(sd: MadeUpPortAudio, clock: SimpleNamespace) -> None:
    speaker = SpeakerPlayer()
    (stream,) = sd.streams
    full = np.full(TONE_RATE_HZ, 30_000, dtype=np.int16)
    speaker.play(player.Sound(full, TONE_RATE_HZ))
    while np.abs(stream.pull()).min() < 29_000:
        pass
    speaker.play(player.Sound(full, TONE_RATE_HZ))
    assert stream.pull().min() > 0
    speaker.close()


def microphone(index: int = 0) -> SoundDevice:
    return SoundDevice(index, "microphone", 1, 0, 48_000, True, False)


@pytest.mark.parametrize(
    ("devices", "times"), [((microphone(),), [0.0, 1.0, 3.0, 7.0, 15.0, 23.0]), ((), [float(t) for t in range(25)])]
)
def test_portaudio_is_started_anew_rarely_while_a_microphone_could_suffer(
    devices: tuple[SoundDevice, ...],
    times: list[float],
    sd: MadeUpPortAudio,
    clock: SimpleNamespace,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    restarts: list[float] = []
    monkeypatch.setattr(portaudio, "describe_devices", lambda: devices)
    monkeypatch.setattr(portaudio, "reinitialise", lambda: restarts.append(clock.t))
    lost: list[DeviceLost] = []
    speaker = SpeakerPlayer(on_lost=lost.append)
    begun = clock.t + 1.0
    sd.gone = True
    for second in range(25):
        clock.t = begun + second
        with pytest.raises(DeviceMissing, match="Plug one in"):
            speaker.play(TONES["accepted"])
    assert [t - begun for t in restarts] == times
    assert len(lost) == 1
    sd.gone = False
    speaker.play(TONES["accepted"])
    assert speaker.healthy
    speaker.close()


def test_a_speaker_that_is_missing_at_the_start_is_taken_as_soon_as_something_has_come(
    sd: MadeUpPortAudio, clock: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    restarts: list[float] = []
    cards: set[str] = set()

    def reinitialise() -> None:
        restarts.append(clock.t - 1000.0)
        sd.gone = not cards

    monkeypatch.setattr(portaudio, "describe_devices", lambda: (microphone(),))
    monkeypatch.setattr(portaudio, "reinitialise", reinitialise)
    monkeypatch.setattr(portaudio, "surroundings", lambda: frozenset(cards))
    sd.gone = True
    lost: list[DeviceLost] = []
    speaker = SpeakerPlayer(on_lost=lost.append, may_be_missing=True)
    assert not speaker.healthy
    for second in range(13):
        clock.t = 1000.0 + second
        with pytest.raises(DeviceMissing, match="Plug one in"):
            speaker.play(TONES["accepted"])
    cards.add("pcmC1D0p")
    clock.t = 1013.0
    speaker.play(TONES["accepted"])
    assert restarts == [0.0, 1.0, 3.0, 7.0, 13.0], "it waits for the next look in its turn, at 15"
    assert speaker.healthy
    assert lost == [], "it never was there"
    speaker.close()


def test_portaudio_started_anew_for_the_microphone_is_no_lost_speaker(
    sd: MadeUpPortAudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    lost: list[DeviceLost] = []
    speaker = SpeakerPlayer(on_lost=lost.append)
    sd.arrived.clear()
    monkeypatch.setattr(portaudio, "_generation", portaudio.generation() + 1)
    sd.streams[0].finish()
    assert sd.arrived.wait(5.0), "it isn't opened again"
    speaker.play(TONES["accepted"])
    assert lost == []
    assert len(sd.streams) == 2
    speaker.close()


def test_a_mistake_in_a_callback_does_not_end_the_watch(sd: MadeUpPortAudio, caplog: pytest.LogCaptureFixture) -> None:
    speaker = SpeakerPlayer()
    second = threading.Event()

    def wrong(_: bool) -> None:
        raise ZeroDivisionError

    speaker.play(TONES["accepted"], on_end=wrong)
    speaker.play(TONES["accepted"], on_end=lambda finished: second.set())
    speaker.stop()
    assert second.wait(5.0)
    assert "goes on after an error" in caplog.text
    speaker.close()
