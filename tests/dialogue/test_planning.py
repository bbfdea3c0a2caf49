"""Planning by voice: what an amount makes, and the clock of the day that was planned."""

from __future__ import annotations

import time

import pytest


@pytest.fixture(autouse=True)
def _clock_of_the_kitchen(monkeypatch):
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def planned(cook):
    """At eight, fourteen quarts of carrots are planned: two loads in the two canners."""
    cook.bare("plan fourteen quarts of carrots", typed=True)
    return cook


def test_a_count_of_jars_is_planned_as_loads_lids_and_salt(cook):
    told = cook.bare("plan fourteen quarts of carrots", typed=True)
    assert told.startswith("Fourteen quarts of carrots: that is two canner loads.")
    assert "fourteen lids" in told and "fourteen teaspoons of salt" in told


@pytest.mark.parametrize("asked", ["when would we be done", "what's the day's plan", "what time do we start"])
def test_the_clock_of_the_plan_is_heard_too(planned, asked):
    told = planned.say(asked)
    assert told.startswith("Counted from eight o'clock, when packing begins.")
    assert "Load one: heat on at eight thirty to eight forty five, out at nine fifty five to ten fifty five." in told
    assert "Load two: heat on at nine o'clock to nine thirty, out at ten twenty five to eleven forty." in told
    assert "All are estimates" in told


def test_the_day_begins_when_the_cook_says_or_ends_when_it_has_to(planned):
    later = planned.bare("when would we be done if we start at nine", typed=True)
    assert "Counted from nine o'clock" in later and "out at eleven twenty five to twelve forty." in later
    by_five = planned.bare("when do i have to start to be done by five", typed=True)
    assert "begin packing at one twenty." in by_five and "out at three forty five to five o'clock." in by_five


def test_a_load_that_may_not_come_about_and_the_middle_of_a_long_day_are_told_shortly(cook):
    cook.bare("plan thirty pounds of carrots in quarts", typed=True)
    assert "if there is enough: heat on" in cook.bare("when would i be done", typed=True)
    cook.bare("plan thirty five quarts of carrots", typed=True)
    told = cook.bare("when would i be done", typed=True)
    assert told.count("heat on") == 2 and "Load one:" in told and "Load five:" in told


def test_without_a_plan_or_a_sure_clock_nothing_is_made_up(cook):
    assert cook.say("when would we be done").startswith("First say what it is to be")
    cook.bare("plan seven quarts of carrots", typed=True)
    cook.talk.wall_s = None
    told = cook.say("when would we be done")
    assert told.startswith("It is out after") and "o'clock" not in told


def test_what_is_on_the_stove_goes_before_what_was_planned(planned):
    planned.run(*planned.BEANS, *planned.LOADED, *planned.VENTING)
    told = planned.bare("when would we be done", typed=True)
    assert "Counted from" not in told and "vent" in told


@pytest.mark.parametrize(
    ("said", "jars", "made"),
    [
        ("plan two batches of quick dill pickles", "pints", "fourteen to eighteen pints"),
        ("three batches of salsa with paste tomatoes", "pints", "canner loads"),
        ("two batches of strawberry jam without pectin", "half pints", "six to eight half-pints"),
        ("plan ten half pints of apple butter", "", "Ten half-pints of apple butter"),
    ],
)
def test_batches_and_small_jars_are_planned_by_voice(cook, said, jars, made):
    told = [cook.bare(each, typed=True) for each in (said, jars) if each]
    assert made in told[-1]


def test_the_pounds_of_a_raw_fruit_are_told_for_what_is_made_of_it(cook):
    told = cook.bare("how many pounds of apples for seven quarts of apple sauce", typed=True)
    assert told.startswith("Seven quarts of apple sauce: seventeen to twenty four pounds")


def test_canners_that_hold_as_much_take_turns_and_a_kettle_stands_alone(cook):
    assert "In two canners, packed one after the other, load one" in cook.bare(
        "plan fourteen quarts of carrots", typed=True
    )
    assert "In one canner load one" in cook.bare("plan twenty pints of peaches", typed=True)
