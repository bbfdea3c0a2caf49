"""The rescorer: its spectrogram, its real model on real speech, and its absence."""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.errors import ModelMissing
from kitchenvoice.grammar import normalise
from kitchenvoice.hearing.recognise import whisper_rescorer
from kitchenvoice.hearing.recognise.log_mel import BANDS, log_mel
from kitchenvoice.hearing.recognise.whisper_rescorer import (
    FILES,
    WhisperOpinion,
    check_files,
    find_rescorer,
    model_files,
)
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix

SAID = ("the weight is rocking", "fifteen sealed", "how long is left", "steam is steady")
ALSO = ("what can i say", "a jar broke", "stop the timer")


@pytest.fixture(scope="module")
def folder() -> Path:
    found = model_files()
    if found is None:
        pytest.skip("the second engine isn't installed, or its model isn't here: run scripts/setup")
    return found


@pytest.fixture(scope="module")
def second(folder: Path) -> WhisperOpinion:
    return WhisperOpinion(folder)


def tone(hz: float, seconds: float = 0.5) -> Samples:
    at = np.arange(round(seconds * EAR_RATE_HZ)) / EAR_RATE_HZ
    return np.rint(8_000.0 * np.sin(2.0 * np.pi * hz * at)).astype(np.int16)


@pytest.mark.parametrize("samples", [0, 1, 159, 160, 320, 321, 16_000])
def test_the_picture_has_a_hundred_frames_a_second_in_pairs(samples: int) -> None:
    picture = log_mel(np.ones(max(samples, 1), dtype=np.int16))
    assert picture.shape[0] == BANDS
    assert picture.shape[1] % 2 == 0
    assert 0 <= picture.shape[1] * 160 - max(samples, 1) < 320


@pytest.mark.parametrize(
    ("hz", "mel"),
    [(200.0, 3.0), (400.0, 6.0), (1000.0, 15.0), (6400.0, 42.0)],
)
def test_a_tone_stands_in_the_band_of_its_mel(hz: float, mel: float) -> None:
    """Slaney, "Auditory Toolbox" (1998): 3 mels for each 200 Hz up to 1,000 Hz, 27 for each factor of 6.4 above."""
    whole = 15.0 + 27.0 * np.log(8.0) / np.log(6.4)
    band = mel / whole * (BANDS + 1) - 1.0
    loudest = float(np.argmax(log_mel(tone(hz)).mean(axis=1)))
    assert abs(loudest - band) <= 0.6


@pytest.mark.audio
@pytest.mark.parametrize("text", ["how many jars are sealed", "note a bit too much salt"])
def test_it_writes_down_once_what_was_said(second: WhisperOpinion, say: Callable[..., Samples], text: str) -> None:
    assert normalise(second.write_down(say(f"kitchen voice {text}"))).count(text) == 1


@pytest.mark.audio
@pytest.mark.parametrize("snr_db", [None, 10.0])
def test_it_finds_likeliest_what_was_said(
    second: WhisperOpinion, say: Callable[..., Samples], snr_db: float | None
) -> None:
    sentences = tuple(f"Kitchen voice, {text}." for text in (*SAID, *ALSO))
    found = 0
    for text, printed in zip(SAID, sentences, strict=False):
        sound = say(f"kitchen voice {text}")
        if snr_db is not None:
            sound = mix(sound, kitchen_noise("kitchen", len(sound) / EAR_RATE_HZ, 3), snr_db)
        opinions = second.judge(sound, sentences)
        assert all(each.total <= each.per_token <= 0.0 for each in opinions)
        found += max(zip(opinions, sentences, strict=True), key=lambda pair: pair[0].total)[1] == printed
    assert found == len(SAID) if snr_db is None else found >= 3


@pytest.mark.audio
def test_asked_nothing_it_answers_nothing(second: WhisperOpinion) -> None:
    assert second.load()
    assert second.judge(tone(200.0), ()) == ()


@pytest.mark.audio
def test_where_the_runtime_fails_it_answers_nothing_and_may_be_asked_again(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = WhisperOpinion(folder)
    with monkeypatch.context() as broken:
        broken.setattr(whisper_rescorer, "log_mel", lambda _: np.zeros((3, 4), dtype=np.float32))
        assert second.judge(tone(200.0), ("kitchen voice stop",)) == ()
    assert len(second.judge(tone(200.0), ("kitchen voice stop",))) == 1


@pytest.mark.parametrize("damaged", sorted(FILES))
def test_a_file_that_is_not_as_it_was_keeps_it_from_being_asked(folder: Path, tmp_path: Path, damaged: str) -> None:
    copy = shutil.copytree(folder, tmp_path / "model")
    with (copy / damaged).open("r+b") as stream:
        stream.seek(100)
        stream.write(b"x" * 8)
    second = WhisperOpinion(copy)
    assert not second.load()
    assert second.judge(tone(200.0), ("kitchen voice stop",)) == ()
    with pytest.raises(ModelMissing, match=rf"{damaged} is missing or altered.*kitchenvoice fetch-model"):
        check_files(copy)
    (copy / damaged).unlink()
    assert not WhisperOpinion(copy).load()


def test_whole_files_pass_the_check(folder: Path) -> None:
    assert check_files(folder) == "the second engine's too"


@pytest.mark.parametrize("lacking", ["ctranslate2", "tokenizers"])
def test_where_it_is_not_installed_there_is_none(monkeypatch: pytest.MonkeyPatch, lacking: str) -> None:
    there = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == lacking else there(name))
    assert find_rescorer.__wrapped__() is None
    assert "scripts/setup, or pip with the extra second, brings it" in check_files()


def test_where_its_model_is_not_there_is_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, folder: Path) -> None:
    monkeypatch.setattr(whisper_rescorer, "find_model", lambda name: tmp_path / name)
    assert find_rescorer.__wrapped__() is None
    assert "kitchenvoice fetch-model brings it" in check_files()


MEMORY = """
import sys
import numpy as np
from kitchenvoice.hearing.recognise.whisper_rescorer import find_rescorer
from kitchenvoice.audio.malloc import share_one_store
def megabytes():
    return int(open("/proc/self/statm").read().split()[1]) * 4096 / 1e6
share_one_store()
second = find_rescorer()
random = np.random.default_rng(1)
seen = []
for question in range(60):
    sound = random.normal(0.0, 2000.0, int(random.integers(20_000, 110_000))).astype(np.int16)
    assert len(second.judge(sound, ["kitchen voice how many jars are sealed in load two"] * (1 + question % 24)))
    seen.append(megabytes())
print(max(seen[10:]) - min(seen[5:10]), "huggingface_hub" in sys.modules)
"""


@pytest.mark.audio
def test_it_does_not_grow_with_each_length_of_sound_and_loads_nothing_that_fetches(folder: Path) -> None:
    """Without its bound the cache grows by some 100 MB in so many questions."""
    done = subprocess.run([sys.executable, "-c", MEMORY], capture_output=True, text=True, check=True)
    grown, fetches = done.stdout.split()
    assert float(grown) < 30.0
    assert fetches == "False"
