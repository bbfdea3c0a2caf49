"""The neural voice on a fake engine: the real one is an extra, covered by the tests of every synthesiser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.app.speaking import ChangingVoice, make_mouth
from kitchenvoice.errors import VoiceMissing
from kitchenvoice.kitchen.profile import SECOND_VOICE, Profile
from kitchenvoice.speaking import NeuralSynthesiser, neural
from kitchenvoice.testing.fake_mouth import FakeSynthesiser

PIECE = np.arange(100, dtype=np.int16)


class MadeUpVoice:
    """A voice that says each text in two pieces, or fails."""

    config = SimpleNamespace(sample_rate=22_050)

    def __init__(self) -> None:
        self.asked: list[tuple[str, float]] = []
        self.fails = False

    def synthesize(self, text: str, how: SimpleNamespace) -> Iterator[SimpleNamespace]:
        if self.fails:
            raise IndexError("of the runtime's own kind")
        self.asked.append((text, how.length_scale))
        yield from [SimpleNamespace(audio_int16_array=PIECE)] * 2


@pytest.fixture
def packages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """The importable packages."""
    voice = MadeUpVoice()
    piper = SimpleNamespace(PiperVoice=SimpleNamespace(load=lambda _: voice), SynthesisConfig=SimpleNamespace)
    found = dict(zip(neural.PACKAGES, (piper, SimpleNamespace(__file__=str(tmp_path / "__init__.py"))), strict=True))
    (tmp_path / "joe.onnx").touch()

    def imported(name: str) -> Any:
        if name not in found:
            raise ImportError(name)
        return found[name]

    monkeypatch.setattr(neural, "import_module", imported)
    return {"found": found, "voice": voice, "model": tmp_path / "joe.onnx", "piper": piper}


def test_a_sentence_is_spelled_for_the_ear_rendered_once_and_remembered(packages: dict[str, Any]) -> None:
    voice = NeuralSynthesiser(neural.OWN_RATE_WPM)
    assert np.array_equal(voice.render("1/2 inch").samples, np.concatenate([PIECE, PIECE]))
    voice.render("1/2 inch")
    assert packages["voice"].asked == [("half an inch", 1.0)]


def test_half_the_pace_is_twice_the_length(packages: dict[str, Any]) -> None:
    voice = NeuralSynthesiser(200)
    for rate_wpm in (200, 100, 60, 400):
        voice.set_rate_wpm(rate_wpm)
        voice.render("one")
    usual, half, least, most = (scale for _, scale in packages["voice"].asked)
    assert half == pytest.approx(2 * usual)
    assert (least, most) == (pytest.approx(usual * 200 / 80), pytest.approx(usual * 200 / 300)), "80 to 300"


Break = Callable[[dict[str, Any]], Any]


@pytest.mark.parametrize(
    ("broken", "fix"),
    [
        (lambda packages: packages["found"].pop(neural.PACKAGES[0]), "scripts/install"),
        (lambda packages: packages["found"].pop(neural.PACKAGES[1]), "scripts/install"),
        (lambda packages: packages["model"].unlink(), "is damaged"),
        (lambda packages: setattr(packages["piper"].PiperVoice, "load", None), "is damaged"),
    ],
    ids=["no engine", "no voice", "no model", "a damaged model"],
)
def test_what_is_missing_is_named_with_its_fix(packages: dict[str, Any], broken: Break, fix: str) -> None:
    broken(packages)
    with pytest.raises(VoiceMissing, match=fix):
        NeuralSynthesiser()


def test_a_voice_that_fails_is_told_and_tried_again(packages: dict[str, Any]) -> None:
    voice = NeuralSynthesiser()
    packages["voice"].fails = True
    with pytest.raises(VoiceMissing, match="Take the line voice out"):
        voice.render("one")
    assert voice.prepare(["one"]) == 0
    packages["voice"].fails = False
    assert voice.prepare(["one", "two"]) == 2


def test_the_profile_chooses_it_and_says_so_if_it_is_not_there(packages: dict[str, Any]) -> None:
    packages["found"].clear()
    with pytest.raises(VoiceMissing, match="neural voice isn't installed"):
        make_mouth(Profile(voice=SECOND_VOICE), {})


def test_the_voice_changes_with_the_next_sentence_and_one_that_fails_never_silences_it() -> None:
    first, second = FakeSynthesiser(), FakeSynthesiser()
    voice = ChangingVoice(None, {None: first, SECOND_VOICE: second}.__getitem__)
    voice.set_rate_wpm(180)
    voice.render("one")
    voice.choose(SECOND_VOICE)
    voice.render("two")
    second.failing = True
    voice.render("three")
    voice.render("four")
    assert (first.asked, second.asked, second.rate_wpm) == (["one", "three", "four"], ["two"], 180)
    first.failing = True
    with pytest.raises(VoiceMissing):
        voice.render("five")
