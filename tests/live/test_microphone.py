"""The microphone on a virtual sound card: what it brings, and what becomes of it when the sound daemon is gone."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.hearing import Microphone
from kitchenvoice.ports import Samples


@pytest.mark.audio
def test_what_is_played_in_the_room_arrives_sample_by_sample(
    virtual_room: Path, cook: Callable[[str], Samples], tmp_path: Path
) -> None:
    portaudio.reinitialise()
    sound = cook("pressure is eleven")
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
