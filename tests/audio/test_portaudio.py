"""PortAudio shared by microphone and speaker: restarts, and abandoning a hung driver."""

from __future__ import annotations

import importlib
import threading
from types import SimpleNamespace
from typing import Any

import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost, DeviceMissing


class _Driver:
    """A sounddevice that counts, hangs or fails."""

    PortAudioError = RuntimeError

    def __init__(self) -> None:
        self.calls: list[str] = []
        self.hang = threading.Event()
        self.hang.set()

    def _terminate(self) -> None:
        assert self.hang.wait(5.0)
        self.calls.append("terminate")

    def _initialize(self) -> None:
        self.calls.append("initialize")


@pytest.fixture
def driver(monkeypatch: pytest.MonkeyPatch) -> _Driver:
    made_up = _Driver()
    monkeypatch.setattr(portaudio, "sounddevice", lambda: made_up)
    return made_up


def test_starting_anew_counts_generations(driver: _Driver) -> None:
    before = portaudio.generation()
    portaudio.reinitialise()
    assert driver.calls == ["terminate", "initialize"]
    assert portaudio.generation() == before + 1


def test_a_driver_that_hangs_is_left_behind(driver: _Driver) -> None:
    driver.hang.clear()
    with pytest.raises(DeviceLost, match="doesn't answer"):
        portaudio.reinitialise(patience_s=0.05)
    driver.hang.set()
    portaudio.reinitialise()
    assert driver.calls == ["terminate", "initialize"] * 2


def test_a_driver_that_fails_is_a_lost_device(driver: _Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail() -> None:
        raise RuntimeError("Error initializing PortAudio")

    monkeypatch.setattr(driver, "_initialize", fail)
    with pytest.raises(DeviceLost, match="reported an error"):
        portaudio.reinitialise()


def test_a_stream_is_closed_once_and_never_after_its_portaudio_went(driver: _Driver) -> None:
    closed: list[str] = []
    stream: Any = SimpleNamespace(abort=lambda **_: closed.append("abort"), close=lambda **_: closed.append("close"))
    opened_in = portaudio.generation()
    assert portaudio.close_stream(stream, opened_in)
    assert closed == ["abort", "close"]
    portaudio.reinitialise()
    assert portaudio.close_stream(stream, opened_in)
    assert closed == ["abort", "close"]


def test_portaudio_is_not_taken_away_from_one_who_hangs_in_it(driver: _Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(portaudio, "PATIENCE_S", 0.02)
    inside, goes_on = threading.Event(), threading.Event()

    def hang() -> None:
        with portaudio.one_at_a_time():
            inside.set()
            goes_on.wait(5.0)

    hanging = threading.Thread(target=hang)
    hanging.start()
    assert inside.wait(5.0)
    with portaudio.one_at_a_time() as alone:
        assert not alone, "the other end of sound may go on"
    with pytest.raises(DeviceLost, match="doesn't answer"):
        portaudio.reinitialise(patience_s=5.0)
    assert driver.calls == []
    goes_on.set()
    hanging.join()
    portaudio.reinitialise()
    assert driver.calls == ["terminate", "initialize"]


def test_without_the_library_the_device_is_missing_and_the_fix_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: str) -> Any:
        raise OSError("PortAudio library not found")

    monkeypatch.setattr(importlib, "import_module", fail)
    with pytest.raises(DeviceMissing, match="libportaudio2"):
        portaudio.sounddevice()


@pytest.mark.audio
def test_the_private_names_that_start_portaudio_anew_exist_in_the_pinned_library() -> None:
    sd = portaudio.sounddevice()
    assert callable(sd._terminate)
    assert callable(sd._initialize)
    portaudio.reinitialise()
    indices = [device.index for device in portaudio.describe_devices()]
    assert indices == list(range(len(indices)))
