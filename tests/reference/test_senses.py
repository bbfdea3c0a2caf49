"""What sentences mean by the weights of their words."""

from pathlib import Path

import pytest

from kitchenvoice.reference.library import raw
from kitchenvoice.reference.nearness import named
from kitchenvoice.reference.senses import SENSES, senses

SENTENCES = Path(__file__).parents[1] / "bench" / "senses.tsv"


def anything(_name: str) -> bool:
    return True


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("turn your voice up a touch", "louder"),
        ("there's a good strong plume from the pipe", "steam_steady"),
        ("the needle's back down at nothing", "zero"),
        ("would last year's unused lids still be alright", "old_unused_lids"),
    ],
)
def test_the_likeliest_is_what_is_meant(text, name):
    assert senses(text, anything)[0].name == name


def test_what_does_not_fit_counts_for_nothing():
    text = "there's a good strong plume from the pipe"
    found = senses(text, lambda name: name not in ("steam_steady", "leaking"), most=600)
    assert "steam_steady" not in {each.name for each in found}
    assert sum(each.likelihood for each in found) == pytest.approx(1.0)


def test_two_families_of_one_answer_are_as_likely_as_both():
    text = "there's steam coming out the side of the lid"
    both = {each.name: each.likelihood for each in senses(text, anything, most=600)}
    alone = {each.name: each.likelihood for each in senses(text, lambda name: name != "leaking", most=600)}
    assert both["steam_leak"] == both["leaking"] > 0.9
    assert alone["steam_leak"] < both["steam_leak"]


def test_a_text_without_a_known_word_means_nothing():
    assert senses("zyx wvu", anything) == ()
    assert senses("", anything) == ()


def test_nothing_is_meant_where_nothing_fits():
    assert senses("louder please", lambda _: False) == ()


def test_the_weights_are_those_of_the_sentences():
    rows = [line.split("\t") for line in SENTENCES.read_text("utf-8").splitlines()]
    assert {label for label, _ in rows} | named() | {"remark"} == {*raw(SENSES)["names"]}
    right = sum(senses(text, anything)[0].name == label for label, text in rows[::20])
    assert 0.8 < right / len(rows[::20]) < 1
