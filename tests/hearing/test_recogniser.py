"""Tests of every recogniser, scripted and real, and of the limitations of the real one."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.errors import BadGrammar, ModelMissing
from kitchenvoice.hearing import FreeRecogniser, SentenceRecogniser, VoskRecogniser
from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.recognise import vosk_recogniser
from kitchenvoice.hearing.recognise.engine import Decoder, model_for_phrases, model_with
from kitchenvoice.ports import Recogniser, Samples
from kitchenvoice.testing.fake_ear import ScriptedRecogniser, SentenceList

PHRASES = ("steam is steady", "weight is rocking", "pressure is eleven", "fifteen sealed one failed")
WORDS = {word for phrase in PHRASES for word in phrase.split()}
GRAMMAR = SentenceList(PHRASES)


AUDIO = pytest.mark.audio


@pytest.fixture(params=["scripted", pytest.param("phrases", marks=AUDIO), pytest.param("sentences", marks=AUDIO)])
def recogniser(request: pytest.FixtureRequest) -> Recogniser:
    if request.param == "scripted":
        return ScriptedRecogniser(["steam is steady", "weight is rocking"], WORDS)
    kind = VoskRecogniser if request.param == "phrases" else SentenceRecogniser
    return kind(request.getfixturevalue("model_folder"))


@pytest.fixture
def steady(request: pytest.FixtureRequest, recogniser: Recogniser) -> Samples:
    """The sentence "steam is steady"; for the fake any sound will do."""
    if isinstance(recogniser, ScriptedRecogniser):
        return np.ones(16_000, dtype=np.int16)
    say: Callable[..., Samples] = request.getfixturevalue("say")
    return say("steam is steady")


def test_it_names_engine_and_model(recogniser: Recogniser) -> None:
    assert recogniser.engine
    assert recogniser.model


def test_a_sentence_is_heard_best_first_with_a_confidence(recogniser: Recogniser, steady: Samples) -> None:
    recogniser.set_grammar(GRAMMAR)
    for start in range(0, len(steady), 1600):
        recogniser.accept(steady[start : start + 1600])
    assert recogniser.partial().startswith("steam")
    alternatives, confidence = recogniser.finish()
    assert alternatives[0] == "steam is steady"
    assert len(set(alternatives)) == len(alternatives) <= 10
    assert 0.0 <= confidence <= 1.0


def test_before_and_after_an_utterance_there_is_no_text(recogniser: Recogniser, steady: Samples) -> None:
    recogniser.set_grammar(GRAMMAR)
    assert recogniser.partial() == ""
    assert recogniser.finish() == ((), 1.0)
    recogniser.accept(steady)
    recogniser.finish()
    assert recogniser.partial() == ""
    assert recogniser.finish() == ((), 1.0)


def test_the_grammar_changes_between_utterances_but_not_inside_one(recogniser: Recogniser, steady: Samples) -> None:
    recogniser.set_grammar(GRAMMAR)
    recogniser.accept(steady)
    with pytest.raises(RuntimeError, match="finish the utterance"):
        recogniser.set_grammar(SentenceList(PHRASES[:1]))
    recogniser.finish()
    recogniser.set_grammar(SentenceList(PHRASES[:1]))
    recogniser.accept(steady)
    assert recogniser.finish()[0]


def test_sound_before_any_grammar_is_a_mistake(recogniser: Recogniser, steady: Samples) -> None:
    with pytest.raises(RuntimeError, match="comes before the first sound"):
        recogniser.accept(steady)


@pytest.mark.parametrize(
    ("phrases", "message"),
    [
        ((), "nothing to listen for"),
        (("", "  "), "nothing to listen for"),
        (("steam is steady", "check the headspacing"), '"headspacing"'),
        (("steam is zorbled", "weight is frubbing"), '"frubbing".*"zorbled"'),
    ],
)
def test_sentences_that_can_not_be_listened_for_are_refused_by_name(
    recogniser: Recogniser, phrases: tuple[str, ...], message: str
) -> None:
    with pytest.raises(BadGrammar, match=message):
        recogniser.set_grammar(SentenceList(phrases))


def test_after_a_refusal_the_old_grammar_still_work(recogniser: Recogniser, steady: Samples) -> None:
    recogniser.set_grammar(GRAMMAR)
    with pytest.raises(BadGrammar):
        recogniser.set_grammar(SentenceList(["zorbled"]))
    recogniser.accept(steady)
    assert recogniser.finish()[0][0] == "steam is steady"


@pytest.mark.audio
def test_a_list_of_nothing_but_the_unknown_word_is_refused(model_folder: Path) -> None:
    with pytest.raises(BadGrammar, match="nothing to listen for"):
        VoskRecogniser(model_folder).set_phrases(["[unk]"])


@pytest.mark.audio
def test_talk_is_not_bent_into_the_nearest_sentence(model_folder: Path, say: Callable[..., Samples]) -> None:
    recogniser = SentenceRecogniser(model_folder)
    recogniser.set_grammar(GRAMMAR)
    for talk in ("my sister bought a yellow bicycle yesterday", "the weight of the world is a burden to my father"):
        recogniser.accept(say(talk))
        alternatives, _ = recogniser.finish()
        assert alternatives
        assert not set(alternatives) & set(PHRASES)


@pytest.mark.audio
def test_a_sentence_that_was_never_listed_is_not_put_together_of_parts(
    model_folder: Path, say: Callable[..., Samples]
) -> None:
    """The likeliest of a phrase list was "the weight is is rocking"; here a whole sentence comes first."""
    sentences = SentenceRecogniser(model_folder)
    sentences.set_grammar(GRAMMAR)
    sentences.accept(say("weight is rocking"))
    texts, _ = sentences.finish()
    assert texts[0] == "weight is rocking"
    assert sum(sentences.posteriors) == pytest.approx(1.0)


@pytest.mark.audio
@pytest.mark.parametrize("rate_hz", [th.FASTER_HZ, th.SLOWER_HZ])
def test_a_voice_that_is_faster_or_slower_is_another_sound_of_the_same_sentence(
    model_folder: Path, say: Callable[..., Samples], rate_hz: int
) -> None:
    partial = []
    for recogniser in (SentenceRecogniser(model_folder), SentenceRecogniser(model_folder, rate_hz=rate_hz)):
        recogniser.set_grammar(GRAMMAR)
        recogniser.accept(say("weight is rocking"))
        texts, _ = recogniser.finish()
        assert texts[0] == "weight is rocking"
        recogniser.accept(say("fifteen sealed one failed")[:9_000])
        partial.append((recogniser.partial(), recogniser.finish(), recogniser.posteriors))
    assert partial[0] != partial[1]


@pytest.mark.audio
@pytest.mark.parametrize(("seldom", "decoders"), [(False, 2), (True, th.UTTERANCES_A_DECODER + 2)])
def test_what_a_decoder_keeps_is_given_back_now_and_then_and_nothing_is_heard_otherwise(
    model_folder: Path, say: Callable[..., Samples], monkeypatch: pytest.MonkeyPatch, seldom: bool, decoders: int
) -> None:
    made = []
    monkeypatch.setattr(vosk_recogniser, "Decoder", lambda *given: made.append(Decoder(*given)) or made[-1])
    recogniser = SentenceRecogniser(model_folder, seldom=seldom)
    recogniser.set_grammar(GRAMMAR)
    heard = []
    for _ in range(th.UTTERANCES_A_DECODER + 1):
        recogniser.accept(say("steam is steady"))
        heard.append((recogniser.finish(), recogniser.posteriors))
    assert len(made) == decoders
    assert heard == heard[:1] * len(heard)


@pytest.mark.audio
def test_two_that_listen_for_the_same_posterior_the_model(model_folder: Path) -> None:
    one, other = SentenceRecogniser(model_folder), SentenceRecogniser(model_folder)
    one.set_grammar(GRAMMAR)
    other.set_grammar(GRAMMAR)
    assert model_with(model_folder.resolve(), GRAMMAR.graph) is model_for_phrases(model_folder.resolve())


@pytest.mark.audio
def test_the_unknown_word_is_always_listened_for_and_may_be_named(
    model_folder: Path, say: Callable[..., Samples]
) -> None:
    recogniser = VoskRecogniser(model_folder)
    recogniser.set_phrases([*PHRASES, "[unk]"])
    recogniser.accept(say("my sister bought a yellow bicycle yesterday"))
    alternatives, _ = recogniser.finish()
    assert "[unk]" in alternatives[0]
    assert not set(alternatives) & set(PHRASES)


@pytest.mark.audio
@pytest.mark.parametrize("word", ["#0", "<eps>", "<s>", "!SIL"])
def test_symbols_of_the_graph_are_not_words(model_folder: Path, word: str) -> None:
    with pytest.raises(BadGrammar):
        VoskRecogniser(model_folder).set_phrases([f"steam {word}"])


@pytest.mark.audio
def test_the_same_sound_gives_the_same_answer_whatever_came_before(
    model_folder: Path, say: Callable[..., Samples]
) -> None:
    recogniser = VoskRecogniser(model_folder)
    recogniser.set_phrases(PHRASES)
    answers = []
    for before in ("steam is steady", "weight is rocking", "fifteen sealed one failed"):
        recogniser.accept(say(before, "kal16"))
        recogniser.finish()
        recogniser.accept(say("pressure is eleven"))
        answers.append(recogniser.finish())
    assert answers[0][0][0] == "pressure is eleven"
    texts = [texts[0] for texts, _ in answers]
    assert texts[0] == texts[1] == texts[2]
    assert [posterior for _, posterior in answers] == pytest.approx([answers[0][1]] * 3, abs=0.05)


@pytest.mark.audio
@pytest.mark.parametrize("kind", [VoskRecogniser, SentenceRecogniser])
def test_what_was_broken_off_changes_nothing_of_what_is_heard_next(
    model_folder: Path, say: Callable[..., Samples], kind: Callable[[Path], VoskRecogniser | SentenceRecogniser]
) -> None:
    """A decoder that was only reset heard the last word of the dropped utterance: "failed pressure is eleven"."""
    recogniser = kind(model_folder)
    recogniser.set_grammar(GRAMMAR)
    answers = []
    for before in (None, "fifteen sealed one failed", "my sister bought a yellow bicycle yesterday"):
        if before is not None:
            recogniser.accept(say(before, "kal16"))
            recogniser.drop()
        assert recogniser.partial() == ""
        recogniser.accept(say("pressure is eleven"))
        answers.append(recogniser.finish())
    assert answers[0][0][0] == "pressure is eleven"
    assert [texts for texts, _ in answers] == [answers[0][0]] * len(answers)
    assert [posterior for _, posterior in answers] == pytest.approx([answers[0][1]] * len(answers), abs=0.05)


MEMORY = """
import ctypes, sys
from pathlib import Path
import numpy as np
from kitchenvoice.testing.fake_ear import SentenceList
from kitchenvoice.hearing import SentenceRecogniser, VoskRecogniser
class Store(ctypes.Structure):
    names = "arena ordblks smblks hblks hblkhd usmblks fsmblks uordblks fordblks keepcost"
    _fields_ = [(name, ctypes.c_size_t) for name in names.split()]
look = ctypes.CDLL(None).mallinfo2
look.restype = Store
def grown_kb(times, act):
    act()
    before = look()
    for _ in range(times):
        act()
    after = look()
    return (after.uordblks + after.hblkhd - before.uordblks - before.hblkhd) / 1000
phrases, sentences = VoskRecogniser(Path(sys.argv[1])), SentenceRecogniser(Path(sys.argv[1]))
sentences.set_grammar(SentenceList(("steam is steady", "weight is rocking")))
sound = np.random.default_rng(1).normal(0.0, 2000.0, 48_000).astype(np.int16)
def broken_off():
    sentences.accept(sound)
    sentences.drop()
print(grown_kb(20, broken_off), grown_kb(200, lambda: phrases.set_phrases(["steam is steady", "stop talking"])))
"""


@pytest.mark.audio
def test_nothing_stays_of_what_was_broken_off_nor_of_phrases_that_others_followed(model_folder: Path) -> None:
    """One decoder for all grew by 4000 kB from the former, and by 200 kB from the latter."""
    command = [sys.executable, "-c", MEMORY, str(model_folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    broken_off, listed = map(float, done.stdout.split())
    assert broken_off < 400.0
    assert listed < 50.0


@pytest.mark.audio
def test_digital_silence_and_thousands_of_phrases_are_no_trouble(model_folder: Path) -> None:
    recogniser = VoskRecogniser(model_folder)
    counts = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
    many = [f"{a} {b} {c} sealed" for a in counts for b in counts for c in counts]
    recogniser.set_phrases(many + [f"kitchen voice {phrase}" for phrase in many])
    recogniser.accept(np.zeros(16_000, dtype=np.int16))
    assert recogniser.finish()[0] == ()


@pytest.mark.audio
def test_free_dictation_understands_our_own_voice(model_folder: Path, say: Callable[..., Samples]) -> None:
    recogniser = FreeRecogniser(model_folder)
    recogniser.set_grammar(SentenceList(["anything"]))
    recogniser.accept(say("lower the heat slowly and keep the pressure steady"))
    heard = set(recogniser.finish()[0][0].split())
    assert len(heard & {"lower", "the", "heat", "slowly", "and", "keep", "pressure", "steady"}) >= 6


def test_a_folder_without_a_model_is_named(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match=str(tmp_path)):
        VoskRecogniser(tmp_path)


@pytest.mark.audio
def test_the_engine_writes_nothing_to_the_terminal(model_folder: Path) -> None:
    script = (
        "import sys, numpy as np; from pathlib import Path; from kitchenvoice.hearing import VoskRecogniser\n"
        "r = VoskRecogniser(Path(sys.argv[1])); r.set_phrases(['steam is steady'])\n"
        "r.accept(np.ones(16000, dtype=np.int16)); r.finish()\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(model_folder)], capture_output=True, check=True)
    assert done.stdout + done.stderr == b""
