"""Several loads: which one is meant, by food, number or canner; a canner that is full is packed for all the same."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN


@pytest.fixture
def full(two):
    """Beans in canner one and carrots in canner two."""
    two.run("the green beans", "seven jars packed", "jars are in", "the carrots", "nine jars packed", "jars are in")
    return two


def test_with_every_canner_full_a_load_is_packed_for_the_one_that_is_named_or_usual(full):
    said = full.say("start seven quarts of green beans raw pack")
    assert "in canner one, dial gauge" in said
    assert "Canner one still has green beans in it, so this load goes in after that." in said
    assert full.bare("yes").startswith("Load three, green beans, is started.")
    assert "in canner two" in full.say("start nine pints of carrots hot pack in canner two")


def test_the_only_canner_is_packed_for_while_it_is_full(make):
    cook = make(canners=PRACTICE_KITCHEN.canners[:1])
    cook.run(*cook.BEANS, *cook.LOADED)
    assert "so this load goes in after that" in cook.say("start seven quarts of carrots raw pack")


def test_a_full_canner_is_taken_where_it_is_named_again_though_another_is_free(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    asked = cook.say("start seven quarts of green beans raw pack in canner one")
    assert asked == "Canner one still has green beans in it. Which canner: canner two?"
    assert "Canner one still has green beans in it, so this load goes in after that." in cook.bare("canner one")


def test_what_waits_for_a_full_canner_does_not_go_in_and_no_other_load_gets_its_report(full):
    full.run("start seven quarts of green beans raw pack", "> yes", "load three", "seven jars packed")
    before = full.kinds().count("jars_in")
    assert full.say("jars are in").startswith("Green beans, load three. That canner still has green beans in it.")
    assert full.kinds().count("jars_in") == before


@pytest.mark.parametrize(
    "said", ["canner two", "the second canner", "the load in canner two", "load two", "the carrots"]
)
def test_a_load_is_called_by_its_canner_its_number_or_its_food(full, said):
    assert full.say(said).startswith("Carrots. Loading the canner.")
    assert full.say("lid is locked").startswith("Carrots.")


def test_a_canner_with_nothing_in_it_means_the_load_that_is_packed_for_it(two):
    assert two.say("canner two").startswith("Carrots. Packing.")
    assert two.say("canner nine") == "I have no such load. I have green beans and carrots."


def test_a_load_that_was_not_offered_can_be_named_and_hears_why_it_does_not_fit(full):
    full.run("the green beans", "lid is locked", "steam is steady", "the carrots", "lid is locked", "steam is steady")
    full.run("start seven pints of apple sauce hot pack", "> boiling water", "> yes", 11)
    assert full.say("weight is on") == "Which load: green beans or carrots?"
    assert full.bare("the apple sauce").startswith("That doesn't fit here. Apple sauce. Packing.")
    assert "weight_on" not in full.kinds()


def test_a_name_that_fits_two_loads_leaves_the_load_before_it(two):
    two.run("start eight pints of lima beans hot pack in canner one", "> yes", "the carrots", "nine jars packed")
    assert two.say("the beans") == "Which load: green beans or lima beans?"
    assert two.say("seven jars packed").startswith("Which load:"), "they were counted for the carrots"
    assert two.bare("the lima beans").startswith("Lima beans. Seven packed.")
    assert [load.packed for load in two.kitchen.loads] == [0, 9, 7]


def test_another_food_in_the_middle_of_the_form_begins_another_form(cook):
    cook.say("start seven pints of pears hot pack")
    assert cook.say("start six pints of tomatoes raw pack").startswith("Which one:")


def test_the_gauge_of_a_canner_that_no_profile_knows_is_kept_and_can_be_changed(make):
    cook = make(canners=())
    assert cook.say("start seven quarts of green beans raw pack") == "Dial gauge, or weighted gauge?"
    cook.run("> weighted", "> yes")
    assert "weighted gauge as before" in cook.say("start seven quarts of carrots raw pack")
    cook.bare("no")
    said = cook.bare("dial gauge")
    assert "dial gauge, at nine hundred feet" in said
    assert "as before" not in said


def test_the_gauge_is_asked_for_again_where_the_load_before_was_in_boiling_water(make):
    cook = make(canners=())
    cook.run(*cook.SAUCE)
    assert cook.say("start seven quarts of green beans raw pack") == "Dial gauge, or weighted gauge?"


# ---------------------------------------------------------------- the whole count


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("none failed", "Seven sealed, none failed."),
        ("everything sealed", "Seven sealed, none failed."),
        ("all but one sealed", "Six sealed, one failed."),
        ("all but two of them sealed", "Five sealed, two failed."),
        ("none sealed", "Zero sealed, seven failed."),
        ("six sealed one didn't seal", "Six sealed, one failed."),
    ],
)
def test_a_count_that_follows_from_the_jars_in_the_load_is_said_and_asked(counting, said, asked):
    assert counting.say(said) == f"{asked} Is that right?"
    counting.bare("yes")
    assert counting.load.sealed is not None


def test_the_rest_is_what_is_left_after_those_that_were_named(counting):
    assert counting.say("two didn't seal") == "Zero sealed and two failed so far. Five to go."
    assert counting.say("the rest sealed") == "Five sealed, two failed. Is that right?"


# ---------------------------------------------------------------- heat off that nobody reported


@pytest.mark.parametrize("said", ["gauge is at zero", "pressure is at zero", "it's at zero"])
def test_zero_after_the_hold_asks_whether_the_heat_is_off_and_takes_both_in_order(holding, said):
    holding.wait(60 * (25 + 46))
    assert holding.say(said) == "Green beans. Is the heat off?"
    assert holding.load.stage == "hold"
    answer = holding.bare("yes")
    assert "Heat is off." in answer
    assert "Pressure at zero. Ten minutes to wait." in answer
    assert holding.kinds()[-2] == "heat_off"
    assert holding.load.timer("settle") is not None


def test_a_no_leaves_it_where_it_is(holding):
    holding.wait(1600)
    holding.say("gauge is at zero")
    assert holding.bare("no").startswith("The time is up. Turn the heat off.")
    assert "heat_off" not in holding.kinds()


def test_a_lid_that_comes_off_after_the_boil_asks_whether_the_heat_is_off(boiling):
    boiling.wait(1000)
    assert boiling.say("lid is off") == "Apple sauce. Is the heat off?"
    assert "Lid off. Five minutes to wait." in boiling.bare("yes")


def test_the_lid_of_a_pressure_canner_stays_on_all_the_same(holding):
    holding.wait(1600)
    answer = holding.say("lid is off")
    assert answer.startswith("Leave the lid on.")
    assert answer.endswith("Green beans. Is the heat off?")
    assert "Leave the lid on" in holding.bare("yes")
    assert not holding.load.lid_off


# ---------------------------------------------------------------- beginning


def test_who_types_is_told_that_no_call_is_needed(cook):
    turn = cook.conversation.begin(cook.t, typed=True)
    assert "Here you needn't call me first." in turn.announcements[0].text
    assert "needn't" not in cook.conversation.begin(cook.t).announcements[0].text


def test_after_a_gap_of_unknown_length_no_length_is_said_and_the_hold_is_asked_about(holding):
    turn = holding.conversation.begin(holding.t, off_s=None)
    said = turn.announcements[0].text
    assert "I was off, and can't tell for how long" in said
    assert "I was off for" not in said
    assert "Was the pressure at eleven or above all the time?" in said
    (started,) = (event for event in turn.events if event.kind == "session_start")
    assert (started.data["off_s"], started.data["unknown"]) == (None, True)


def test_the_time_of_day_is_not_told(holding):
    said = holding.say("what time is it")
    assert said == "I don't tell the time of day, only what runs. Twenty five minutes of hold left."


@pytest.mark.parametrize(
    ("minutes", "said", "stage"),
    [
        (0, "", "Cooling."),
        (46, "gauge is at zero", "At zero, and waiting, ten minutes left."),
        (11, "", "The wait at zero is over."),
        (0, "lid is off", "Taking the jars out."),
    ],
)
def test_it_says_how_far_the_cooling_is(holding, minutes, said, stage):
    lines = [(0, ""), (46, "gauge is at zero"), (11, ""), (0, "lid is off")]
    holding.run(26, "heat is off")
    for step in lines[: lines.index((minutes, said)) + 1]:
        holding.run(step[0])
        if step[1]:
            holding.say(step[1])
    assert holding.say("where are we").startswith(stage)


def test_no_two_canners_are_confused_by_a_change_of_the_profile(make):
    dial = PRACTICE_KITCHEN.canners[0]
    cook = make(canners=(dial, replace(dial, number=2)))
    cook.run(*cook.BEANS, *cook.LOADED)
    assert "in canner two" in cook.say("start seven quarts of carrots raw pack")


def test_jars_of_a_size_are_of_the_load_packed_in_them(two):
    two.bare("seven quarts packed", typed=True)
    assert [load.packed for load in two.kitchen.loads] == [7, 0]
    two.bare("i have nine pints", typed=True)
    assert [load.packed for load in two.kitchen.loads] == [7, 9]


@pytest.mark.parametrize(
    "said", ["seven pints packed", "i have seven pints", "seven pints are in", "seven half pints packed"]
)
def test_jars_of_another_size_are_none_of_a_load_unasked(cook, said):
    cook.run(*cook.BEANS)
    assert "I have quarts, not" in cook.bare(said, typed=True)
    assert (cook.load.packed, cook.load.stage) == (0, "pack")
    cook.bare(said, typed=True)
    cook.bare("no", typed=True)
    assert cook.load.packed == 7 or cook.load.stage == "canner"


@pytest.mark.parametrize("told", ["the lock has dropped on canner two", "canner two the lock has dropped"])
def test_a_lock_that_dropped_on_one_canner_says_nothing_of_jars_out_of_the_other(holding, told):
    holding.run(25.1, "heat is off", 45, "gauge is at zero", 10.1, "lid is off", "jars are out")
    holding.run(*holding.CARROTS, "nine jars packed", "jars are in", *holding.VENTING, 10.1, "weight is on")
    holding.run("weight is rocking", 30.1, "canner two heat is off", 40)
    assert "Pressure at zero" in holding.bare(told, typed=True)
    assert not holding.kitchen.doubts


def test_a_check_is_asked_for_by_name_where_the_load_spoken_of_has_none(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "heat is on", *cook.CARROTS, "canner one steam is steady")
    assert cook.say("clear").startswith("Carrots. Canner check.")
    assert cook.load.step == "canner_check"  # the word may have been of the beans
    assert cook.say("clear").startswith("Carrots. Are two to three inches")


def test_a_load_named_with_the_word_is_the_one_that_is_meant(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "heat is on", *cook.CARROTS, "canner one steam is steady")
    assert "Green beans. That step ends with your report." in cook.say("canner one clear")


@pytest.fixture
def at_the_weights(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.CARROTS, "nine jars packed", "jars are in")
    cook.run("lid is locked", "canner two steam is steady", 10.1)
    return cook


@pytest.mark.parametrize(
    "told", ["weight's on {}", "the weight is on {}", "weight is on in {}", "weight is on in number {}"]
)
def test_a_canner_is_known_by_its_bare_number(at_the_weights, told):
    at_the_weights.bare(told.format("two"), typed=True)
    assert [load.stage for load in at_the_weights.kitchen.loads] == ["vent", "come_up"]
    at_the_weights.bare(told.format("one"), typed=True)
    assert [load.stage for load in at_the_weights.kitchen.loads] == ["come_up", "come_up"]


@pytest.mark.parametrize(
    ("told", "holding"),
    [
        ("one is at eleven", [True, False]),
        ("one's at eleven", [True, False]),
        ("pressure in one is eleven", [True, False]),
        ("the gauge on one reads eleven", [True, False]),
        ("two is rocking", [False, True]),
        ("the weight in two is rocking", [False, True]),
    ],
)
def test_what_is_told_of_a_bare_number_is_of_that_canner(at_the_weights, told, holding):
    at_the_weights.run("canner one weight is on", "canner two weight is on", 4)
    at_the_weights.bare(told, typed=True)
    assert [load.holding for load in at_the_weights.kitchen.loads] == holding


@pytest.mark.parametrize(
    "told", ["two lost liquid", "one didn't seal", "i'll check the gauge in two", "the needle is on one"]
)
def test_a_number_of_jars_or_minutes_or_pounds_is_no_canner(at_the_weights, told):
    at_the_weights.bare(told, typed=True)
    assert [load.stage for load in at_the_weights.kitchen.loads] == ["vent", "vent"]


def test_the_same_thing_of_a_canner_is_asked_for_its_reading(at_the_weights):
    at_the_weights.run("canner one weight is on", 4, "canner one pressure is eleven")
    assert "What does the gauge read?" in at_the_weights.bare("same thing in canner one", typed=True)
