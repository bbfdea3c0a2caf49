"""What is beside the stove, where an answer could be false: changed settings, sleep, giving up, counts, questions."""

from __future__ import annotations

import pytest

NEW_DIAL = ("change canner one", "> skip", "> skip", "> june", "> two pounds high", "> yes", *["> skip"] * 5)


# ---------------------------------------------------------------- numbers that don't hold any more


def test_after_a_test_of_the_dial_no_load_is_begun_by_the_reading_before(cook):
    cook.run(*cook.BEANS, "seven jars packed", "jars are in", "lid is locked")
    cook.run(*NEW_DIAL)
    assert "Green beans: set by what was known of the canner before." in " ".join(cook.said)
    assert "set for eleven pounds pressure on this dial. By its test it is thirteen" in cook.say("steam is steady")
    assert "set for eleven" in cook.say("what pressure do i need")
    assert cook.load.timer("vent") is None


def test_a_dial_that_has_to_be_replaced_begins_no_hold(cook):
    cook.run(*cook.BEANS, "seven jars packed", "jars are in", "lid is locked")
    cook.run(*NEW_DIAL[:4], "> three pounds high", *NEW_DIAL[5:])
    assert "Replace it before canning." in cook.say("steam is steady")


@pytest.mark.parametrize("asked", ["what pressure do i need", "how long for green beans"])
def test_after_another_altitude_the_numbers_before_are_not_told(cook, asked):
    cook.run(*cook.BEANS, "my altitude is five thousand feet", "> yes")
    assert cook.say(asked).startswith(
        "This load was set for nine hundred feet, and your altitude is five thousand feet."
    )


def test_a_hold_that_ends_after_another_altitude_was_told_is_not_taken_for_safe(holding):
    holding.run(5, "my altitude is five thousand feet", "> yes")
    assert "these jars may have had too little" in holding.wait(21 * 60)


def test_a_hold_by_the_present_numbers_ends_without_that(holding):
    assert "too little" not in holding.wait(26 * 60)


@pytest.mark.parametrize("line", ["how long is left", "where are we", "what do i do now"])
def test_the_pressure_of_another_altitude_is_not_asked_for(cook, line):
    cook.run(
        *cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on", "my altitude is five thousand feet", "> yes"
    )
    answer = cook.say(line)
    assert "This load was set for nine hundred feet" in answer
    assert "eleven" not in answer


def test_no_weight_is_called_for_by_the_numbers_of_another_altitude(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 1, "my altitude is five thousand feet", "> yes")
    said = cook.wait(9.5 * 60)
    assert "This load was set for nine hundred feet" in said
    assert "Put the weight on" not in said


# ---------------------------------------------------------------- asleep


def test_what_was_never_asked_is_not_said_to_be_unanswered(holding):
    holding.say("stop listening")
    said = holding.wait(26 * 60)
    assert (
        "The hold is done by the clock, twenty five minutes in full. The last report is twenty five minutes old."
        in said
    )
    assert "no answer" not in said
    assert holding.load.holds[-1].unanswered == 0


def test_a_report_by_name_while_asleep_is_answered_and_not_taken(holding):
    holding.say("stop listening")
    assert holding.say("pressure dropped to nine") == (
        "I'm not listening, and took nothing. Say kitchen voice, start listening, and say it again."
    )
    assert holding.load.holding


# ---------------------------------------------------------------- giving up


UP = ("lid is locked", "steam is steady", 10.1, "weight is on")
"""The way to where a canner may be under pressure."""


HELD = (*UP, "pressure is eleven")
WAYS = (UP, HELD, (*HELD, 5, "pressure is nine"), (*HELD, 26), (*UP[:2], "weight is on"), (*UP, "i forgot to vent"))


@pytest.mark.parametrize("way", WAYS)
def test_a_canner_that_may_be_under_pressure_stays_when_its_load_is_given_up(cook, way):
    cook.run(*cook.BEANS, *cook.LOADED, *way)
    assert "Turn the heat off, and leave the lid on. Say heat is off." in cook.run("give up the load", "> yes")
    assert cook.say("can i open it").startswith("Leave the lid on.")
    assert cook.run("gauge is at zero", "> no").startswith("Given up. Turn the heat off")
    assert cook.say("heat is off").startswith("Heat is off. Leave it to cool by itself.")
    assert cook.run(2, "gauge is at zero").startswith("Zero after two minutes?")
    assert cook.run("> no", 45, "lid is off").startswith("Leave the lid on.")
    cook.run("gauge is at zero", 9)
    assert "lid" in cook.say("where are we")
    assert "Tilt the lid away from you" in cook.wait(120)
    assert cook.run("lid is off", "jars are out").endswith("is closed, given up. Don't put its jars on the shelf.")
    assert not cook.kitchen.open_loads
    assert cook.replayed() == cook.kitchen


def test_a_given_up_load_holds_nothing_any_more(holding):
    holding.run("give up the load", "> yes", "heat is off", "heat is on", "pressure is eleven", "it was ten", 40)
    assert not holding.load.holding
    assert not holding.load.doubts
    assert not any("hold is done" in text for text in holding.said)
    assert holding.say("give up the load").startswith("Given up.")


def test_heat_that_was_off_before_a_load_was_given_up_is_not_asked_for(holding):
    holding.run(5, "heat is off", "> yes")
    assert "Leave it to cool by itself" in holding.run("give up the load", "> yes")


def test_a_load_that_waits_at_zero_waits_on_when_it_is_given_up(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 5)
    assert "None of its jars goes on the shelf" in holding.run("give up the load", "> yes")
    assert holding.say("can i open it").startswith("Leave the lid on. Five minutes")
    assert "Tilt the lid away from you" in holding.wait(360)


def test_given_up_in_an_open_vent_it_is_closed_at_once(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING)
    assert "Turn the heat off, and let the canner cool by itself." in cook.run("give up the load", "> yes")
    assert not cook.kitchen.open_loads


def test_a_load_that_was_never_on_the_heat_is_given_up_without_a_word_of_it(cook):
    assert cook.run(*cook.BEANS, "give up the load", "> yes") == "Load one, green beans, is given up."


# ---------------------------------------------------------------- counts


def test_a_count_before_the_rest_is_over_leaves_the_jars_alone(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 60, "all sealed")
    answer = holding.bare("yes")
    assert answer.endswith("Leave them alone until the twelve hours are over, bands on. I'll remind you.")
    said = holding.wait(12 * 3600)
    assert "Twelve hours of rest are over. They were counted early: press each lid once more. Bands off" in said


def test_a_load_whose_jars_still_rest_is_closed_only_after_a_yes(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 60, "all sealed", "> yes")
    assert holding.say("close the load").startswith("Eleven hours of the rest left")
    holding.bare("no")
    assert "Twelve hours of rest are over" in holding.wait(12 * 3600)


def test_a_jar_that_let_go_after_the_count_takes_nothing_else_back(counting):
    counting.run("all sealed", "> yes", *counting.CARROTS, "three packed")
    answer = counting.say("green beans one didn't seal")
    assert "scratch that" not in answer
    assert "Then that count doesn't stand. Green beans. Six sealed, one failed. Is that right?" in answer


def test_how_many_are_in_takes_the_bare_number(cook):
    cook.run(*cook.BEANS, "twelve jars packed")
    assert cook.say("jars are in").endswith("Say how many are in.")
    assert "Seven quarts" in cook.bare("seven")


def test_after_a_no_the_number_of_jars_is_taken(cook):
    cook.run(*cook.BEANS, "five jars packed", "four jars are in")
    assert cook.bare("no").endswith("Say how many jars are in.")
    cook.bare("six")
    assert cook.load.loaded == 6


def test_after_a_jar_broke_in_the_packing_it_is_asked_how_many_are_in(cook):
    cook.say(cook.BEANS[0])
    cook.bare("yes")
    assert cook.say("a jar broke").endswith("One broken.")
    assert cook.say("jars are in") == "A jar broke while you packed. Say how many are in."
    cook.bare("six")
    cook.bare("yes")
    assert cook.load.jars == 6


# ---------------------------------------------------------------- questions take answers only


def test_a_load_is_started_over_a_question_of_planning(cook):
    cook.say("i have twenty pounds of corn")
    assert cook.say("start seven quarts of carrots raw pack").startswith("Seven quarts of carrots, raw pack")


def test_another_amount_is_planned_by_itself(cook):
    cook.say("i have twenty pounds of corn")
    assert "kilograms" in cook.run("i have twenty kilograms of peaches", "> quarts")


def test_a_load_is_started_over_a_question_of_the_set_up(cook):
    cook.say("change the usual jars")
    assert cook.say("start nine pints of carrots hot pack in canner two").startswith("Nine pints of carrots, hot pack")


@pytest.mark.parametrize("group", ["corn", "beans", "tomatoes"])
def test_a_name_that_several_foods_share_corrects_the_food(cook, group):
    cook.run("start seven quarts of carrots raw pack", "> no")
    assert cook.bare(group).startswith("Which one: ")


# ---------------------------------------------------------------- left open, and timers


def test_a_forgotten_load_takes_the_count_it_asks_for(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out")
    assert "To count it, say kitchen voice, and how many sealed" in holding.cut(50 * 3600)
    assert "Six sealed, one failed. Is that right?" in holding.say("six sealed one failed")
    holding.bare("yes")
    assert (holding.load.sealed, holding.load.failed) == (6, 1)


def test_a_forgotten_load_that_still_cooled_is_not_asked_for_a_count(holding):
    holding.run(26, "heat is off")
    assert "Say how many" not in holding.cut(50 * 3600)


def test_a_timer_that_rings_is_told_when_asked_how_long(cook):
    cook.run("set a timer for ten minutes", 12)
    assert cook.say("how long is left") == "Your timer ended two minutes ago."


def test_a_bare_number_over_a_question_that_takes_none_is_read_off_the_gauge(holding):
    assert holding.bare("what's the time for corn in pints", typed=True).startswith("Which one")
    assert "minutes to go" in holding.bare("eleven", typed=True)
    assert "Ten is below eleven" in holding.bare("ten", typed=True)
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["needle's dropping nice and slow", "the pressure is falling nicely"])
def test_what_falls_while_it_cools_is_as_it_should_be(holding, said):
    holding.run(26, "heat is off", 2)
    holding.bare(said, typed=True)
    assert not holding.load.doubts
    assert not holding.load.kept


def test_done_is_no_yes_about_the_acid_which_is_asked_again(cook):
    cook.run("start seven pints of crushed tomatoes hot pack", "> boiling water", "> yes", "seven jars packed")
    assert cook.say("jars are in").endswith("Is the acid in every jar?")
    assert cook.say("done").endswith("Is the acid in every jar?")
    cook.bare("yes")
    assert "acid" in cook.load.checked


def test_a_count_that_goes_past_the_lids_tells_them_and_the_last_jar_what_comes_next(cook):
    cook.run(*cook.BEANS, "clear", "done", "clear", "done")
    assert "fingertip tight. Tell me as you pack" in cook.say("four jars packed")
    assert cook.say("three more") == "Seven packed. When they stand upright on the rack, say jars are in."


def test_a_report_that_is_asked_about_step_by_step_leaves_nothing_to_ask_at_the_end(cook):
    cook.run(*cook.BEANS)
    assert cook.bare("pressure is eleven", typed=True).endswith("Is that so?")
    cook.bare("no", typed=True)
    assert not cook.load.kept


def test_a_total_that_is_put_right_is_that_total_and_more_are_added(cook):
    cook.run(*cook.BEANS, "two jars packed", "make that nine")
    assert cook.load.packed == 9
    cook.run("scratch that", "seven are packed")
    assert cook.load.packed == 7
