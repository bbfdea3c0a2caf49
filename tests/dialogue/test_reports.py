"""Reports: whose they are, what speaks against them, what is read back, and what a no leaves standing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitchenvoice.process import Stage

from .conftest import typed


def test_a_bare_report_goes_to_the_only_load_that_can_take_it(holding):
    holding.run(*holding.CARROTS)
    assert holding.say("three jars packed").startswith("Carrots. Three packed.")
    assert holding.say("pressure is twelve").startswith("Green beans. Twelve.")


def test_between_two_loads_it_is_asked_whose_report_it_is(two):
    assert two.say("three more") == "Which load: green beans or carrots?"
    assert two.bare("the carrots").startswith("Carrots. Three packed")
    assert [load.packed for load in two.kitchen.loads] == [0, 3]
    assert two.say("two more") == "Carrots. Five packed."


def test_which_load_can_be_answered_by_number(two):
    two.say("three more")
    assert two.bare("load one").startswith("Green beans. Three packed")


def test_a_load_that_was_named_takes_the_reports_of_the_next_minute(two):
    two.say("load one")
    assert two.say("three more").startswith("Green beans.")
    two.wait(120)
    assert two.say("three more").startswith("Which load")


def test_a_load_that_was_just_started_was_not_named(two):
    assert two.say("jars are in").startswith("Which load")


def test_jars_that_are_in_can_be_those_of_either_load(two):
    two.run("the carrots", "three more", 2)
    assert two.say("jars are in") == "Which load: green beans or carrots?"
    assert two.bare("the carrots") == "Carrots. How many jars are in? I had three of nine packed."


def test_a_count_tells_whose_jars_are_in(two):
    two.run("the carrots", "nine jars packed", "the green beans", "seven jars packed", 2)
    assert two.say("nine jars are in").startswith("Carrots. Nine pints in.")


def test_a_load_that_was_named_is_asked_about_rather_than_another_one_taken(two):
    two.run("the green beans", "seven jars packed", "jars are in", *two.VENTING, *two.HOLDING)
    two.run("the carrots", "nine jars packed", "jars are in", *two.VENTING, 11, "weight is on", "weight is rocking", 14)
    assert two.kitchen.loads[0].processed_t is not None
    assert two.kitchen.loads[1].holding
    two.say("the carrots")
    assert "of the hold still to go" in two.say("heat is off")


def test_a_report_goes_to_the_load_that_waits_for_it(two):
    two.run("the green beans", "seven jars packed", "jars are in", "lid is locked", "steam is steady", 6)
    two.run("the carrots", "nine jars packed", "jars are in", "lid is locked", "steam is steady", 5)
    assert two.say("weight is on").startswith("Green beans. Weight is on.")


def test_what_starts_a_hold_is_asked_about_when_two_dials_could_have_shown_it(make, book):
    from dataclasses import replace

    from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN

    dial = PRACTICE_KITCHEN.canners[0]
    cook = make(canners=(dial, replace(dial, number=2)))
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING)
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 11, "weight is on", 6.1)
    assert cook.bare("eleven").startswith("Green beans. Eleven.")
    assert cook.say("pressure is eleven") == "Which load: green beans or carrots?"
    assert len([load for load in cook.kitchen.loads if load.holding]) == 1


def test_the_weight_tells_of_the_weighted_canner_only(two):
    two.run("the green beans", "seven jars packed", "jars are in", *two.VENTING, *two.HOLDING)
    two.run("the carrots", "nine jars packed", "jars are in", *two.VENTING, 11, "weight is on")
    assert two.say("weight is rocking").startswith("Carrots. The weight is rocking. The hold starts now")


def test_every_answer_names_its_load_when_several_are_open(two):
    two.run("the green beans", "seven jars packed", "jars are in", *two.VENTING, *two.HOLDING)
    since = len(two.said)
    two.run("pressure is twelve", "time left", "what pressure do i need", "how long do i process", "how much salt")
    two.run("the carrots", "nine jars packed", "how many jars", "what's the count", "why", "next", "jars are in")
    two.run("the green beans", "heat is off", "> no", "pressure is eighteen", "> no", 30)
    named = [text for text in two.said[since:] if "green beans" in text.lower() or "carrots" in text.lower()]
    general = {"Left as it was."}
    assert [text for text in two.said[since:] if text not in named and text not in general] == []


# ---------------------------------------------------------------- objections


@pytest.mark.parametrize(
    ("line", "asked", "declined"),
    [
        (
            "heat is off",
            "Twenty five minutes of the hold still to go. With the heat off it starts over in full. Is the heat off?",
            "Then it goes on. Twenty five minutes of the hold left.",
        ),
        (
            "pressure is twenty two",
            "Did you say twenty two? If so, turn the heat down now, and touch neither lid nor weight.",
            "Not taken. Say what the gauge reads.",
        ),
    ],
)
def test_a_report_that_contradicts_the_state_is_asked_about(holding, line, asked, declined):
    before = holding.kitchen
    assert holding.say(line) == asked
    assert holding.bare("no") == declined
    stands = [replace(load, remarks=()) for load in holding.kitchen.loads]
    assert (stands, holding.kitchen.calls) == ([*before.loads], before.calls)


def test_the_heat_off_of_a_boil_speaks_of_the_boil(boiling):
    assert "of the boil still to go" in boiling.say("heat is off")


def test_jars_in_that_differ_are_asked_about_and_a_no_tells_what_is_recorded(cook):
    cook.run(*cook.BEANS, "six jars packed")
    assert cook.say("five jars are in") == "Five quarts in, and I had six. Is it five quarts?"
    assert cook.bare("no") == "Not loaded yet. Six packed. Say how many jars are in."
    assert cook.load.loaded is None
    cook.say("five jars are in")
    assert cook.bare("yes").startswith("Five quarts in.")
    assert cook.load.loaded == 5


@pytest.mark.parametrize(
    ("answer", "loaded"),
    [("two", 2), ("seven", 7), ("all of them", 7), ("all seven", 7), ("it's six", 6), ("yes", None)],
)
def test_jars_in_without_a_number_and_fewer_packed_aloud_are_asked_for(cook, answer, loaded):
    cook.run(*cook.BEANS, "two jars packed")
    assert cook.say("jars are in") == "How many jars are in? I had two of seven packed."
    typed(cook, answer)
    assert cook.load.loaded == loaded


def test_a_report_over_how_many_are_in_is_no_remark(cook):
    """ "The lid's locked" is a report of a later stage, in short words, and not that the lids are fine."""
    cook.run(*cook.BEANS, "two jars packed", "jars are in")
    assert "went into the canner. Is that so?" in typed(cook, "lid's locked")


@pytest.mark.parametrize(
    ("said", "packed"),
    [
        ("the fourth one's filled", 4),
        ("third and fourth done", 4),
        ("three and four are packed", 4),
        ("last one's in", 7),
    ],
)
def test_jars_are_counted_by_their_place(cook, said, packed):
    cook.run(*cook.BEANS, "two jars packed")
    typed(cook, said)
    assert cook.load.packed == packed


@pytest.mark.parametrize("line", ["lid is off", "jars are out"])
def test_the_lid_stays_on_until_zero_and_ten_minutes(holding, line):
    holding.run(26, "heat is off")
    assert holding.say(line).startswith("Leave the lid on. Pressure was not reported at zero.")
    holding.run(46, "gauge is at zero", 4)
    assert holding.say(line) == "Leave the lid on. Six minutes still to wait."
    assert holding.load.stage is Stage.COOL


def test_two_things_against_a_report_are_asked_one_after_the_other(boiling):
    boiling.run(16, "heat is off", "lid is off", 1)
    assert "still to wait" in boiling.say("six jars are out")
    assert "Six pints out, and seven should be there" in boiling.bare("yes")
    boiling.bare("yes")
    assert boiling.load.out == 6


# ---------------------------------------------------------------- losses


def test_a_loss_counts_at_once_and_is_said_once_for_doubt(holding):
    answer = holding.say("the pressure dropped to nine")
    assert "Nine is below eleven pounds pressure." in answer
    assert answer.endswith("If I heard that wrong, say no.")
    assert not holding.load.holding
    assert "heard that wrong" not in holding.wait(300)


def test_a_no_to_the_loss_takes_it_back(holding):
    before = holding.kitchen.loads
    holding.say("pressure dropped")
    assert holding.bare("no").startswith(
        "Taken back: pressure dropped. Was the pressure at eleven or above all the time"
    )
    holding.bare("yes")
    assert [replace(load, remarks=()) for load in holding.kitchen.loads] == list(before)
    assert "hold_lost" not in holding.kinds()


def test_a_yes_to_the_loss_is_not_a_yes_to_anything_else(holding):
    holding.say("pressure dropped")
    before = holding.kitchen
    assert holding.bare("yes") == "Then it stands."
    assert holding.kitchen == before


def test_the_step_after_two_facts_is_said_once(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on")
    answer = cook.say("pressure is fifteen")
    assert answer.count("Keep it at eleven") == 1
    assert answer.index("Lower the heat gently") < answer.index("Keep it at eleven")


# ---------------------------------------------------------------- numbers that sound like others


def test_what_sounds_like_something_else_is_asked_back(holding):
    holding.wait(1600)
    assert holding.say("heat is off", "heat is on") == "Did you say heat is off?"
    assert "heat_off" not in holding.kinds()
    assert "Leave it to cool" in holding.bare("yes")
    assert "heat_off" in holding.kinds()


def test_nine_for_five_jars_is_asked_back_with_the_other_number(cook):
    cook.run(*cook.BEANS)
    assert cook.say("five jars packed", "nine jars packed") == "Did you say five jars packed, and not nine?"
    assert cook.bare("no") == "Left as it was."
    assert cook.load.packed == 0
    cook.say("five jars packed", "nine jars packed")
    assert cook.bare("yes").startswith("Five packed.")


def test_fifteen_for_fifty_is_asked_back_digit_by_digit(make):
    cook = make()
    cook.run("start sixteen pints of carrots hot pack in canner two", "> yes")
    assert cook.say("fifteen jars packed", "fifty jars packed") == "Did you say fifteen jars packed, one five?"


def test_a_count_nearly_as_likely_as_another_is_asked_back_digit_by_digit(cook):
    cook.run(*cook.BEANS)
    asked = cook.say("seven jars packed", "sixteen jars packed", "sixty jars packed", posteriors=(0.02, 0.78, 0.2))
    assert asked == "Did you say sixteen jars packed, one six?"
    assert cook.load.packed == 0
    assert cook.bare("yes").startswith("Sixteen packed, one six.")


def test_what_sounds_alike_and_cannot_be_is_not_asked_about(cook):
    cook.run(*cook.BEANS, "seven jars packed")
    assert cook.say("seven jars are in", "seventy jars are in").startswith("Seven quarts in.")


def test_a_fall_below_the_target_is_taken_at_once_either_way(holding):
    assert "Five is below eleven" in holding.say("pressure is five", "pressure is nine")
    assert not holding.load.holding


@pytest.mark.parametrize(
    ("line", "said"), [("pressure is thirteen", "Thirteen, one three."), ("pressure is twelve", "Twelve.")]
)
def test_a_pressure_that_sounds_like_another_is_said_twice(holding, line, said):
    assert holding.say(line).startswith(said)


# ---------------------------------------------------------------- counting


def test_jars_are_counted_up_and_down(cook):
    cook.run(*cook.BEANS)
    assert cook.say("three more").startswith("Three packed.")
    assert cook.say("another jar") == "Four packed."
    assert cook.say("minus one") == "Three packed."
    assert cook.say("ten more") == "Thirteen packed, one three. Seven were planned."


def test_the_seal_count_is_asked_back_and_a_no_tells_what_is_in_the_load(counting):
    assert counting.say("six sealed one failed") == "Six sealed, one failed. Is that right?"
    assert counting.bare("no") == "Not logged. Seven in the load. Say the count again."
    assert counting.load.sealed is None


def test_a_count_that_does_not_add_up_is_never_logged(counting):
    assert counting.say("seven sealed one failed").startswith("Seven and one make eight, and seven are in the load.")
    assert counting.talk.question is None
    assert counting.load.sealed is None


def test_a_tally_becomes_the_count_when_it_is_complete(counting):
    assert counting.say("three sealed") == "Three sealed and zero failed so far. Four to go."
    counting.say("three sealed")
    assert counting.say("one failed").endswith("Six sealed, one failed. Is that right?")
    counting.bare("yes")
    assert (counting.load.sealed, counting.load.failed) == (6, 1)


def test_a_count_before_twelve_hours_is_asked_about_and_can_be_left(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 60)
    assert "after one hour of rest. Twelve hours are the least." in holding.say("seven sealed none failed")
    assert holding.bare("no") == "Not logged. Seven in the load, resting."
    assert holding.load.sealed is None


def test_another_count_after_logging_is_not_taken_without_a_word(counting):
    counting.run("all sealed", "> yes")
    answer = counting.say("six sealed one failed")
    assert answer == "Then that count doesn't stand. Six sealed, one failed. Is that right?"
    counting.bare("yes")
    assert (counting.load.sealed, counting.load.failed) == (6, 1)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("reprocess it", "Use a sound jar and a new lid, and the same full time."),
        ("freeze it", "Leave one and a half inches of head space."),
        ("put it in the refrigerator", "Eat it within several days."),
        ("throw it out", "Don't taste it."),
    ],
)
def test_each_choice_for_a_failed_jar_says_what_it_asks_for(counting, line, said):
    counting.run("six sealed one failed", "> yes")
    assert said in counting.say(line)


def test_processing_again_tells_how_long_is_left_and_the_stricter_rule(counting):
    counting.run("six sealed one failed", "> yes")
    answer = counting.say("reprocess it")
    assert "Within eleven hours" in answer
    assert ". Use a sound jar" in answer
    assert "heat the food to a boil first, and pack it hot" in answer


def test_after_the_day_only_throwing_out_is_taken(counting):
    counting.wait(13 * 3600)
    counting.run("six sealed one failed", "> yes")
    assert "After twenty four hours a jar that failed is thrown out." in counting.say("freeze it")
    assert "jar_outcome" not in counting.kinds()
    assert "one thrown out" in counting.say("throw it out")


def test_a_load_is_not_closed_before_its_count_and_its_failures(counting):
    assert counting.say("close the load").startswith("The seals are not counted yet.")
    counting.run("six sealed one failed", "> yes")
    assert "One failed and not decided." in counting.say("close the load")
    counting.say("freeze it")
    assert counting.say("close the load") == "Load one, green beans, is closed. Six on the shelf."


# ---------------------------------------------------------------- steps


def test_what_was_not_checked_is_named_before_the_next_step(cook):
    cook.run(*cook.BEANS, "seven jars packed")
    answer = cook.say("jars are in")
    assert answer.index("Seven quarts in.") < answer.index("Not yet checked:") < answer.index("Lock the lid.")


def test_a_check_is_not_passed_by_next(cook):
    cook.run(*cook.BEANS)
    assert cook.say("next").startswith("Not yet checked. Canner check.")
    assert cook.load.step == "canner_check"


def test_a_step_that_ends_with_a_report_is_not_passed_by_a_word(holding):
    assert holding.say("next").startswith("That step ends with your report.")
    assert holding.load.step == "hold_dial"


def test_done_locks_the_lid_when_that_is_the_step(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    assert "steam is steady" in cook.say("done")


def test_going_back_stops_where_only_a_report_can_be_taken_back(cook):
    cook.run(*cook.BEANS, "clear")
    assert "vent pipe" in cook.say("go back")
    assert cook.say("go back") == "This is the first step."
    cook.run(*cook.LOADED, *cook.VENTING)
    assert cook.say("go back") == "There is no step back from here. To take back the last report, say scratch that."


@pytest.mark.parametrize("step_line", ["lid is off"])
def test_the_caution_comes_before_the_step_it_guards(holding, step_line):
    holding.run(26, "heat is off", 46)
    answer = holding.say("gauge is at zero")
    assert answer.index("Use a mitt.") < answer.index("Take the weight off")
    called = holding.wait(601)
    assert called.index("steam under the lid burns") < called.index("Take it off")


def test_after_a_jar_broke_in_the_open_canner_the_others_are_asked_for_again(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off")
    assert holding.say("a jar broke").endswith("Say jars are out.")
    assert holding.load.stage == "cool"


@pytest.mark.parametrize("told", ["weight is on canner one", "weight on canner one", "i put the weight on canner one"])
def test_what_stands_before_the_canner_is_of_the_weight_too(begun, told):
    venting = begun(*begun.BEANS, *begun.LOADED, *begun.VENTING, 10.1)
    venting.bare(told, typed=True)
    assert venting.events[-1].kind == "weight_on"


@pytest.mark.parametrize(
    "told", ["no weight on canner one", "is the weight on canner one", "the weight isn't on canner one"]
)
def test_a_weight_that_is_not_on_a_canner_is_no_report_of_it(begun, told):
    venting = begun(*begun.BEANS, *begun.LOADED, *begun.VENTING, 10.1)
    venting.bare(told, typed=True)
    assert "weight_on" not in venting.kinds()
