"""The microphone's own rules, on a fake PortAudio; on a virtual sound card it is in tests/live."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost
from kitchenvoice.hearing import Microphone
from kitchenvoice.ports import EAR_RATE_HZ, Samples


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


def test_a_soft_microphone_is_made_louder_up_to_full_scale(sound: _Sound) -> None:
    _, first = _opened(Microphone(gain_db=20.0), sound, np.array([0, 1, -70, 4_000, -4_000] * 64, dtype=np.int16))
    assert first[:5].tolist() == [0, 10, -700, 32_767, -32_768]


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
