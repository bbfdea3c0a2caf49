"""What is told of jars in other words: a count that goes on, one that is asked for, jars that broke, lids that pop."""

from __future__ import annotations

import re

import pytest

from .conftest import typed


@pytest.fixture
def resting(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 5)
    return holding


def test_one_more_than_all_is_no_new_count(counting):
    typed(counting, "seven sealed")
    assert "seven are in the load" in typed(counting, "one more")
    typed(counting, "yes")
    assert counting.load.sealed is None


def test_one_more_that_failed_is_added_to_those_that_were_read_back(counting):
    typed(counting, "six sealed one failed")
    assert typed(counting, "one more failed") == "Five sealed, two failed. Is that right?"


@pytest.mark.parametrize(
    ("told", "answer"),
    [
        ("six sealed", "Six sealed and zero failed so far."),
        ("six sealed one failed", "You told me six sealed and one failed. It counts once you say yes."),
    ],
)
def test_a_count_that_isnt_logged_yet_is_told_as_what_it_is(counting, told, answer):
    typed(counting, told)
    assert typed(counting, "how many sealed").startswith(answer)


@pytest.mark.parametrize("said", ["only six came out", "there were only six in there"])
def test_fewer_jars_that_came_out_are_asked_about(resting, said):
    assert "Is it six quarts?" in typed(resting, said)
    typed(resting, "yes")
    assert resting.load.standing == 6


def test_a_total_that_is_less_than_the_count_read_back_is_asked_about(counting):
    typed(counting, "all sealed")
    assert "Is it six quarts?" in typed(counting, "there are only six")


@pytest.mark.parametrize("said", ["i heard a jar break in there", "i think i heard one crack"])
def test_a_jar_that_was_heard_to_break_is_a_report(cooling, holding, said):
    typed(cooling, said)
    assert cooling.load.broken == 1


@pytest.mark.parametrize("said", ["i heard two pop already", "two of them pinged", "another one popped just now"])
def test_lids_that_pop_as_they_seal_leave_nothing_open(resting, said):
    typed(resting, said)
    assert not resting.load.kept and resting.talk.question is None


def test_jars_that_are_cooling_under_their_lid_are_not_out(cooling):
    assert "stayed shut" not in typed(cooling, "beans are cooling")
    assert not cooling.load.doubts


def test_cold_water_is_warned_of_before_it_is_run_and_asked_about_later(cooling):
    assert typed(cooling, "i'm going to run some cold water over it").startswith("Never use cold water")
    assert [doubt.kind for doubt in cooling.load.kept] == ["of_cooling"]


@pytest.mark.parametrize("said", ["i need to get more jars out of the garage", "i'll go find more lids"])
def test_jars_of_the_next_load_are_no_doubt(holding, said):
    typed(holding, said)
    assert not holding.load.kept


def test_how_often_the_weight_rocks_leaves_nothing_open(weighted):
    assert typed(weighted, "it rocks about three times a minute").startswith("Rocking.")


@pytest.mark.parametrize("said", ["two of them didn't ping", "two never pinged", "three of them did not click"])
def test_a_lid_that_made_no_sound_has_not_failed(resting, counting, said):
    assert not re.search("thrown|refrigerat", typed(resting, said))
    typed(counting, said)
    assert "tally" not in resting.kinds() + counting.kinds()


def test_what_leaks_on_the_towel_is_a_jar_and_no_canner(counting):
    typed(counting, "it's leaking")
    assert counting.load.tally == (0, 1) and not counting.load.faults


@pytest.mark.parametrize(("answer", "left"), [("yes", 6), ("no", 7), ("it broke", 6)])
def test_a_jar_that_was_dropped_is_asked_about_before_it_counts_as_broken(resting, answer, left):
    assert typed(resting, "i dropped a jar") == "Did it break?"
    typed(resting, answer)
    assert resting.load.standing == left


def test_a_jar_that_was_dropped_and_broke_is_broken(resting):
    typed(resting, "i dropped a jar and it shattered")
    assert resting.load.standing == 6
