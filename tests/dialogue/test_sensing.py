"""Typed sentences in words of the cook's own, taken for what they most likely mean."""

from __future__ import annotations

import pytest

from kitchenvoice.grammar import STAGES
from kitchenvoice.language import load_language
from tests.dialogue.conftest import typed

LID = "the lid's clamped and its handles are home"
LIDS = "would unused lids from two summers back still seal"


@pytest.fixture
def loaded(begun):
    return begun(*begun.BEANS, *begun.LOADED)


@pytest.fixture
def venting(begun):
    return begun(*begun.BEANS, *begun.LOADED, *begun.VENTING)


def test_a_likely_report_is_asked_back_and_taken_after_a_yes(loaded):
    assert typed(loaded, LID) == "Did you say lid is locked?"
    assert "lid_locked" not in loaded.kinds()
    typed(loaded, "yes")
    assert "lid_locked" in loaded.kinds()


def test_a_no_takes_nothing(loaded):
    typed(loaded, LID, "no")
    assert "lid_locked" not in loaded.kinds()


def test_a_report_that_cannot_be_now_is_not_offered(venting):
    assert "lid is locked" not in typed(venting, LID)


def test_a_likely_question_is_answered(cook):
    assert "five years" in typed(cook, LIDS)


def test_the_very_wording_of_a_question_stands_whatever_is_likelier(venting):
    assert "Don't touch it under pressure" in typed(venting, "steam's leaking round the lid")


def test_a_wish_is_done(holding):
    assert typed(holding, "hurry up when you talk") == "Faster."


def test_what_may_be_of_the_heat_is_no_wish(holding):
    assert "Softer" not in typed(holding, "turned it down for the shouting")


def test_a_load_that_is_read_back_gets_the_yes(cook):
    typed(cook, "start seven quarts of green beans raw pack", "how many pounds of beans do i need for that", "yes")
    assert cook.load.stage == "pack"


@pytest.mark.parametrize("said", ["the moon is made of green cheese", "zyx wvu"])
def test_what_means_nothing_is_no_more_than_a_miss(holding, said):
    before = holding.kinds()
    assert "Did you" not in typed(holding, said)
    assert "boiling" not in holding.kinds() and holding.kinds()[: len(before)] == before


def test_every_report_is_a_sentence_of_some_stage(book, holding):
    scope = holding.conversation.listening_scope(holding.t, typed=True)
    for sentence in load_language("en").table("senses").values():
        grammars = (book.grammar(**{**scope, "stages": (stage,)}) for stage in STAGES)
        assert any(grammar.parse(sentence) for grammar in grammars), sentence


def test_a_jar_that_breaks_outside_the_canner_is_told_how_it_comes_off_the_count(counting):
    said = typed(counting, "one came apart in my hands")
    assert said.startswith("Keep bare hands off the glass") and "Say a jar broke" in said
    typed(counting, "a jar broke")
    assert counting.load.broken == 1


def test_a_likely_question_is_answered_behind_what_it_is_taken_for(venting):
    said = typed(venting, "how's it doing on time")
    assert said.startswith("I take that as: ") and said.endswith("minutes of venting left.")
    assert venting.talk.question is None or venting.talk.question.passive


def test_a_question_that_would_change_something_changes_nothing(loaded):
    before = loaded.kinds()
    typed(loaded, "could you maybe undo what i told you last")
    assert loaded.kinds() == before
