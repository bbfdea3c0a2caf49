"""The only number in a statement that isn't understood is asked back as what the gauge reads, where one is watched."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import typed

READ = [
    ("nine is what i see", "nine", 9),
    ("i need to turn it down it's at thirteen", "thirteen", 13),
    ("rick says twelve", "twelve", 12),
]
HEDGED = [
    "the beans won't stay at eleven",
    "about eleven most of the time",
    "eleven except when i stirred the fire",
    "it barely makes eleven",
]
NOT_READ = ["the second one is fine", "two of the jars are rattling", "no we never got to eleven", "we're on load two"]


@pytest.mark.parametrize(("said", "number", "psi"), READ)
def test_a_number_is_asked_back_and_counts_by_a_yes(holding, said, number, psi):
    assert f"the gauge reads {number}?" in typed(holding, said)
    assert holding.load.holding
    typed(holding, "yes")
    assert holding.load.last_psi == psi
    assert holding.load.holding == (psi >= 11)


def test_a_no_leaves_what_was_told_to_be_asked_about(holding):
    typed(holding, "nine is what i see", "no")
    assert holding.load.holding
    assert holding.load.kept or holding.load.doubt


@pytest.mark.parametrize("said", NOT_READ)
def test_a_number_of_something_else_is_no_reading(holding, said):
    assert "the gauge reads" not in typed(holding, said)


def test_the_number_that_another_one_puts_right_is_not_read(holding):
    typed(holding, "it reads twelve not eleven")
    assert holding.load.last_psi == 12
    assert not holding.load.doubt and not holding.load.kept


def test_without_a_gauge_no_number_is_read(weighted):
    assert "gauge" not in typed(weighted, "nine is what i see")


@pytest.mark.parametrize("said", HEDGED)
def test_the_target_among_words_that_may_tell_of_a_loss_is_no_reading(holding, said):
    typed(holding, said)
    assert holding.load.doubt
