"""Tests of every synthesiser and of every player, real and fake."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kitchenvoice.clock import SimulatedClock
from kitchenvoice.errors import DeviceLost
from kitchenvoice.ports import Player, Sound, Synthesiser
from kitchenvoice.speaking import FilePlayer, NeuralSynthesiser, Pyttsx3Synthesiser, SpeakerPlayer
from kitchenvoice.speaking.neural import PACKAGES
from kitchenvoice.testing.fake_mouth import FakePlayer, FakeSynthesiser

TONE = Sound((8000 * np.sin(np.arange(6615) * 0.2)).astype(np.int16), 22_050)
"""0.3 seconds."""


def neural() -> Synthesiser:
    for package in PACKAGES:
        pytest.importorskip(package, reason="the extra voice isn't installed")
    return NeuralSynthesiser()


VOICES: dict[str, Callable[[], Synthesiser]] = {"fake": FakeSynthesiser, "real": Pyttsx3Synthesiser, "neural": neural}


@pytest.fixture(params=["fake", *(pytest.param(name, marks=pytest.mark.audio) for name in ("real", "neural"))])
def synthesiser(request: pytest.FixtureRequest) -> Synthesiser:
    return VOICES[request.param]()


def test_speech_is_mono_16_bit_and_as_long_as_its_words(synthesiser: Synthesiser) -> None:
    short = synthesiser.render("put seven jars in")
    long = synthesiser.render("put seven jars in the canner, and put the lid on, and lock it")
    assert short.samples.dtype == np.int16
    assert short.samples.ndim == 1
    assert 0.5 < short.seconds < 3.0
    assert 2.0 * short.seconds < long.seconds < 5.0 * short.seconds
    assert 2000 < np.abs(short.samples).max() < 32768


def test_half_the_pace_takes_about_twice_as_long(synthesiser: Synthesiser) -> None:
    synthesiser.set_rate_wpm(200)
    fast = synthesiser.render("put seven jars in the canner").seconds
    synthesiser.set_rate_wpm(100)
    assert 1.6 < synthesiser.render("put seven jars in the canner").seconds / fast < 2.4


def test_no_words_are_no_sound(synthesiser: Synthesiser) -> None:
    assert len(synthesiser.render("").samples) == 0


def test_a_synthesiser_names_itself(synthesiser: Synthesiser) -> None:
    assert synthesiser.name


class Rig:
    """A player with control of its time."""

    def __init__(self, player: Player, pass_s: Callable[[float], None] | None) -> None:
        self.player = player
        self._pass_s = pass_s
        self.ends: list[bool] = []
        self._ended = threading.Event()

    def play(self, sound: Sound = TONE) -> None:
        self._ended.clear()
        self.player.play(sound, on_end=self._on_end)

    def _on_end(self, finished: bool) -> None:
        self.ends.append(finished)
        self._ended.set()

    def let_pass(self, seconds: float) -> None:
        """Let simulated time pass; with a real device, wait for the end of the sound."""
        if self._pass_s is not None:
            self._pass_s(seconds)
        else:
            assert self._ended.wait(5.0), "the sound never ended"

    def wait_end(self) -> None:
        """Wait for `on_end` where it comes from another thread."""
        assert self._ended.wait(5.0), "no end was reported"


@pytest.fixture(params=["fake", "file", pytest.param("speaker", marks=pytest.mark.audio)])
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Rig]:
    made: Any
    if request.param == "fake":
        made = FakePlayer()
        yield Rig(made, made.advance)
    elif request.param == "file":
        clock = SimulatedClock()
        made = FilePlayer(tmp_path / "sounds", lambda: clock.now().elapsed)

        def pass_s(seconds: float) -> None:
            clock.advance(seconds)
            made.settle()

        yield Rig(made, pass_s)
    else:
        request.getfixturevalue("virtual_room")
        made = SpeakerPlayer()
        yield Rig(made, None)
    made.close()


def test_a_sound_plays_and_ends_once(rig: Rig) -> None:
    rig.play()
    assert rig.player.playing
    rig.let_pass(0.31)
    assert rig.ends == [True]
    assert not rig.player.playing


def test_stop_ends_the_sound_once_as_unfinished(rig: Rig) -> None:
    rig.play()
    rig.player.stop()
    rig.player.stop()
    rig.wait_end()
    assert rig.ends == [False]
    assert not rig.player.playing


def test_a_new_sound_takes_the_place_of_the_present_one(rig: Rig) -> None:
    rig.play()
    rig.play()
    rig.wait_end()
    assert rig.ends == [False]
    assert rig.player.playing
    rig._ended.clear()
    rig.let_pass(0.31)
    assert rig.ends == [False, True]


def test_stopping_silence_is_no_mistake(rig: Rig) -> None:
    rig.player.stop()
    assert not rig.player.playing


def test_closing_twice_is_harmless_and_ends_the_sound(rig: Rig) -> None:
    rig.play()
    rig.player.close()
    rig.player.close()
    rig.wait_end()
    assert rig.ends == [False]
    assert not rig.player.playing


def test_a_closed_player_plays_no_more(rig: Rig) -> None:
    rig.player.close()
    with pytest.raises(DeviceLost):
        rig.play()
