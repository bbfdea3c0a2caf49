"""What sentences tell by the weight of their words."""

from pathlib import Path

import pytest

from kitchenvoice.reference.library import table
from kitchenvoice.reference.weighing import WEIGHTS, features, likelihood

SENTENCES = Path(__file__).parents[1] / "bench" / "weighing.tsv"


@pytest.mark.parametrize(
    "text", ["there was a stretch at ten i kept quiet about", "i couldn't swear it stayed up", "the flame went out"]
)
def test_a_confession_is_likely_to_tell_of_something(text):
    assert likelihood(text) > 0.9


@pytest.mark.parametrize(
    "text", ["this stuff smells like my childhood", "how long do these go", "we'll eat corn tonight"]
)
def test_talk_is_not(text):
    assert likelihood(text) < 0.25


def test_a_text_without_a_known_word_is_left_to_the_first_weight():
    assert likelihood("zyx wvu") == likelihood("")


def test_the_weights_are_those_of_the_sentences():
    rows = [line.split("\t") for line in SENTENCES.read_text("utf-8").splitlines()][::10]
    known = {name for names in table(WEIGHTS).values() for name in names.split(" | ")}
    assert all(features(text) & known for _, text in rows if len(text.split()) > 2)
    right = sum((likelihood(text) > 0.5) == (label == "tells") for label, text in rows)
    assert 0.9 < right / len(rows) < 1
