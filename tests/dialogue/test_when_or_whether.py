"""Words that say when or whether: with one of them, nothing is a report with which a load goes on."""

from __future__ import annotations

import pytest

NO_ZERO = (
    "gauge at zero yet", "zero yet", "down to zero yet", "lock dropped yet", "pressure gone yet", "wait for zero",
    "on its way to zero", "wait for the lock to drop", "the lock drops", "tell me at zero", "say zero", "you said zero",
    "by zero", "zero jars", "the gauge says zero but the button is still up", "at zero, lock still up though",
    "gauge is at zero but the weight still rocks", "it's at zero but there's still pressure i think",
    "gauge is at zero because i opened the petcock", "gauge is at zero because i ran water over it",
)  # fmt: skip
ZERO = (
    "gauge is at zero now", "the gauge is finally at zero", "it's at zero", "lock dropped", "the button's down",
    "needle's on zero now, thank goodness", "pressure is all gone", "well it says zero", "the dial reads zero",
)  # fmt: skip
NO_WEIGHT = (
    "weight on yet", "i put the weight on five minutes ago", "the weight's been on for five minutes",
    "my husband put the weight on ten minutes ago", "weight has been on for a while", "the weight was on already",
    "weight is on but the steam had stopped", "weight is on the steam was gone for a minute",
)  # fmt: skip
WEIGHT = ("weight's on", "i put the weight on", "my husband put the weight on", "okay the weight is on now")


@pytest.fixture
def venting(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING)
    return cook


@pytest.mark.parametrize("line", NO_ZERO)
def test_nobody_is_sent_to_the_weight_by_a_question_a_wish_or_half_a_sentence(holding, line):
    holding.run(26, "heat is off", 46)
    said = holding.bare(line, typed=True)
    assert "Take the weight off" not in said
    assert not holding.load.at_zero


@pytest.mark.parametrize("line", ZERO)
def test_a_zero_in_other_words_is_one(holding, line):
    holding.run(26, "heat is off", 46)
    assert "Pressure at zero" in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", NO_WEIGHT)
def test_a_weight_that_was_on_before_ends_no_vent(venting, line):
    venting.run(10.1)
    assert "Weight is on" not in venting.bare(line, typed=True)


@pytest.mark.parametrize("line", WEIGHT)
def test_a_weight_that_goes_on_now_does(venting, line):
    venting.run(10.1)
    assert "Weight is on" in venting.bare(line, typed=True)


@pytest.mark.parametrize(
    "food",
    [
        "green beans in oil", "mushrooms in oil", "mashed green beans", "carrot mash", "smashed potatoes",
        "grated potatoes", "thickened beef stew", "creamed spinach", "cheesy potatoes", "green bean casserole",
        "stuffed peppers", "breaded chicken", "unpeeled potatoes", "green beans in my kitchen robot",
    ],
)  # fmt: skip
def test_a_word_beside_a_food_that_may_make_it_another_starts_nothing(cook, food):
    said = cook.bare(f"start seven quarts of {food} hot pack", typed=True)
    assert "no tested process" in said or "I don't know" in said
    assert cook.kitchen.open_loads == ()


@pytest.mark.parametrize(
    "food", ["my fresh green beans", "organic green beans", "cut green beans", "garden green beans"]
)
def test_a_word_that_leaves_it_that_food_is_no_hindrance(cook, food):
    assert "green beans, raw pack" in cook.bare(f"start seven quarts of {food} raw pack", typed=True)


@pytest.mark.parametrize(
    "line",
    ["yes it held", "yes all the time", "yes sure", "yes of course", "it was", "definitely", "yes the whole time"],
)
def test_a_yes_in_other_words_settles_what_was_asked(holding, line):
    holding.bare("my neighbor saw it flicker and fall", typed=True)
    assert "It counts on" in holding.bare(line, typed=True)


@pytest.mark.parametrize(
    "line",
    ["yes it held mostly", "yes it held for a bit", "now yes", "i'd say yes", "yes except a minute", "it was at ten"],
)
def test_a_yes_with_a_limit_does_not(holding, line):
    holding.bare("my neighbor saw it flicker and fall", typed=True)
    assert "It counts on" not in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", ["no it doesn't", "not at all", "no just chatting"])
def test_a_no_in_other_words_settles_what_was_asked(holding, line):
    holding.bare("something gave way", typed=True)
    holding.run(25.2)
    assert "Does that change anything" in holding.said[-1]
    holding.bare(line, typed=True)
    holding.run(1)
    assert holding.load.processed_t is not None


@pytest.mark.parametrize(
    "line", ["all sealed but one lid flexes", "all sealed but two buckled", "all sealed but one leaked"]
)
def test_half_a_count_is_no_count(counting, line):
    assert "Seven sealed" not in counting.bare(line, typed=True)


@pytest.mark.parametrize(
    "line", ["the flame was out for a bit earlier", "it did not hold", "we lost a bit of pressure"]
)
def test_a_loss_told_after_the_count_is_asked_about_before_the_load_is_closed(counting, line):
    counting.run("all sealed", "> yes")
    counting.bare(line, typed=True)
    assert "still in question" in counting.say("close the load")


@pytest.mark.parametrize("line", ["are we good", "is everything okay", "everything okay"])
def test_a_hold_that_runs_is_not_said_to_have_failed(holding, line):
    assert "weren't processed" not in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", ["i dropped my towel", "we're running low on sugar"])
def test_a_towel_that_dropped_stops_no_hold(holding, line):
    holding.bare(line, typed=True)
    assert holding.load.holding
