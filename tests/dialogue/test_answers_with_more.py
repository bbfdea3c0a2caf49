"""An answer with a story: what stands first is the answer, unless the rest says otherwise, leaves it open, or may tell
of a loss beside "it held"."""

from __future__ import annotations

import pytest

from .conftest import typed


@pytest.fixture
def asked_of_weight(cook):
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "weight is on", "weight is rocking")
    return _asked(cook)


@pytest.fixture
def asked_of_gauge(holding):
    return _asked(holding)


def _asked(cook):
    """Let time pass until what the stove does is asked."""
    while not (cook.talk.question and cook.talk.question.of_stove):
        cook.wait(5)
    return cook


@pytest.fixture
def asked_how_many(cook):
    cook.run(*cook.BEANS, "two jars packed")
    assert "How many jars are in?" in cook.say("jars are in")
    return cook


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("six, one's come loose", "Six sealed, one failed."),
        ("six one came loose", "Six sealed, one failed."),
        ("five, two of them didn't take", "Five sealed, two failed."),
        ("one failed, six sealed", "Six sealed, one failed."),
    ],
)
def test_a_count_with_the_failures_after_it_is_read_back_as_both(counting, said, count):
    assert typed(counting, said) == f"{count} Is that right?"
    assert "tally" not in counting.kinds()


def test_a_number_of_two_words_is_no_count_with_its_failures(counting):
    assert "That would make twenty one" in typed(counting, "twenty one came loose")


@pytest.mark.parametrize(
    ("said", "logged"),
    [
        ("yes, one came loose", True),
        ("yes, they all look lovely", True),
        ("yes, and one's leaking", False),
        ("yes, two came loose", False),
        ("yes, one looks funny", False),
        ("yes, i think they all look lovely", False),
    ],
)
def test_a_yes_to_a_count_may_tell_of_the_same_failures_and_of_no_others(counting, said, logged):
    typed(counting, "six sealed, one failed", said)
    assert ("seal_count" in counting.kinds()) is logged


def test_what_became_of_the_jar_beside_a_yes_is_taken_as_well(counting):
    typed(counting, "six sealed, one failed", "yes, that one's going in the fridge")
    assert counting.kinds()[-2:] == ["seal_count", "jar_outcome"]


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("seven, all in a circle", 7),
        ("seven quarts, packed tight", 7),
        ("six, one broke in my hands", 6),
        ("six, maybe seven", None),
        ("seven, the rest are pints", None),
        ("seven pints", None),
        ("seven, but only five are full", None),
        ("five, plus two", None),
        ("six, the other one later", None),
    ],
)
def test_a_story_after_the_number_of_jars_leaves_it_as_it_is_unless_it_says_otherwise(asked_how_many, said, count):
    typed(asked_how_many, said)
    assert asked_how_many.load.loaded == count


def test_what_may_have_spoilt_jars_beside_their_number_is_asked_about_later(asked_how_many):
    typed(asked_how_many, "seven, it was a squeeze")
    assert asked_how_many.load.loaded == 7
    assert asked_how_many.load.kept


@pytest.mark.parametrize(
    ("said", "lost"),
    [
        ("no, it just stopped", True),
        ("no, the flame blew out", True),
        ("no, that's the other canner", False),
        ("no, i was in the garden", False),
        ("no, you can't hear it from here", False),
        ("no, it doesn't matter", False),
        ("no, i said it's fine", False),
        ("no, it will in a second", False),
        ("yes, it stopped for a while before", False),
    ],
)
def test_a_no_to_what_the_stove_does_is_one_unless_its_story_is_of_something_else(asked_of_weight, said, lost):
    typed(asked_of_weight, said)
    assert bool(asked_of_weight.load.hold.lost_t) is lost
    assert lost or asked_of_weight.talk.question


def test_slower_beside_a_yes_is_said_of_the_weight(asked_of_weight):
    assert typed(asked_of_weight, "yes, slower than before though") != "Slower."
    assert "weight_rocking" not in asked_of_weight.kinds()[-1:]


@pytest.mark.parametrize(
    ("said", "lost"),
    [
        ("nine, i had to take a phone call", True),
        ("nine, i mean the other gauge", False),
        ("nine, no sorry, twelve", False),
        ("nine, ten, eleven", False),
        ("nine, in canner two", False),
        ("nine, the jars", False),
    ],
)
def test_a_low_reading_counts_whatever_is_told_after_it(asked_of_gauge, said, lost):
    typed(asked_of_gauge, said)
    assert bool(asked_of_gauge.load.hold.lost_t) is lost


@pytest.mark.parametrize(
    ("told", "said", "lost"),
    [
        ("the power went out", "yes, the whole street is dark", True),
        ("the power went out", "it was, it's back on now", False),
        ("the burner went out for a second", "yes, my husband bumped the knob", True),
        ("the burner went out for a second", "yes, no, i mean the left burner", False),
        ("the burner went out for a second", "yes, that was the other burner", False),
        ("the burner went out for a second", "yes, but only the pilot", False),
        ("the burner went out for a second", "yes, it's fine though", False),
    ],
)
def test_a_loss_told_with_its_story_is_one_and_no_story_confirms_that_it_held(holding, told, said, lost):
    typed(holding, told, said)
    assert bool(holding.load.hold.lost_t) is lost
    assert lost or holding.load.doubts


@pytest.mark.parametrize("said", ["no, i was in the garden", "no, it came right back on", "no, the kids were here"])
def test_a_story_beside_a_no_to_a_loss_leaves_it_open(holding, said):
    typed(holding, "the burner went out for a second", said)
    assert holding.load.doubts


@pytest.mark.parametrize(
    ("said", "starts"),
    [
        ("yes, that's the plan", True),
        ("yes please, my neighbor brought them over", True),
        ("yes, but pints", False),
        ("yes, only hot pack this time", False),
        ("yes, with garlic", False),
        ("yes, later", False),
        ("yes, when the other one is done", False),
        ("yes, in the other canner", False),
    ],
)
def test_a_load_starts_by_a_yes_with_a_story_that_changes_nothing_of_it(cook, said, starts):
    typed(cook, "start seven quarts of green beans raw pack", said)
    assert ("load_start" in cook.kinds()) is starts
