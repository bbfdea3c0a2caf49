"""Replies in plain words to the questions of ours: what they say, and that nothing unknown is taken for all well."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.dialogue.replies import Wants, says
from kitchenvoice.language import load_language

ENGLISH = load_language("en")
TABLE = ENGLISH.table("replying")
ROWS = [line.split("\t") for line in (Path(__file__).parent / "replies.tsv").read_text("utf-8").splitlines()]
ENOUGH, FEWER = (tuple(map(ENGLISH.number, each)) for each in (range(11, 20), range(5, 11)))


ASKED = {
    "all": Wants("steady", True, numbers=ENOUGH, fewer=FEWER),
    "any": Wants("steady", False, numbers=ENOUGH, fewer=FEWER),
    "still": Wants("steady", True, True, numbers=ENOUGH, fewer=FEWER),
    "off": Wants("off", False, True, "the hold is over by the clock was it off before heat"),
    "zero": Wants("zero", True, True, numbers=ENOUGH, fewer=FEWER),
    "form": Wants("form", True, True, "seven quarts of carrots raw pack is that right"),
    "so": Wants("so", True, True, "seven quarts of carrots raw pack in canner one is that right"),
}
CALM = {"all": True, "any": False, "still": True, "off": False, "zero": True, "form": True, "so": True}
"""The answer after which a load goes on."""
SAID = {"yes": True, "no": False, "none": None}


@pytest.mark.parametrize(("kind", "said", "reply"), [(kind, SAID[said], reply) for kind, said, reply in ROWS])
def test_a_reply_says_what_it_says_in_whatever_words(kind, said, reply):
    assert says(reply, ASKED[kind], TABLE) is said


KNOWN = sorted({word for _, _, reply in ROWS for word in reply.replace(",", "").split()})


@given(
    st.sampled_from(sorted(ASKED)), st.lists(st.sampled_from([*KNOWN, ",", ",", "and", "but"]), min_size=1, max_size=8)
)
def test_no_reply_is_all_well_that_has_a_word_nobody_knows(kind, words):
    for at in range(len(words) + 1):
        strange = " ".join([*words[:at], "grommet", *words[at:]])
        assert says(strange, ASKED[kind], TABLE) is not CALM[kind]


@given(st.sampled_from(["all", "any", "still"]), st.lists(st.sampled_from(KNOWN), max_size=6))
def test_no_reply_is_all_well_in_which_it_dropped_and_nothing_denies_it(kind, words):
    assert says(" ".join(["it dropped", ",", *words]), ASKED[kind], TABLE) is not CALM[kind]


PLAIN = [word for word in KNOWN if not re.fullmatch(TABLE["denies"], word) and word not in ("after", "not", "if")]


@given(st.sampled_from(["all", "any", "still"]), st.lists(st.sampled_from(PLAIN), max_size=6))
def test_no_reply_is_all_well_that_ends_with_a_loss_which_nothing_denies(kind, words):
    assert says(" ".join([*words, "it", "dropped"]), ASKED[kind], TABLE) is not CALM[kind]
