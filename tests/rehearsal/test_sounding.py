"""The sounding side of a rehearsal."""

from __future__ import annotations

import os
import stat
import wave
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.hearing import VoskRecogniser, read_wav, verified_model
from kitchenvoice.ports import Announcement, Sound
from kitchenvoice.rehearsal.cook import DEMO_COOK, voice
from kitchenvoice.rehearsal.sounding import FileMouth, NoisyEar, write_wav
from kitchenvoice.testing.fake_ear import SentenceList
from kitchenvoice.testing.fake_mouth import FakeSynthesiser


def test_a_sound_is_written_as_it_is(tmp_path: Path) -> None:
    samples = np.array([0, 1, -1, 32767, -32768], dtype=np.int16)
    write_wav(tmp_path / "a.wav", Sound(samples, 22_050))
    with wave.open(str(tmp_path / "a.wav")) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (22_050, 1, 2)
        assert file.readframes(5) == samples.tobytes()


def test_a_sound_is_private_whatever_the_umask_and_follows_no_link(tmp_path: Path) -> None:
    theirs, sound = tmp_path / "theirs", tmp_path / "001-cook.wav"
    theirs.write_bytes(b"theirs")
    sound.symlink_to(theirs)
    before = os.umask(0)
    try:
        write_wav(sound, Sound(np.zeros(5, dtype=np.int16), 22_050))
    finally:
        os.umask(before)
    assert stat.S_IMODE(sound.lstat().st_mode) == 0o600
    assert theirs.read_bytes() == b"theirs"


def test_each_answer_is_a_file_named_by_its_time(tmp_path: Path) -> None:
    mouth = FileMouth(FakeSynthesiser(), tmp_path)
    mouth.speak(Announcement("Ready."), 0.0)
    mouth.speak(Announcement("The hold starts now."), 754.6)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["answer-001-000000s.wav", "answer-002-000754s.wav"]
    assert mouth.seconds > 0.0


@pytest.mark.audio
@pytest.mark.parametrize("snr_db", [None, 20.0], ids=["clean", "noisy"])
def test_the_real_engine_hears_the_cook_and_the_sound_is_kept(tmp_path: Path, snr_db: float | None) -> None:
    ear = NoisyEar(VoskRecogniser(verified_model()), voice(DEMO_COOK), tmp_path, snr_db=snr_db)
    grammar = SentenceList(["kitchen voice weight is on", "kitchen voice steam is steady"])
    heard = ear.hear("kitchen voice weight is on", grammar)
    assert heard.alternatives[0] == "kitchen voice weight is on"
    sound = read_wav(tmp_path / "001-cook.wav").astype(np.float64)
    background = float(np.sqrt(np.mean(sound[:1600] ** 2)))
    assert (background > 20.0) is (snr_db is not None)
    assert len(ear.latencies_s) == 1
