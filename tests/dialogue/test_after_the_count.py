"""A failure told after the count voids it; at night no count is called for."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.now import is_night

FAILED = (
    "actually one failed", "one failed", "six sealed one failed", "one jar just popped up", "one lid is loose", "one leaks",
    "one bulges", "one springs back", "one came unsealed",
)  # fmt: skip


@pytest.fixture
def counted(counting):
    counting.run("seven sealed none failed", "> yes")
    assert counting.load.stage == "keep"
    return counting


def _typed(cook, text):
    return cook.bare(f"kitchen voice {text}", typed=True)


@pytest.mark.parametrize("told", FAILED)
def test_a_failure_told_after_the_count_voids_it(counted, told):
    assert _typed(counted, told) == "Then that count doesn't stand. Six sealed, one failed. Is that right?"
    assert counted.say("close the load").startswith("The seals are not counted yet.")
    counted.bare("yes")
    assert (counted.load.sealed, counted.load.failed) == (6, 1)
    assert "Six on the shelf." in counted.run("put it in the refrigerator", "close the load")


def test_a_no_after_the_count_takes_it_back(counted):
    assert "Taken back: the seal count" in counted.say("no")
    assert counted.say("close the load").startswith("The seals are not counted yet.")


def test_another_one_that_fails_is_added(counting):
    counting.run("six sealed one failed", "> yes")
    assert "Five sealed, two failed. Is that right?" in _typed(counting, "another one failed")


def test_the_same_count_again_changes_nothing(counted):
    assert "That count is logged" in counted.say("all sealed")
    assert counted.load.stage == "keep"


def test_jars_that_failed_one_by_one_are_not_forgotten_by_all_sealed(counting):
    counting.say("one failed")
    assert counting.say("all sealed") == "Six sealed, one failed. Is that right?"


@pytest.mark.parametrize("told", ["one lost half its liquid", "one jar has low liquid", "one jar lost liquid"])
def test_liquid_lost_is_told_at_the_count_and_after_it(counted, told):
    assert "isn't one to keep" in _typed(counted, told)
    assert "isn't for the shelf" in counted.say("close the load")


def test_at_night_no_count_is_called_for_and_the_first_word_of_the_day_tells(counting):
    assert is_night(counting.t + 3600)
    assert counting.wait(8 * 3600) == ""
    counting.wait(90 * 60)
    assert not is_night(counting.t)
    assert "Count the seals." in counting.say("louder")
    assert "Count the seals." not in counting.say("louder")
    assert "Count the seals." in counting.wait(3600)


def test_no_jars_are_to_be_thrown_out_where_none_is_known_to_have_failed(counting):
    counting.wait(40 * 3600)
    assert not any("Throw them out" in text for text in counting.said)
