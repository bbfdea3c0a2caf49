"""The folder of sounds written by a rehearsal."""

from __future__ import annotations

import json
import os
import stat
import wave
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.clock import SimulatedClock
from kitchenvoice.ports import Sound
from kitchenvoice.speaking import FilePlayer
from kitchenvoice.speaking.file_player import TRACK_RATE_HZ


def read(file: Path) -> Sound:
    with wave.open(str(file), "rb") as opened:
        assert (opened.getnchannels(), opened.getsampwidth()) == (1, 2)
        return Sound(np.frombuffer(opened.readframes(opened.getnframes()), dtype=np.int16), opened.getframerate())


def tone(seconds: float, rate_hz: int = TRACK_RATE_HZ) -> Sound:
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    return Sound((8000 * np.sin(2 * np.pi * 500 * t)).astype(np.int16), rate_hz)


def play_through(player: FilePlayer, clock: SimulatedClock, sound: Sound) -> None:
    player.play(sound)
    clock.advance(sound.seconds)
    player.settle()


@pytest.fixture
def clock() -> SimulatedClock:
    return SimulatedClock()


def test_each_sound_becomes_a_file_and_the_track_holds_them_with_the_time_between(
    tmp_path: Path, clock: SimulatedClock
) -> None:
    player = FilePlayer(tmp_path, lambda: clock.now().elapsed)
    clock.advance(100.0)
    play_through(player, clock, tone(0.5))
    clock.advance(1.0)
    play_through(player, clock, tone(0.25, 16_000))
    clock.advance(3600.0)
    play_through(player, clock, tone(0.5))
    player.close()
    assert read(tmp_path / "001.wav").seconds == 0.5
    assert read(tmp_path / "002.wav").rate_hz == 16_000
    entries = json.loads((tmp_path / "track.json").read_text())
    assert [entry["file"] for entry in entries] == ["001.wav", "002.wav", "003.wav"]
    assert [entry["t"] for entry in entries] == [100.0, 101.5, 3701.75]
    assert [entry["track_s"] for entry in entries] == pytest.approx([0.0, 1.5, 4.75], abs=0.01)
    track = read(tmp_path / "track.wav")
    assert track.seconds == pytest.approx(5.25, abs=0.01)
    for entry in entries:
        begin = round(entry["track_s"] * TRACK_RATE_HZ)
        assert np.abs(track.samples[begin : begin + 2000]).max() > 7000
    assert np.abs(track.samples[round(0.6 * TRACK_RATE_HZ) : round(1.4 * TRACK_RATE_HZ)]).max() == 0


def test_what_was_stopped_is_only_as_long_as_it_was_heard(tmp_path: Path, clock: SimulatedClock) -> None:
    player = FilePlayer(tmp_path, lambda: clock.now().elapsed)
    player.play(tone(2.0))
    clock.advance(0.5)
    player.stop()
    player.close()
    assert read(tmp_path / "001.wav").seconds == 0.5
    assert read(tmp_path / "track.wav").seconds == 0.5


def test_all_files_are_private_whatever_the_umask(tmp_path: Path, clock: SimulatedClock) -> None:
    before = os.umask(0)
    try:
        player = FilePlayer(tmp_path / "sounds", lambda: clock.now().elapsed)
        play_through(player, clock, tone(0.1))
        player.close()
    finally:
        os.umask(before)
    made = [tmp_path / "sounds", *sorted((tmp_path / "sounds").iterdir())]
    assert [stat.S_IMODE(path.stat().st_mode) for path in made] == [0o700, 0o600, 0o600, 0o600]


def test_the_gain_is_in_the_file(tmp_path: Path, clock: SimulatedClock) -> None:
    player = FilePlayer(tmp_path, lambda: clock.now().elapsed)
    player.play(tone(0.5), gain=0.5)
    clock.advance(1.0)
    player.close()
    assert np.abs(read(tmp_path / "001.wav").samples).max() == pytest.approx(4000, abs=2)


def test_silence_is_kept_in_full_if_asked(tmp_path: Path, clock: SimulatedClock) -> None:
    player = FilePlayer(tmp_path, lambda: clock.now().elapsed, longest_silence_s=None)
    play_through(player, clock, tone(0.5))
    clock.advance(20.0)
    play_through(player, clock, tone(0.5))
    player.close()
    assert read(tmp_path / "track.wav").seconds == 21.0
