"""How well the cook is heard: judged on recordings that stay where the cook can delete them."""

from __future__ import annotations

import json
import stat
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice import cli
from kitchenvoice.app.hearing_test import (
    PATIENCE_S,
    SENTENCES,
    SentenceResult,
    advice,
    alike_in,
    compared,
    gain_for,
    in_words,
    judged,
    listen_for_one,
)
from kitchenvoice.app.languages import book_for
from kitchenvoice.cli.tune import _Ear
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import BadAudio
from kitchenvoice.grammar import STAGES, Grammar, GrammarBook
from kitchenvoice.hearing import Listener, make_listener, read_wav, verified_model
from kitchenvoice.hearing.recordings import Recordings
from kitchenvoice.kitchen.profile import load_profile
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Utterance
from kitchenvoice.rehearsal.cook import voice
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix

NOON = datetime(2026, 11, 25, 12, 0, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return GrammarBook.load().grammar(STAGES, attention="required")


def heard(
    *, right: bool = True, level: float | None = -26.0, noise: float = -60.0, trouble: str | None = None
) -> SentenceResult:
    return SentenceResult("said", "text", right, None, level, noise, trouble)


def test_every_sentence_to_say_has_a_meaning_of_its_own(grammar: Grammar) -> None:
    meanings = [understand(Utterance((f"kitchen voice {sentence}",)), grammar) for sentence in SENTENCES]
    assert all(meaning.intent for meaning in meanings)
    assert len({(meaning.intent, str(meaning.slots)) for meaning in meanings}) == len(SENTENCES)


@pytest.mark.parametrize(
    ("results", "told"),
    [
        ([heard(), heard()], "Stay where you are."),
        ([heard(), heard(right=False)], "34 decibels above the noise. Say each sentence in one go"),
        ([heard(noise=-35.0)] * 2, "only 9 decibels above the noise. Come nearer"),
        ([heard(level=-45.0, noise=-70.0)] * 2, "too soft"),
        ([heard(level=-6.0, trouble="too_loud")] * 2, "too loud"),
        ([heard(level=None)] * 2, "heard nothing of you"),
        ([], "heard nothing of you"),
    ],
)
def test_the_advice_is_the_one_thing_that_helps_most(results: list[SentenceResult], told: str) -> None:
    assert told in advice(results)


@pytest.mark.parametrize(
    ("results", "before", "then"),
    [
        ([heard()] * 3, 6.0, 6.0),
        ([heard(level=-47.0)] * 3, 0.0, 20.0),
        ([heard(level=-47.0)] * 3, 6.0, 26.0),
        ([heard(level=-70.0)] * 3, 0.0, 30.0),
        ([heard(level=-47.0), heard(level=None), heard(), heard()], 6.0, 6.0),
        ([heard(level=-6.0, trouble="too_loud")] * 3, 18.0, 6.0),
        ([heard(level=-6.0, trouble="too_loud")] * 3, 6.0, 0.0),
        ([heard(level=None)] * 3, 6.0, 6.0),
        ([], 6.0, 6.0),
    ],
)
def test_a_soft_voice_is_made_louder_and_one_that_clips_less_loud(
    results: list[SentenceResult], before: float, then: float
) -> None:
    assert gain_for(results, before) == then


@pytest.mark.parametrize(
    ("said", "text", "mistaken"),
    [
        ("pressure is eleven", "pressure is seven", "eleven seven"),
        ("fifteen jars are in", "fifty jars are in", "fifteen fifty"),
        ("pressure is eleven", "pressure is twenty seven", ""),
        ("pressure is eleven", "weight is rocking", ""),
        ("heat is off", "heat is on", ""),
        ("pressure is eleven", "pressure is heaven", ""),
        ("pressure is eleven", "pressure is eleven", ""),
    ],
)
@pytest.mark.parametrize("posteriors", [(1.0,), (0.01,)], ids=["taken", "asked again"])
def test_a_number_that_is_taken_for_another_is_noted(
    grammar: Grammar, said: str, text: str, mistaken: str, posteriors: tuple[float, ...]
) -> None:
    heard_so = Utterance((f"kitchen voice {text}", "[unk]"), 0.9, posteriors=(*posteriors, 1.0 - posteriors[0]))
    told = judged(f"kitchen voice {said}", [heard_so], np.zeros(1600, np.int16), grammar)
    assert told.mistaken == mistaken


def test_a_number_said_again_is_trusted_again_one_that_was_not_stays_in_doubt() -> None:
    before = ("eleven seven", "nine five", "six sixty")
    now = [
        SentenceResult("pressure is eleven", "pressure is eleven", True, None, -26.0, -60.0),
        SentenceResult("the pressure dropped to nine", "", False, "silence", None, -60.0),
        SentenceResult("fifteen jars are in", "fifty jars are in", False, None, -26.0, -60.0, None, "fifteen fifty"),
    ]
    assert alike_in(now, before) == ("nine five", "six sixty", "fifteen fifty")


@pytest.mark.parametrize(
    ("right", "said", "how"),
    [(12, 12, "very well"), (11, 12, "well"), (9, 12, "fairly well"), (6, 12, "badly"), (5, 12, "hardly at all")],
)
def test_the_score_is_told_in_words(right: int, said: int, how: str) -> None:
    assert in_words(right, said) == f"{right} of {said} as you said it: you are heard {how}."


def test_it_is_compared_with_the_last_time_sentence_by_sentence() -> None:
    before = {"next": False, "heat is off": True, "stop talking": True}
    assert compared({"where are we": True}, before) == ""
    assert compared(before, before) == "The last time it was 2 of these 3."
    told = compared({"next": True, "heat is off": False, "where are we": True}, before)
    assert told == "The last time it was 1 of these 2. Now understood: next. No longer: heat is off."


@pytest.mark.parametrize("damaged", [b"", b"[1]", b"\xff", b'"x"'])
def test_a_damaged_last_result_is_none(tmp_path: Path, damaged: bytes) -> None:
    kept = Recordings(tmp_path)
    kept.note({"next": True, "heat is off": False})
    (file,) = kept.folder.iterdir()
    assert (kept.last(), stat.S_IMODE(file.stat().st_mode)) == ({"next": True, "heat is off": False}, 0o600)
    file.write_bytes(damaged)
    assert kept.last() == {}


@pytest.fixture(scope="module")
def listener(grammar: Grammar) -> Listener:
    return make_listener(verified_model(), grammar)


@pytest.mark.audio
@pytest.mark.parametrize(("talker", "cook"), [("flite rms", "flite slt"), ("flite slt", "flite rms")])
@pytest.mark.parametrize(
    ("talk", "at_s"),
    [("we were down by the river with the dog", 3.4), ("the heat is off", 3.4), ("tell him that the heat is off", 0.6)],
    ids=["one after the other", "a report to somebody else", "both at once"],
)
def test_of_two_people_the_one_who_says_our_name_is_understood_and_the_other_never(
    grammar: Grammar, listener: Listener, talk: str, at_s: float, talker: str, cook: str
) -> None:
    """The first speaks to somebody else. Said over the talk, the command may have to be said again."""
    sound = np.random.default_rng(1).integers(-3, 4, 7 * EAR_RATE_HZ).astype(np.int16)
    for name, said, start_s in ((talker, talk, 0.6), (cook, "kitchen voice weight is on", at_s)):
        speech, start = voice(name).say(said), round(start_s * EAR_RATE_HZ)
        sound[start : start + len(speech)] += speech // 2
    told = [understand(each, grammar) for each in (*listener.feed(sound), *listener.flush())]
    taken = [each.intent for each in told if each.intent is not None]
    assert taken == ["weight_on"] or (at_s < 1.0 and not taken), told


@pytest.mark.audio
def test_sound_is_judged_by_what_the_ear_makes_of_it(grammar: Grammar, listener: Listener) -> None:
    quiet = np.random.default_rng(1).integers(-3, 4, 3 * EAR_RATE_HZ).astype(np.int16)
    spoken = np.concatenate([quiet[:8000], voice("flite slt").say("kitchen voice weight is on"), quiet])

    def through(sound: Samples) -> tuple[Samples, tuple[Utterance, ...]]:
        return listen_for_one(iter(np.split(sound, range(320, len(sound), 320))), listener)

    came, utterances = through(spoken)
    assert len(spoken) - 2 * EAR_RATE_HZ > len(came), "it waited for more than the sentence"
    as_said = judged("kitchen voice weight is on", utterances, came, grammar)
    assert as_said.right
    assert as_said.noise_dbfs < -75.0 < -40.0 < (as_said.level_dbfs or -99.0)
    other = judged("kitchen voice heat is off", utterances, came, grammar)
    assert (other.right, other.line()) == (False, "     taken for: kitchen voice weight is on")
    silent, nothing = through(np.tile(quiet, 5))
    assert len(silent) / EAR_RATE_HZ == pytest.approx(PATIENCE_S, abs=0.1)
    assert judged("kitchen voice next", nothing, silent, grammar).line().endswith("nothing within 12 seconds")
    noisy, muddled = through(mix(np.tile(spoken, 2), kitchen_noise("kitchen", len(spoken) / 8000, 3), 3.0))
    close = judged("kitchen voice weight is on", muddled, noisy, grammar)
    assert "only" in advice([close]), close


def test_recordings_are_the_cooks_alone_and_go_on_request(tmp_path: Path) -> None:
    kept = Recordings(tmp_path)
    assert list(kept.all()) == []
    sound = np.arange(-800, 800, dtype=np.int16)
    later = kept.keep("kitchen voice next", sound, NOON.replace(second=9))
    first = kept.keep("kitchen voice weight is on", sound, NOON)
    (kept.folder / "theirs.wav").write_bytes(b"not ours")
    assert list(kept.all()) == [("kitchen voice weight is on", first), ("kitchen voice next", later)]
    assert np.array_equal(read_wav(first), sound)
    assert [stat.S_IMODE(path.stat().st_mode) for path in (kept.folder, first)] == [0o700, 0o600]
    assert kept.delete() == 2
    assert [file.name for file in kept.folder.iterdir()] == ["theirs.wav"]
    (kept.folder / "theirs.wav").unlink()
    kept.delete()
    assert not kept.folder.exists()


def test_a_recording_that_cannot_be_kept_is_said_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "recordings").write_text("a file where the folder should be")
    with pytest.raises(BadAudio, match="could not be kept"):
        Recordings(tmp_path).keep("kitchen voice next", np.zeros(9, np.int16), NOON)


@pytest.fixture
def run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Callable[..., tuple[int, list[dict[str, object]], str]]]:
    """Run `kitchenvoice tune` in a kitchen of its own; return exit code, objects and standard error."""
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))

    def tune(*words: str) -> tuple[int, list[dict[str, object]], str]:
        monkeypatch.setattr(sys, "argv", ["kitchenvoice", "tune", *words])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        out, err = capsys.readouterr()
        assert isinstance(ended.value.code, int)
        return ended.value.code, [json.loads(line) for line in out.splitlines()], err

    yield tune


@pytest.mark.audio
def test_what_was_kept_can_be_listened_to_again(
    run: Callable[..., tuple[int, list[dict[str, object]], str]], tmp_path: Path
) -> None:
    code, told, error = run("--again")
    assert (code, told) == (2, [])
    assert "no recordings" in error
    said = "kitchen voice the pressure dropped to nine"
    Recordings(tmp_path).keep(said, voice("flite slt").say(said), NOON)
    Recordings(tmp_path).keep("kitchen voice next", voice("flite slt").say(said), NOON.replace(second=7))
    code, told, _ = run("--again")
    assert code == 0
    assert [(line["said"], line["right"]) for line in told[:-1]] == [(said, True), ("kitchen voice next", False)]
    assert (told[-1]["said"], told[-1]["right"], told[-1]["change"]) == (2, 1, "")
    assert run("--again")[1][-1]["change"] == "The last time it was 1 of these 2."
    assert run("--delete")[:2] == (0, [{"deleted": 2}])
    assert not (tmp_path / "recordings").exists()


def test_a_gain_is_set_by_what_was_said_and_kept(
    run: Callable[..., tuple[int, list[dict[str, object]], str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Ear:
        def record(self, *_: object) -> Iterator[SentenceResult]:
            yield from [heard(level=-47.0)] * 3

    monkeypatch.setattr(_Ear, "ready", lambda _: Ear())
    assert run()[1][-1]["gain_db"] == 20.0
    assert load_profile(tmp_path).gain_db == 20.0


def test_a_number_taken_for_another_is_distrusted_and_the_rest_of_the_last_time_is_kept(
    run: Callable[..., tuple[int, list[dict[str, object]], str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Ear:
        def record(self, *_: object) -> Iterator[SentenceResult]:
            yield SentenceResult("it is eleven", "it is seven", False, None, -26.0, -60.0, None, "eleven seven")

    monkeypatch.setattr(_Ear, "ready", lambda _: Ear())
    Recordings(tmp_path).note({"next": True})
    assert run()[1][-1]["alike"] == ["eleven seven"]
    profile = load_profile(tmp_path)
    assert profile.alike == ("eleven seven",)
    assert Recordings(tmp_path).last() == {"next": True, "it is eleven": False}
    said = book_for(profile).grammar(["hold"], attention="required").said_alike("kitchen voice pressure is seven")
    assert said == ("kitchen voice pressure is eleven",)
