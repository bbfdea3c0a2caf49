"""The listener on a synthetic timeline: no engine, no clock, no waiting. Loud blocks are voice, quiet ones are not."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.errors import BadGrammar
from kitchenvoice.hearing import Another, Listener, hear_samples
from kitchenvoice.hearing import thresholds as th
from kitchenvoice.ports import EAR_RATE_HZ, Recogniser, Rescoring, Samples, Utterance
from kitchenvoice.testing.fake_ear import (
    LoudnessDetector,
    ScriptedOpinion,
    ScriptedRecogniser,
    ScriptedSpeech,
    SentenceList,
)

GRAMMAR = SentenceList(
    ["fifteen sealed", "fifteen sealed one failed", "steam is steady", "steam is not steady", "stop"]
)
FRAME_S = 0.032


def voice(seconds: float, level_dbfs: float = -26.0) -> Samples:
    rng = np.random.default_rng(1)
    wave = rng.standard_normal(round(seconds * EAR_RATE_HZ)) * 32768.0 * 10.0 ** (level_dbfs / 20.0)
    return np.clip(wave, -32768, 32767).astype(np.int16)


def quiet(seconds: float) -> Samples:
    return np.ones(round(seconds * EAR_RATE_HZ), dtype=np.int16)


def timeline(*parts: Samples) -> Samples:
    return np.concatenate(parts)


def listener(*script: str | ScriptedSpeech, grammar: SentenceList = GRAMMAR) -> tuple[Listener, ScriptedRecogniser]:
    recogniser = ScriptedRecogniser(script)
    return Listener(recogniser, grammar, LoudnessDetector(), stopwatch=lambda: 5.0), recogniser


def decided(ear: Listener, sound: Samples, block: int = 320) -> list[tuple[float, Utterance]]:
    """Feed block by block; return each utterance with its time in seconds."""
    out = []
    for start in range(0, len(sound), block):
        piece = sound[start : start + block]
        out += [((start + len(piece)) / EAR_RATE_HZ, heard) for heard in ear.feed(piece)]
    return out


def test_a_sentence_that_nothing_can_follow_is_decided_a_third_of_a_second_after_its_end() -> None:
    ear, _ = listener("steam is steady")
    ((when, heard),) = decided(ear, timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == ("steam is steady",)
    assert 2.0 + th.CLOSED_S <= when <= 2.0 + th.CLOSED_S + 2 * FRAME_S + 0.02
    assert heard.trouble is None
    assert heard.level_dbfs == pytest.approx(-26.0, abs=0.5)


def test_a_sentence_that_could_go_on_waits_and_takes_the_rest_after_a_pause() -> None:
    ear, _ = listener(
        ScriptedSpeech(
            ("fifteen sealed one failed",), partials=((0.5, "fifteen sealed"), (2.2, "fifteen sealed one failed"))
        )
    )
    sound = timeline(quiet(1), voice(1), quiet(0.7), voice(1), quiet(2))
    ((when, heard),) = decided(ear, sound)
    assert heard.alternatives == ("fifteen sealed one failed",)
    assert when == pytest.approx(3.7 + th.CLOSED_S, abs=0.1)


def test_a_sentence_that_could_go_on_but_does_not_is_decided_within_a_second() -> None:
    ear, _ = listener("fifteen sealed")
    ((when, _),) = decided(ear, timeline(quiet(1), voice(1), quiet(2)))
    assert when == pytest.approx(2.0 + th.OPEN_S, abs=0.1)


def test_the_last_word_may_come_late_from_the_engine() -> None:
    ear, _ = listener(ScriptedSpeech(("steam is steady",), partials=((0.3, "steam is"), (1.62, "steam is steady"))))
    ((when, heard),) = decided(ear, timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == ("steam is steady",)
    assert when == pytest.approx(1.0 - th.PRE_ROLL_S + 1.62 + th.STABLE_S, abs=0.15)


def test_latency_is_the_silence_that_had_to_pass_plus_the_work() -> None:
    readings = iter(np.arange(0.0, 1000.0, 0.25))
    recogniser = ScriptedRecogniser(["steam is steady"])
    ear = Listener(recogniser, GRAMMAR, LoudnessDetector(), stopwatch=lambda: float(next(readings)))
    ((when, heard),) = decided(ear, timeline(quiet(1), voice(1), quiet(2)))
    assert heard.latency_s == pytest.approx(when - 2.0 + th.DETECTOR_LAG_S + 0.25, abs=0.06)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(1, 9000), min_size=1, max_size=30))
def test_the_size_of_the_blocks_changes_nothing(sizes: list[int]) -> None:
    sound = timeline(quiet(0.8), voice(1), quiet(1.5), voice(0.6), quiet(1.5))
    ear, recogniser = listener("steam is steady", "stop")
    whole = ear.feed(sound)
    other, other_recogniser = listener("steam is steady", "stop")
    pieces: list[Utterance] = []
    position = 0
    for size in [*sizes, len(sound)]:
        pieces += other.feed(sound[position : position + size])
        position += size
    assert [u.alternatives for u in whole] == [("steam is steady",), ("stop",)]
    assert pieces == list(whole)
    assert np.array_equal(np.concatenate(recogniser.accepted), np.concatenate(other_recogniser.accepted))


def test_the_first_phone_is_not_cut_off() -> None:
    ear, recogniser = listener("steam is steady")
    soft = (quiet(0.3) * 20).astype(np.int16)  # a soft "s" that the detector takes for silence
    sound = timeline(quiet(1), soft, voice(1), quiet(2))
    decided(ear, sound)
    heard = np.concatenate(recogniser.accepted)
    assert np.count_nonzero(heard == 20) >= len(soft) - 512


def test_a_following_utterance_does_not_hear_the_end_of_the_one_before() -> None:
    ear, recogniser = listener("stop", "steam is steady")
    first, second = np.full(16_000, 3000, dtype=np.int16), np.full(16_000, 5000, dtype=np.int16)
    assert len(decided(ear, timeline(quiet(1), first, quiet(0.45), second, quiet(2)))) == 2
    heard = np.concatenate(recogniser.accepted)
    assert np.count_nonzero(heard == 3000) == 16_000
    assert np.count_nonzero(heard == 5000) == 16_000
    assert np.flatnonzero(heard == 5000)[0] > np.flatnonzero(heard == 3000)[-1]


def test_a_click_starts_nothing() -> None:
    ear, recogniser = listener("stop")
    assert decided(ear, timeline(quiet(1), voice(0.02), quiet(1), voice(0.02), quiet(2))) == []
    assert recogniser.accepted == []


def test_sound_without_a_word_gives_no_utterance_and_does_not_use_up_the_next_ones_time() -> None:
    ear, _ = listener(ScriptedSpeech(()), ScriptedSpeech(()), ScriptedSpeech(()), "stop")
    heard = decided(ear, timeline(voice(th.WORDLESS_RESTART_S * 3 + 1.0), quiet(2)))
    assert [u.alternatives for _, u in heard] == [("stop",)]
    assert heard[0][1].audio_s < 4.0


def test_talk_without_end_is_cut_at_the_cap_and_says_so() -> None:
    talk = ScriptedSpeech(("[unk]",), partials=tuple((0.5 * n, "[unk] " * n) for n in range(1, 40)))
    ear, _ = listener(talk, talk)
    heard = decided(ear, timeline(quiet(1), voice(20)))
    assert [u.trouble for _, u in heard] == ["too_long", "too_long"]
    assert all(u.audio_s <= th.MAX_UTTERANCE_S + FRAME_S for _, u in heard)


def test_a_radio_in_the_background_does_not_hold_up_a_finished_sentence() -> None:
    ear, _ = listener("steam is steady")
    ((when, heard),) = decided(ear, timeline(quiet(1), voice(4)))
    assert heard.alternatives == ("steam is steady",)
    assert 1.0 + th.STUCK_CLOSED_S <= when < 3.0


@pytest.mark.parametrize(
    ("level_dbfs", "trouble"), [(-59.0, "too_soft"), (-45.0, None), (-20.0, None), (0, "too_loud")]
)
def test_the_level_of_the_speech_is_judged(level_dbfs: float, trouble: str | None) -> None:
    recogniser = ScriptedRecogniser(["stop"])
    ear = Listener(recogniser, GRAMMAR, LoudnessDetector(-70.0))
    (heard,) = ear.feed(timeline(quiet(1), voice(1, level_dbfs), quiet(2)))
    assert heard.trouble == trouble


def test_a_new_grammar_counts_at_once_when_nobody_speaks() -> None:
    ear, recogniser = listener("stop")
    ear.feed(quiet(1))
    ear.set_grammar(SentenceList(["go back"]))
    assert recogniser.phrases == ("go back",)


def test_a_new_grammar_waits_for_the_end_of_the_utterance() -> None:
    ear, recogniser = listener("fifteen sealed", "go back")
    ear.feed(timeline(quiet(1), voice(0.5)))
    assert ear.hearing_speech
    ear.set_grammar(SentenceList(["go back", "go back one step"]))
    assert recogniser.phrases == GRAMMAR.phrases
    assert len(ear.feed(timeline(voice(0.5), quiet(1.2)))) == 1
    assert recogniser.phrases == ("go back", "go back one step")
    assert not ear.hearing_speech


def test_only_the_latest_of_several_new_grammars_counts() -> None:
    ear, recogniser = listener("stop")
    ear.feed(timeline(quiet(1), voice(0.5)))
    ear.set_grammar(SentenceList(["go back"]))
    ear.set_grammar(SentenceList(["next step"]))
    ear.feed(quiet(1.5))
    assert recogniser.phrases == ("next step",)


def test_a_grammar_with_an_unknown_word_is_refused_and_the_old_one_stays() -> None:
    recogniser = ScriptedRecogniser(["steam is steady"], {"steam", "is", "steady"})
    ear = Listener(recogniser, SentenceList(["steam is steady"]), LoudnessDetector())
    with pytest.raises(BadGrammar):
        ear.set_grammar(SentenceList(["zorbled"]))
    assert len(ear.feed(timeline(quiet(1), voice(1), quiet(2)))) == 1


def test_muted_it_hears_nothing_and_the_utterance_that_was_going_on_is_gone() -> None:
    ear, _ = listener("stop", "steam is steady")
    ear.feed(timeline(quiet(1), voice(0.6)))
    ear.mute()
    assert not ear.hearing_speech
    assert ear.feed(timeline(voice(1), quiet(3))) == ()
    ear.unmute()
    assert ear.feed(quiet(2)) == ()
    assert [u.alternatives for u in ear.feed(timeline(voice(1), quiet(2)))] == [("steam is steady",)]


def test_muting_in_mid_utterance_lets_a_waiting_grammar_in() -> None:
    ear, recogniser = listener("stop")
    ear.feed(timeline(quiet(1), voice(0.6)))
    ear.set_grammar(SentenceList(["go back"]))
    ear.mute()
    ear.mute()
    assert recogniser.phrases == ("go back",)


@pytest.mark.parametrize("lead_s", [0.0, 0.01, 1.0])
@pytest.mark.parametrize("tail_s", [0.0, 0.2, 3.0])
def test_a_file_may_begin_and_end_with_speech(lead_s: float, tail_s: float) -> None:
    recogniser = ScriptedRecogniser(["steam is steady"])
    sound = timeline(quiet(lead_s), voice(1), quiet(tail_s))
    (heard,) = hear_samples(sound, recogniser, GRAMMAR, LoudnessDetector())
    assert heard.alternatives == ("steam is steady",)
    assert th.CLOSED_S + th.DETECTOR_LAG_S - 0.1 < heard.latency_s < 10.0, "how long the work takes is the machine's"
    assert sum(map(len, recogniser.accepted)) >= EAR_RATE_HZ


def test_a_file_of_several_utterances_gives_them_in_order() -> None:
    recogniser = ScriptedRecogniser(["steam is steady", "fifteen sealed"])
    sound = timeline(quiet(1), voice(1), quiet(1.2), voice(1))
    heard = hear_samples(sound, recogniser, GRAMMAR, LoudnessDetector())
    assert [u.alternatives[0] for u in heard] == ["steam is steady", "fifteen sealed"]


@pytest.mark.parametrize("sound", [quiet(0.0), quiet(0.01), quiet(4)], ids=["nothing", "a_moment", "silence"])
def test_a_file_without_speech_gives_no_utterance(sound: Samples) -> None:
    assert hear_samples(sound, ScriptedRecogniser(["stop"]), GRAMMAR, LoudnessDetector()) == ()


def test_after_a_flush_the_next_stream_starts_afresh() -> None:
    ear, _ = listener("stop", "steam is steady")
    assert ear.feed(timeline(quiet(1), voice(1))) == ()
    assert len(ear.flush()) == 1
    assert ear.flush() == ()
    assert len(ear.feed(timeline(voice(1), quiet(1)))) == 1


class Sharing(ScriptedRecogniser):
    """A scripted recogniser with posteriors."""

    def __init__(self, *heard: tuple[tuple[str, ...], tuple[float, ...]]) -> None:
        super().__init__(ScriptedSpeech(texts) for texts, _ in heard)
        self._told = [posteriors for _, posteriors in heard]

    def finish(self) -> tuple[tuple[str, ...], float]:
        inside = self._taken is not None
        heard = super().finish()
        if inside:
            self.posteriors = self._told.pop(0)
        return heard


def in_steam() -> Samples:
    """Return voice in steady noise that is too soft to pass for voice."""
    return timeline(voice(1, -50.0), voice(1), voice(2, -50.0))


def sound_of(recogniser: ScriptedRecogniser) -> Samples:
    return np.concatenate([np.zeros(0, dtype=np.int16), *recogniser.accepted])


def noise_aware(raw: Recogniser, cleaned: Recogniser) -> Listener:
    return Listener(raw, GRAMMAR, LoudnessDetector(-40.0), cleaned=(cleaned,))


def test_the_cleaned_sound_has_its_say() -> None:
    raw = Sharing((("stop", "steam is steady"), (0.6, 0.4)))
    cleaned = Sharing((("steam is steady",), (1.0,)))
    (heard,) = noise_aware(raw, cleaned).feed(in_steam())
    assert heard.alternatives == ("steam is steady", "stop")
    assert heard.posteriors == pytest.approx((0.7, 0.3))
    assert [len(block) for block in raw.accepted] == [len(block) for block in cleaned.accepted]
    assert not np.array_equal(np.concatenate(raw.accepted), np.concatenate(cleaned.accepted))


@pytest.mark.parametrize(("raw", "cleaned"), [((), ("stop",)), (("stop",), ())])
def test_one_sound_alone_is_enough(raw: tuple[str, ...], cleaned: tuple[str, ...]) -> None:
    posteriors = {(): (), ("stop",): (1.0,)}
    ear = noise_aware(Sharing((raw, posteriors[raw])), Sharing((cleaned, posteriors[cleaned])))
    (heard,) = ear.feed(in_steam())
    assert heard.alternatives == ("stop",)


def test_it_tells_how_far_the_voice_is_above_the_noise() -> None:
    said = (("steam is steady",), (1.0,))
    (heard,) = noise_aware(Sharing(said), Sharing(said)).feed(in_steam())
    assert heard.above_noise_db == pytest.approx(24.0, abs=2.0)
    (heard,) = listener("stop")[0].feed(in_steam())
    assert heard.above_noise_db == math.inf


def test_in_a_quiet_kitchen_there_is_nothing_to_clean() -> None:
    cleaned = Sharing((("stop",), (1.0,)))
    ear = Listener(Sharing((("steam is steady",), (1.0,))), GRAMMAR, LoudnessDetector(), cleaned=(cleaned,))
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == ("steam is steady",)
    assert cleaned.accepted == []


def test_all_ways_have_the_same_say_and_there_are_only_so_many() -> None:
    heard = [Sharing(((text,), (1.0,))) for text in ("stop", "steam is steady", "steam is steady")]
    ear = Listener(heard[0], GRAMMAR, LoudnessDetector(-40.0), cleaned=heard[1:])
    (said,) = ear.feed(in_steam())
    assert said.alternatives == ("steam is steady", "stop")
    assert said.posteriors == pytest.approx((2 / 3, 1 / 3))
    with pytest.raises(ValueError, match="ways"):
        Listener(heard[0], GRAMMAR, LoudnessDetector(), cleaned=heard)


# ---------------------------------------------------------------- the second pass


def test_what_is_no_sentence_for_certain_is_heard_again() -> None:
    first = Sharing((("steam was steady", "steam is steady"), (0.6, 0.4)))
    again = [Sharing((("steam is steady",), (1.0,))) for _ in range(2)]
    ear = Listener(first, GRAMMAR, LoudnessDetector(), again=[Another(each) for each in again])
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == ("steam is steady", "steam was steady")
    assert heard.posteriors == pytest.approx((0.8, 0.2))
    for each in again:
        assert np.array_equal(np.concatenate(each.accepted), np.concatenate(first.accepted))


@pytest.mark.parametrize("texts", [("steam is steady", "steam was steady"), ("as i said", "we put them there")])
def test_a_sentence_and_what_is_none_at_all_are_heard_once(texts: tuple[str, str]) -> None:
    again = Sharing((("stop",), (1.0,)))
    ear = Listener(Sharing((texts, (0.6, 0.4))), GRAMMAR, LoudnessDetector(), again=[Another(again)])
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == texts
    assert again.accepted == []


@pytest.mark.parametrize("noisy", [True, False])
def test_in_noise_they_hear_it_cleaned_too_and_in_quiet_only_as_it_is(noisy: bool) -> None:
    doubt = (("steam was steady", "steam is steady"), (0.6, 0.4))
    first, beside = Sharing(doubt), Sharing(doubt)
    as_it_is, cleaned = (Sharing((("steam is steady",), (1.0,))) for _ in range(2))
    again = (Another(as_it_is), Another(cleaned, way=1))
    ear = Listener(first, GRAMMAR, LoudnessDetector(-40.0), cleaned=(beside,), again=again)
    (heard,) = ear.feed(in_steam() if noisy else timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives[0] == "steam is steady"
    assert np.array_equal(sound_of(as_it_is), sound_of(first)) is not noisy
    assert np.array_equal(sound_of(cleaned), sound_of(beside))
    assert bool(len(sound_of(cleaned))) is noisy


def test_an_ear_that_is_behind_decides_by_its_first_recogniser_alone_until_it_has_caught_up() -> None:
    doubt = (("steam was steady", "steam is steady"), (0.6, 0.4))
    first, beside = Sharing(doubt, doubt), Sharing(doubt)
    again = Sharing((("steam is steady",), (1.0,)))
    second = ScriptedOpinion({"Steam is steady.": UNLIKELY})
    ear = Listener(first, GRAMMAR, LoudnessDetector(-40.0), cleaned=(beside,), again=[Another(again)], second=second)
    ear.behind_s = th.HURRIED_S + 0.1
    (hurried,) = ear.feed(in_steam())
    assert hurried.alternatives[0] == "steam was steady"
    assert hurried.opinions == {}
    assert (beside.accepted, again.accepted) == ([], [])
    assert hurried.above_noise_db == pytest.approx(24.0, abs=2.0)
    ear.behind_s = th.HURRIED_S
    (caught_up,) = ear.feed(in_steam())
    assert caught_up.alternatives[0] == "steam is steady"
    assert caught_up.opinions
    assert beside.accepted
    assert again.accepted


LIKELY, UNLIKELY = Rescoring(-6.0, -1.0), Rescoring(-48.0, -8.0)


def asking(texts: tuple[str, ...], posteriors: tuple[float, ...], second: ScriptedOpinion) -> tuple[Listener, Sharing]:
    first = Sharing((texts, posteriors))
    return Listener(first, GRAMMAR, LoudnessDetector(), second=second), first


def test_where_no_text_is_clearly_the_first_another_engine_is_asked_about_sentences_and_the_likeliest_others() -> None:
    second = ScriptedOpinion({"stop.": UNLIKELY, "steam is steady.": LIKELY, "steam was steady.": UNLIKELY})
    texts = ("stop", "steam was steady", "steam is steady")
    ear, first = asking(texts, (0.5, 0.3, 0.2), second)
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert (heard.alternatives, heard.posteriors) == (texts, (0.5, 0.3, 0.2)), (
        "the first engine's word stays what it was"
    )
    assert heard.opinions == {"stop": UNLIKELY, "steam is steady": LIKELY, "steam was steady": UNLIKELY}
    ((sound, sentences),) = second.asked
    assert sentences == ("stop.", "steam is steady.", "steam was steady."), "as they would be printed"
    assert np.array_equal(sound, sound_of(first)), "it hears the whole utterance"


def test_what_is_clear_is_not_asked_about() -> None:
    second = ScriptedOpinion({})
    ear, _ = asking(("stop", "steam is steady"), (0.96, 0.04), second)
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert not heard.opinions
    assert second.asked == []


def test_but_with_what_is_often_heard_as_something_else_that_is() -> None:
    second = ScriptedOpinion({"steam is not steady.": UNLIKELY, "steam is steady.": LIKELY})
    ear, _ = asking(("steam is not steady", "stop"), (0.99, 0.01), second)
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.opinions == {"steam is not steady": UNLIKELY, "steam is steady": LIKELY}


def test_in_loud_noise_it_is_asked_about_what_is_clear_too_and_hears_the_sound_as_it_is() -> None:
    second = ScriptedOpinion({"stop.": LIKELY})
    first, raw = (Sharing((("stop",), (1.0,))) for _ in range(2))
    ear = Listener(first, GRAMMAR, LoudnessDetector(-30.0), cleaned=(raw,), second=second)
    (heard,) = ear.feed(timeline(voice(1, -31.0), voice(1), voice(2, -31.0)))
    assert heard.above_noise_db < th.ASKED_BELOW_DB
    assert heard.opinions == {"stop": LIKELY}
    ((sound, _),) = second.asked
    assert len(sound) == len(sound_of(first))
    assert not np.array_equal(sound, sound_of(first)), "the first engine heard it cleaned"


@pytest.mark.parametrize("texts", [("as i said", "we put them there"), ("[unk]",)])
def test_of_what_is_no_sentence_nothing_is_asked(texts: tuple[str, ...]) -> None:
    second = ScriptedOpinion({})
    ear, _ = asking(texts, tuple(1 / len(texts) for _ in texts), second)
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == texts
    assert second.asked == []


@pytest.mark.parametrize(
    ("text", "written"),
    [("kitchen voice no [unk]", "Kitchen voice, note salty."), ("no [unk]", ""), ("steam is steady", "")],
)
def test_what_is_said_to_us_and_is_no_sentence_is_written_down(text: str, written: str) -> None:
    ear, _ = asking((text,), (1.0,), ScriptedOpinion({}, "Kitchen voice, note salty."))
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.dictation == written


def test_an_engine_that_cannot_answer_changes_nothing() -> None:
    ear, _ = asking(("stop", "steam is steady"), (0.6, 0.4), ScriptedOpinion())
    (heard,) = ear.feed(timeline(quiet(1), voice(1), quiet(2)))
    assert heard.alternatives == ("stop", "steam is steady")
    assert not heard.opinions


def test_of_talk_without_end_no_alternatives_are_asked_for() -> None:
    """They would be useless, and cost seconds of work."""

    class Counting(ScriptedRecogniser):
        asked = 0

        def finish(self) -> tuple[tuple[str, ...], float]:
            self.asked += 1
            return super().finish()

        def drop(self) -> None:
            super().finish()

    talk = ScriptedSpeech(("[unk]",), partials=tuple((0.5 * n, "[unk] " * n) for n in range(1, 40)))
    recogniser = Counting([talk])
    (heard,) = Listener(recogniser, GRAMMAR, LoudnessDetector()).feed(timeline(quiet(1), voice(9.5)))
    assert heard.trouble == "too_long"
    assert recogniser.asked == 0
