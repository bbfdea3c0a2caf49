"""The whole ear, with the real engine and voice detector, on synthetic speech and modelled kitchen noise."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.hearing import Listener, SileroDetector, VoskRecogniser, hear_samples
from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.vad import FRAME
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Utterance
from kitchenvoice.testing.fake_ear import SentenceList

pytestmark = pytest.mark.audio

SENTENCES = (
    "kitchen voice pressure is eleven",
    "kitchen voice the weight is rocking",
    "fifteen sealed",
    "fifteen sealed one failed",
    "how much salt per jar",
    "start a load of carrots in pints",
    "what do i do with a jar that didn't seal",
    "say that again",
    "stop",
)
GRAMMAR = SentenceList(SENTENCES)


def hiss(seconds: float, level_dbfs: float, seed: int = 3) -> Samples:
    """Noise like steam: high-passed by a difference of neighbours."""
    white = np.random.default_rng(seed).standard_normal(round(seconds * EAR_RATE_HZ) + 1)
    noise = np.diff(white)
    noise *= 32768.0 * 10.0 ** (level_dbfs / 20.0) / noise.std()
    return np.clip(noise, -32768, 32767).astype(np.int16)


def hum(seconds: float, level_dbfs: float) -> Samples:
    """A fan: 120 Hz with harmonics, over a little rumble."""
    t = np.arange(round(seconds * EAR_RATE_HZ)) / EAR_RATE_HZ
    wave = sum(np.sin(2 * np.pi * 120 * n * t) / n for n in range(1, 6))
    wave += 0.3 * np.cumsum(np.random.default_rng(5).standard_normal(len(t))) / 200.0
    wave -= wave.mean()
    return (wave / wave.std() * 32768.0 * 10.0 ** (level_dbfs / 20.0)).clip(-32768, 32767).astype(np.int16)


def clatter(seconds: float) -> Samples:
    """Jars and lids: ringing knocks, four a second."""
    rng = np.random.default_rng(11)
    sound = np.zeros(round(seconds * EAR_RATE_HZ))
    t = np.arange(1600) / EAR_RATE_HZ
    for _ in range(round(4 * seconds)):
        start = rng.integers(0, len(sound) - len(t))
        sound[start : start + len(t)] += np.exp(-t * rng.uniform(40, 160)) * np.sin(
            2 * np.pi * rng.uniform(1500, 5000) * t
        )
    return (sound / np.abs(sound).max() * 20_000).astype(np.int16)


def in_noise(speech: Samples, noise: Samples, start_s: float = 0.6) -> Samples:
    mixed = noise.astype(np.int32)
    start = round(start_s * EAR_RATE_HZ)
    mixed[start : start + len(speech)] += speech
    return np.clip(mixed, -32768, 32767).astype(np.int16)


class Ear:
    """The real engine and detector, made once: loading takes longer than listening."""

    def __init__(self, model_folder: Path) -> None:
        self.recogniser = VoskRecogniser(model_folder)
        self.detector = SileroDetector()

    def hear(self, sound: Samples) -> tuple[Utterance, ...]:
        return hear_samples(sound, self.recogniser, GRAMMAR, self.detector)

    def understand(self, sound: Samples) -> str | None:
        """Return the first alternative that is a whole sentence, as the dialogue does."""
        return understood(self.hear(sound))

    def decide(self, speech: Samples) -> tuple[float, Utterance]:
        """Return the decision, and its delay after the end of speech in seconds."""
        listener = Listener(self.recogniser, GRAMMAR, self.detector)
        lead = hiss(0.6, -70.0)
        sound = np.concatenate([lead, speech, hiss(3.0, -70.0)])
        for start in range(0, len(sound), 320):
            for heard in listener.feed(sound[start : start + 320]):
                return (start + 320 - len(lead) - len(speech)) / EAR_RATE_HZ, heard
        raise AssertionError("nothing was heard")


@pytest.fixture(scope="module")
def ear(model_folder: Path) -> Ear:
    return Ear(model_folder)


def understood(heard: tuple[Utterance, ...]) -> str | None:
    return next((text for text in heard[0].alternatives if GRAMMAR.is_sentence(text)), None) if heard else None


@pytest.mark.parametrize("voice", ["slt", "en-us"])
def test_sentences_are_understood_from_their_first_sample_to_their_last(
    ear: Ear, say: Callable[..., Samples], voice: str
) -> None:
    missed = [sentence for sentence in SENTENCES if ear.understand(say(sentence, voice)) != sentence]
    assert len(missed) <= 1, missed


def test_sentences_in_a_hiss_are_understood(ear: Ear, say: Callable[..., Samples]) -> None:
    missed = [s for s in SENTENCES if ear.understand(in_noise(say(s, "rms"), hiss(4.5, -50.0))) != s]
    assert len(missed) <= 1, missed


def test_noise_alone_is_no_speech(ear: Ear) -> None:
    for noise in (hiss(12.0, -26.0), hiss(12.0, -50.0), hum(12.0, -26.0), clatter(12.0)):
        assert ear.hear(noise) == ()


def test_noise_alone_seldom_looks_like_voice_to_the_detector() -> None:
    detector = SileroDetector()
    for noise in (hiss(10.0, -26.0), hum(10.0, -20.0), clatter(10.0)):
        detector.reset()
        scaled = noise.astype(np.float32) / 32768.0
        frames = [detector.probability(scaled[n : n + FRAME]) for n in range(0, len(scaled) - FRAME + 1, FRAME)]
        assert np.mean(np.array(frames) >= th.VOICE_OFF) < 0.02


@pytest.mark.parametrize(
    "talk", ["my sister bought a yellow bicycle yesterday", "the children are playing behind the garage today"]
)
def test_other_talk_is_heard_as_talk_and_as_no_sentence(ear: Ear, say: Callable[..., Samples], talk: str) -> None:
    heard = ear.hear(say(talk))
    assert understood(heard) is None
    assert any("[unk]" in text for text in heard[0].alternatives)


@pytest.mark.parametrize(
    "sentence", ["kitchen voice pressure is eleven", "fifteen sealed one failed", "say that again"]
)
def test_a_finished_sentence_is_decided_within_half_a_second(
    ear: Ear, say: Callable[..., Samples], sentence: str
) -> None:
    waited_s, heard = ear.decide(say(sentence))
    assert understood((heard,)) == sentence
    assert 0.25 <= waited_s <= 0.55


def test_the_reported_latency_is_the_true_wait_plus_the_work(ear: Ear, say: Callable[..., Samples]) -> None:
    recogniser, speech = ear.recogniser, say("say that again")
    listener = Listener(recogniser, GRAMMAR, ear.detector, stopwatch=lambda: 1.0)
    (heard,) = listener.feed(np.concatenate([hiss(0.6, -70.0), speech, hiss(2.0, -70.0)]))
    waited_s, _ = ear.decide(speech)
    assert heard.latency_s == pytest.approx(waited_s, abs=0.12)


def test_a_pause_inside_a_sentence_that_can_go_on_does_not_cut_it(ear: Ear, say: Callable[..., Samples]) -> None:
    speech = np.concatenate([say("fifteen sealed"), hiss(0.6, -70.0), say("one failed")])
    waited_s, heard = ear.decide(speech)
    assert understood((heard,)) == "fifteen sealed one failed"
    assert waited_s <= 0.55


def test_two_commands_in_a_row_are_two_utterances(ear: Ear, say: Callable[..., Samples]) -> None:
    sound = np.concatenate([say("say that again"), hiss(0.7, -70.0), say("how much salt per jar")])
    assert [understood((heard,)) for heard in ear.hear(sound)] == ["say that again", "how much salt per jar"]


def test_the_same_file_gives_the_same_utterances(ear: Ear, say: Callable[..., Samples]) -> None:
    sound = in_noise(say("start a load of carrots in pints", "kal16"), hiss(5.0, -40.0))
    first, second = (
        [(heard.alternatives[0], round(heard.confidence, 1), heard.audio_s) for heard in ear.hear(sound)]
        for _ in range(2)
    )
    assert first == second
