"""The ear for the answers alone: what it hears, what that is worth, and what the listener makes of it."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from kitchenvoice.hearing import Listener
from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.recognise.answers_ear import AnswersEar
from kitchenvoice.ports import EAR_RATE_HZ, Asking, ListeningGrammar, Rescoring, Samples
from kitchenvoice.testing.fake_ear import LoudnessDetector, ScriptedOpinion, ScriptedRecogniser, SentenceList

ANSWERS = SentenceList(["eight", "eighty", "one", "yes please"])
COMMAND = "kitchen voice weight is on"


class Open(SentenceList):
    """A grammar with an open question."""

    def __init__(self, answers: SentenceList = ANSWERS) -> None:
        super().__init__([*answers.phrases, COMMAND])
        self.answers = answers


class Scored(ScriptedRecogniser):
    """A recogniser that hears the same each time, with path scores and posteriors."""

    def __init__(self, **heard: float) -> None:
        texts = {text.replace("_", " "): score for text, score in heard.items()}
        super().__init__([])
        self._texts = tuple(texts)
        self.scores = tuple(texts.values())
        weights = np.exp(np.array(self.scores) - max(self.scores, default=0.0))
        self.posteriors = tuple(float(weight) for weight in weights / weights.sum())
        self.ended = 0

    def finish(self) -> tuple[tuple[str, ...], float]:
        self._taken = None
        self.ended += 1
        return self._texts, 1.0

    def partial(self) -> str:
        return f"{self._texts[0]} {len(self.accepted) // 20}"  # goes on, so that no utterance counts as stuck


def _given(recogniser: Scored) -> Scored:
    return recogniser


def sound(seconds: float) -> Samples:
    rng = np.random.default_rng(1)
    voice = rng.standard_normal(round(seconds * EAR_RATE_HZ)) * 1600.0
    quiet = np.ones(EAR_RATE_HZ * 2, dtype=np.int16)
    return np.concatenate([quiet[: EAR_RATE_HZ // 2], voice.astype(np.int16), quiet])


def heard(
    wide: Scored,
    alone: Scored,
    opinions: dict[str, float] | None = None,
    grammar: ListeningGrammar | None = None,
    seconds: float = 1.0,
) -> dict[str, float]:
    """Return the texts of one utterance with their shares."""
    script = {f"{text}.": Rescoring(score, score) for text, score in (opinions or {}).items()}
    second = ScriptedOpinion(script) if opinions else None
    ear = Listener(wide, grammar or Open(), LoudnessDetector(), second=second, answers=lambda: alone)
    (utterance,) = ear.feed(sound(seconds))
    return dict(zip(utterance.alternatives, utterance.posteriors, strict=True))


def test_an_answer_that_the_wide_ear_hardly_heard_is_taken() -> None:
    told = heard(Scored(a=100.0, eight=98.0), Scored(eight=93.5), {"eight": -5.0, "a": -3.0})
    assert told == {"eight": 1.0}


def test_other_talk_that_the_answers_ear_takes_for_an_answer_is_not() -> None:
    assert "eight" not in heard(Scored(up=100.0, eight=98.0), Scored(eight=93.5), {"eight": -13.0, "up": -3.0})
    assert "eight" not in heard(Scored(up=100.0), Scored(eight=85.0))


def test_an_answer_of_the_wide_ear_is_given_up_where_there_is_no_evidence() -> None:
    told = heard(Scored(up=100.0, eight=99.0), Scored(eight=93.5), {"eight": -13.0, "up": -3.0})
    share = float(1.0 / (1.0 + np.exp(-1.0)))
    assert told == {"up": pytest.approx(share), "[unk]": pytest.approx(1.0 - share)}


def test_both_ears_have_the_same_say_between_two_answers() -> None:
    told = heard(Scored(a=101.0, eight=100.0, eighty=100.0), Scored(eight=93.5, eighty=93.5 - 2.0), {"eight": -5.0})
    assert told["eight"] == pytest.approx((0.5 + 1.0 / (1.0 + np.exp(-2.0))) / 2)


def test_where_the_answers_ear_prefers_no_answer_the_evidence_is_less() -> None:
    rivals = {"eight": -5.0, "a": -5.0}
    assert "eight" in heard(Scored(a=100.0), Scored(eight=92.0), rivals)
    assert "eight" not in heard(Scored(a=100.0), Scored(hate=97.0, eight=92.0), rivals)


@pytest.mark.parametrize("said", [COMMAND, "one"])
def test_a_sentence_of_the_wide_ear_is_not_heard_again(said: str) -> None:
    alone = Scored(eight=99.0)
    assert heard(Scored(**{said.replace(" ", "_"): 100.0}), alone) == {said: 1.0}
    assert alone.ended == 0


def test_without_an_answer_the_wide_ear_is_believed() -> None:
    assert heard(Scored(a=100.0), Scored(won=95.0)) == {"a": 1.0}


def test_an_answer_of_several_words_is_left_to_the_wide_ear() -> None:
    assert heard(Scored(a=100.0), Scored(yes_please=99.0, eight=98.0)) == {"a": 1.0}


def test_in_noise_the_answers_ear_is_not_asked() -> None:
    noise = np.random.default_rng(2).standard_normal(EAR_RATE_HZ * 2) * 500.0
    quiet, loud = noise.astype(np.int16) // 10, noise.astype(np.int16)
    for before, asked in ((quiet, 1), (loud, 0)):
        alone = Scored(eight=99.0)
        ear = Listener(
            Scored(a=100.0), Open(), LoudnessDetector(-30.0), cleaned=[Scored(a=100.0)], answers=partial(_given, alone)
        )
        (utterance,) = ear.feed(np.concatenate([before, sound(1.0)[EAR_RATE_HZ // 2 :]]))
        assert (utterance.above_noise_db >= th.CLEAR_ENOUGH_FOR_ANSWERS_DB, alone.ended) == (bool(asked), asked)


def test_long_utterances_are_not_heard_for_answers() -> None:
    alone = Scored(eight=99.0)
    told = heard(Scored(a=100.0), alone, seconds=th.LONGEST_ANSWER_S + 0.5)
    assert (told, alone.accepted) == ({"a": 1.0}, [])


def test_without_evidence_by_sound_the_second_engine_is_not_asked() -> None:
    second = ScriptedOpinion({})
    ear = Listener(Scored(a=100.0), Open(), LoudnessDetector(), second=second, answers=lambda: Scored(eight=70.0))
    ear.feed(sound(1.0))
    assert second.asked == []


def test_without_a_question_nothing_is_made() -> None:
    made = []
    ear = AnswersEar(lambda: made.append(1) or ScriptedRecogniser([]))  # type: ignore[func-returns-value]
    ear.listen_by(ANSWERS)
    assert not isinstance(ANSWERS, Asking)
    assert (made, ear.hear(sound(1.0))) == ([], None)


def test_each_question_has_a_recogniser_of_its_own() -> None:
    made: list[ScriptedRecogniser] = []

    def make() -> ScriptedRecogniser:
        made.append(ScriptedRecogniser(["eight"]))
        return made[-1]

    ear = AnswersEar(make)
    grammar, other = Open(), Open(SentenceList(["yes please"]))
    for each in (grammar, grammar, other):
        ear.listen_by(each)
    assert [each.phrases for each in made] == [ANSWERS.phrases, ("yes please",)]
