"""The microphone on a virtual sound card, and its own rules on a fake PortAudio."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.hearing import Microphone
from kitchenvoice.ports import EAR_RATE_HZ, Samples


@pytest.mark.audio
def test_what_is_played_in_the_room_arrives_sample_by_sample(
    virtual_room: Path, say: Callable[..., Samples], tmp_path: Path
) -> None:
    portaudio.reinitialise()
    sound = say("pressure is eleven")
    raw = tmp_path / "question.raw"
    raw.write_bytes(sound.tobytes())
    microphone = Microphone()
    blocks = microphone.blocks()
    heard = [next(blocks)]
    mouth = ["paplay", "--raw", "--rate=16000", "--channels=1", "--format=s16le", "--device=room", str(raw)]
    with subprocess.Popen(mouth) as playing:
        while playing.poll() is None:
            heard.append(next(blocks))
        heard += [next(blocks) for _ in range(25)]
    microphone.close()
    assert list(blocks) == []
    assert {len(block) for block in heard} == {320}
    assert microphone.dropped_blocks == 0
    track = np.concatenate(heard)
    start = int(np.argmax(np.correlate(track.astype(np.float64), sound[:4000].astype(np.float64))))
    assert np.array_equal(track[start : start + len(sound)], sound)


@pytest.mark.audio
def test_a_killed_sound_daemon_is_a_lost_microphone_within_a_second_and_comes_back(
    virtual_room: Path, room_script: Callable[..., str]
) -> None:
    portaudio.reinitialise()
    microphone = Microphone()
    blocks = microphone.blocks()
    next(blocks)
    os.kill(int((virtual_room / "pid").read_text()), signal.SIGKILL)
    killed = time.perf_counter()
    with pytest.raises(DeviceLost, match="microphone is gone"):
        for _ in blocks:
            assert time.perf_counter() - killed < 2.0, "sound goes on coming from a dead daemon"
    assert time.perf_counter() - killed < 1.0
    portaudio.reinitialise()
    assert not any(device.inputs for device in portaudio.describe_devices())
    with pytest.raises(DeviceMissing, match="Plug one in"):
        next(microphone.blocks())
    room_script("start", virtual_room)
    portaudio.reinitialise()
    assert len(next(microphone.blocks())) == 320


@pytest.mark.audio
def test_a_frozen_sound_daemon_is_a_lost_microphone_too(virtual_room: Path) -> None:
    portaudio.reinitialise()
    blocks = Microphone().blocks()
    next(blocks)
    daemon = int((virtual_room / "pid").read_text())
    os.kill(daemon, signal.SIGSTOP)
    frozen = time.perf_counter()
    try:
        with pytest.raises(DeviceLost):
            for _ in blocks:
                assert time.perf_counter() - frozen < 5.0
        assert time.perf_counter() - frozen < 0.5 + portaudio.PATIENCE_S + 1.0
    finally:
        os.kill(daemon, signal.SIGCONT)


class _Sound:
    """A minimal fake of sounddevice for the microphone; `offered` is the only rate of the device."""

    PortAudioError = RuntimeError

    def __init__(self, offered: int = EAR_RATE_HZ) -> None:
        self.offered = offered
        self.stream: SimpleNamespace | None = None
        self.closed = 0

    def check_input_settings(self, samplerate: int, **_: Any) -> None:
        if samplerate != self.offered:
            raise self.PortAudioError("Invalid sample rate")

    def query_devices(self, *_: Any) -> dict[str, float]:
        return {"default_samplerate": float(self.offered)}

    def InputStream(self, **settings: Any) -> SimpleNamespace:  # noqa: N802
        def count(**_: Any) -> None:
            self.closed += 1

        self.stream = SimpleNamespace(start=lambda: None, abort=lambda **_: None, close=count, **settings)
        return self.stream

    def give(self, block: Samples) -> None:
        assert self.stream is not None
        self.stream.callback(block.reshape(-1, 1), len(block), None, None)


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> _Sound:
    made_up = _Sound()
    monkeypatch.setattr(portaudio, "sounddevice", lambda: made_up)
    return made_up


def _opened(microphone: Microphone, sound: _Sound, first: Samples) -> tuple[Any, Samples]:
    """Open and return the running generator with its first block."""
    blocks = microphone.blocks()
    original = sound.InputStream

    def open_and_give(**settings: Any) -> SimpleNamespace:
        stream = original(**settings)
        stream.start = lambda: sound.give(first)
        return stream

    sound.InputStream = open_and_give  # type: ignore[method-assign]
    return blocks, next(blocks)


def test_the_callback_copies_because_portaudio_uses_its_block_again(sound: _Sound) -> None:
    block = np.arange(320, dtype=np.int16)
    blocks, first = _opened(Microphone(), sound, block)
    block[:] = 0
    assert first[-1] == 319
    blocks.close()
    assert sound.closed == 1


def test_a_device_with_only_its_own_rate_is_converted_to_16_khz(sound: _Sound) -> None:
    sound.offered = 48_000
    tone = (8000 * np.sin(2 * np.pi * 440 * np.arange(48_000) / 48_000)).astype(np.int16)
    blocks, first = _opened(Microphone(), sound, tone[:4800])
    got = [first]
    for start in range(4800, 48_000, 960):
        sound.give(tone[start : start + 960])
        got.append(next(blocks))
    track = np.concatenate(got)
    assert abs(len(track) - 16_000) < 400
    spectrum = np.abs(np.fft.rfft(track[2000:14_000]))
    assert abs(int(np.argmax(spectrum)) * 16_000 / 12_000 - 440) < 3


def test_a_stream_that_ends_by_itself_is_lost_at_once(sound: _Sound) -> None:
    blocks, _ = _opened(Microphone(), sound, np.ones(320, dtype=np.int16))
    assert sound.stream is not None
    sound.stream.finished_callback()
    with pytest.raises(DeviceLost):
        next(blocks)
    assert sound.closed == 1


def test_starting_portaudio_anew_ends_a_microphone_without_touching_its_old_stream(
    sound: _Sound, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocks, _ = _opened(Microphone(), sound, np.ones(320, dtype=np.int16))
    monkeypatch.setattr(portaudio, "_generation", portaudio.generation() + 1)
    with pytest.raises(DeviceLost):
        next(blocks)
    assert sound.closed == 0


def test_when_nobody_listens_the_oldest_sound_is_dropped_and_counted(sound: _Sound) -> None:
    microphone = Microphone()
    blocks, _ = _opened(microphone, sound, np.zeros(320, dtype=np.int16))
    for number in range(503):
        sound.give(np.full(320, number, dtype=np.int16))
    assert microphone.dropped_blocks == 3
    assert next(blocks)[0] == 3


def test_closing_twice_and_before_opening_ends_the_blocks(sound: _Sound) -> None:
    microphone = Microphone()
    microphone.close()
    microphone.close()
    assert list(microphone.blocks()) == []
