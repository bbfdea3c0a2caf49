"""During our own speech only the stop words are recognised, and never our own."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.hearing import StopWordSpotter, VoskRecogniser, verified_model
from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.hearing.stop_word.spotter import LEAST_WINDOWS, RINGING_S, STOP_PHRASES, WINDOW_S
from kitchenvoice.ports import EAR_RATE_HZ
from kitchenvoice.speaking import Pyttsx3Synthesiser
from kitchenvoice.testing.fake_ear import ScriptedRecogniser, ScriptedSpeech

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from speaking_bench.barge_in import own_voice, stopping
from speaking_bench.echo_room import EchoRoom

OURS = np.full(HOP, 3000, dtype=np.int16)
QUIET = np.zeros(HOP, dtype=np.int16)


LEARNING_S = LEAST_WINDOWS * WINDOW_S


def talked(ear: StopWordSpotter, seconds: float) -> list[str]:
    """Speak for so long; return the phrases obeyed."""
    hops = round(seconds * EAR_RATE_HZ / HOP)
    return [said for said in (ear.hear(QUIET, OURS) for _ in range(hops)) if said is not None]


def trained(script: list[str | ScriptedSpeech]) -> tuple[StopWordSpotter, ScriptedRecogniser]:
    recogniser = ScriptedRecogniser(script)
    ear = StopWordSpotter(recogniser, "kitchen voice", knows=lambda word: word != "okras")
    ear.begin("A long sentence.")
    assert talked(ear, LEARNING_S - HOP / EAR_RATE_HZ) == []
    assert recogniser.accepted == [], "it listened before it had learnt the room"
    return ear, recogniser


@pytest.mark.parametrize("phrase", STOP_PHRASES)
def test_a_stop_phrase_is_obeyed_once_with_and_without_being_called(phrase: str) -> None:
    for text in (phrase, f"kitchen voice {phrase}", f"[unk] {phrase} [unk]"):
        ear, _ = trained([text])
        assert talked(ear, 3.0) == [phrase]


def test_a_start_of_our_own_sentence_is_no_other_word_before_talking() -> None:
    ear, _ = trained(["you can say start a load start talking"])
    assert talked(ear, 3.0) == ["stop talking"]


@pytest.mark.parametrize("text", ["[unk]", "stop", "talking", "stop [unk] talking", "kitchen voice"])
def test_nothing_else_is(text: str) -> None:
    ear, _ = trained([text])
    assert talked(ear, 3.0) == []


def test_what_comes_and_goes_at_once_was_a_guess() -> None:
    flash = ScriptedSpeech(("[unk]",), partials=((0.0, ""), (0.5, "stop talking"), (0.55, "[unk]")))
    ear, _ = trained([flash])
    assert talked(ear, 3.0) == []


def test_a_sentence_of_ours_with_the_words_in_it_is_spoken_to_its_end_and_what_rings_on_too() -> None:
    ear, recogniser = trained(["stop talking"])
    ear.begin("To silence me say: stop, talking.")
    assert talked(ear, 3.0) == []
    ear.begin("The next one.")
    assert talked(ear, RINGING_S - 0.02) == []
    assert recogniser.accepted == []
    assert talked(ear, 1.0) == ["stop talking"]


def test_our_own_words_are_decoys_as_far_as_the_model_has_them() -> None:
    ear, recogniser = trained([])
    ear.begin("Six okras, wipe the rims.")
    assert recogniser.phrases[-2:] == ("six", "wipe the rims")


def test_after_a_change_of_delays_it_listens_to_nothing_for_two_seconds() -> None:
    ear, _ = trained(["be quiet"])
    ear.doubt()
    assert talked(ear, LEARNING_S - 0.02) == []
    assert talked(ear, 1.0) == ["be quiet"]


def test_as_long_as_our_voice_is_not_taken_out_nothing_is_listened_to() -> None:
    recogniser = ScriptedRecogniser(["stop talking"])
    ear = StopWordSpotter(recogniser, "kitchen voice")
    rng = np.random.default_rng(3)
    for _ in range(400):  # the echo is unrelated to the playback, as far as a filter can tell
        ours, back = (rng.integers(-3000, 3000, HOP).astype(np.int16) for _ in range(2))
        assert ear.hear(back, ours) is None
    assert recogniser.accepted == []


def test_a_cook_who_talks_over_every_answer_is_heard_all_the_same() -> None:
    ear, _ = trained(["[unk]"])
    voice = np.random.default_rng(4).integers(-3000, 3000, (2, HOP)).astype(np.int16)
    for _ in range(10):
        for _ in range(round(2.0 * EAR_RATE_HZ / HOP)):
            ear.hear(voice[0], OURS)
        talked(ear, 1.0)
        assert ear.clean
    for _ in range(round(4.0 * EAR_RATE_HZ / HOP)):
        ear.hear(voice[1], OURS)
    assert not ear.clean, "what goes on so long is no cook: the room has changed"


def test_what_is_left_of_our_own_voice_may_sound_like_anything_a_cook_is_heard_beside_it() -> None:
    ear = StopWordSpotter(ScriptedRecogniser(["be quiet"] * 20), "kitchen voice")
    rng = np.random.default_rng(4)

    def talk(seconds: float, cook: int) -> list[str]:
        obeyed = []
        for _ in range(round(seconds * EAR_RATE_HZ / HOP)):
            ours = rng.integers(-3000, 3001, HOP)
            heard = ours // 2 + rng.integers(-cook, cook + 1, HOP)
            obeyed += [ear.hear(heard.astype(np.int16), ours.astype(np.int16))]
        return [said for said in obeyed if said is not None]

    assert talk(8.0, cook=20) == []
    assert ear.clean, "it listened"
    assert talk(1.5, cook=700)[:1] == ["be quiet"]


@pytest.mark.audio
def test_in_a_room_it_is_stopped_by_a_cook_and_not_by_itself() -> None:
    """The short form of scripts/bench_speaking; the report has the numbers of the long one."""
    model, voice = verified_model(), Pyttsx3Synthesiser(165)

    def make() -> StopWordSpotter:
        recogniser = VoskRecogniser(model)
        return StopWordSpotter(recogniser, "kitchen voice", knows=recogniser.knows)

    heard = stopping(make, EchoRoom(-6.0, 1), voice, 6, 0.0, voices=("flite rms", "flite slt", "espeak m3"))
    assert len(heard.after_s) >= 5, heard.missed
    assert own_voice(make, EchoRoom(-6.0, 2), voice, 0.7).obeyed == ()
