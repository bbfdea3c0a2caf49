"""The grammars on the real engine: every word is in its vocabulary, and spoken sentences are recognised."""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar import QUESTIONS, STAGES
from kitchenvoice.hearing import SentenceRecogniser, VoskRecogniser, hear_samples
from kitchenvoice.ports import Utterance
from kitchenvoice.rehearsal.cook import voice

pytestmark = pytest.mark.audio

ROOT = Path(__file__).parents[2]


@lru_cache(maxsize=1)
def model_folder():
    named = os.environ.get("KITCHENVOICE_MODEL")
    found = [Path(named)] if named else sorted(final.parents[1] for final in ROOT.glob("models/**/am/final.mdl"))
    if not found:
        pytest.fail("no speech model: run scripts/fetch_model, or name its folder in KITCHENVOICE_MODEL")
    return found[0]


@lru_cache(maxsize=1)
def recogniser():
    return VoskRecogniser(model_folder())


def heard(grammar, text, said_by="flite slt"):
    ear = recogniser()
    ear.set_phrases(grammar.phrases)
    ear.accept(voice(said_by).say(text))
    ear.accept(np.zeros(8000, dtype=np.int16))
    return understand(Utterance(*ear.finish()), grammar)


def test_the_model_has_every_word(book, every):
    def check(question):
        grammar = book.grammar(STAGES, attention="optional", question=question)
        unknown = sorted(word for word in grammar.words if not recogniser().knows(word))
        assert unknown == []

    every(check, [None, *QUESTIONS])


def test_the_model_has_every_word_of_everyday_talk_and_none_of_them_twice(plain):
    common = plain.everything().common
    assert len(common) == len(set(common)) > 3_000
    assert [word for word in common if not recogniser().knows(word)] == []


SPOKEN = [
    ("come_up", "pressure is eleven", "pressure_is", {"pressure": 11}),
    ("hold", "the gauge reads ten and a half pounds", "pressure_is", {"pressure": 10.5}),
    ("hold", "the weight is rocking", "weight_rocking", {}),
    ("cool", "gauge is at zero", "gauge_zero", {}),
    ("pack", "seven jars packed", "packed", {"count": 7}),
    ("count", "fifteen sealed one failed", "seal_count", {"sealed": 15, "failed": 1}),
    ("start", "start a load of green beans in pints", "load_start", {"food": "snap_beans", "jar": "pint"}),
    ("plan", "i have twenty eight pounds of peaches", "have", {"amount": 28, "unit": "pound", "food": "peaches"}),
    ("vent", "set a timer for ten minutes", "timer_start", {"minutes": 10}),
    ("gear", "how long is left please", "ask_time", {}),
]


@pytest.mark.parametrize(("stage", "text", "intent", "slots"), SPOKEN)
def test_a_spoken_command_is_understood(book, stage, text, intent, slots):
    found = heard(book.grammar(["idle", "plan", "start", stage]), f"kitchen voice {text}")
    assert (found.intent, found.slots, found.attention) == (intent, slots, True), found


@pytest.mark.parametrize(
    "text", ["what a lovely afternoon it is", "have you seen my other glove", "pressure is eleven"]
)
def test_talk_that_was_not_addressed_to_us_means_nothing(book, text):
    found = heard(book.grammar(["hold"]), text)
    assert found.intent is None
    assert found.reject_reason in ("unknown_words", "no_match", "no_attention", "silence")


@pytest.mark.parametrize(
    ("said_by", "talk"),
    [  # each was taken for a command while the filler had only words of our own sentences
        ("espeak f1", "open the garage please"),
        ("espeak f1", "start the car and wait for me"),
        ("flite slt", "start the car and wait for me"),
        ("espeak m3", "will you marry me"),
    ],
)
def test_talk_that_begins_with_our_name_is_not_taken_for_a_command(book, said_by, talk):
    grammar = book.grammar(["idle", "hold"])
    ear = SentenceRecogniser(model_folder())
    utterances = hear_samples(voice(said_by).say(f"kitchen voice {talk}"), ear, grammar)
    assert utterances
    assert {understand(each, grammar).intent for each in utterances} <= {None, "attention"}


@pytest.mark.parametrize(
    ("written", "said", "food"),
    [
        ("elderberries", "elderberries", "elderberries"),
        ("zucchinis", "zucchini", "summer_squash"),
        ("dewberries", "dewberries", "berries"),
    ],
)
def test_a_food_that_the_model_has_no_word_for_is_heard_by_other_words(book, written, said, food):
    grammar = book.grammar(["start"], attention="optional", question="food")
    assert {each.slots["food"] for each in grammar.parse(written)} == {food}
    assert heard(grammar, said).slots == {"food": food}


def test_pint_and_a_halfs_are_heard(book):
    found = heard(book.grammar(["start"], attention="optional", question="jar"), "pint and a halfs")
    assert found.slots == {"jar": "pint-and-half"}
