"""The hazards of a load, one after another: what must never be said of it, and the rule that holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.report.labels import label_lines
from kitchenvoice.logbook.report.lines import list_line
from kitchenvoice.logbook.report.records import open_logbook
from kitchenvoice.ports import Moment

UP = (
    "the carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady", 10.1,
    "carrots weight is on",
)  # fmt: skip


@pytest.fixture
def both(holding):
    """Green beans on a dial with fifteen minutes to go, and carrots on a weight with twenty five."""
    holding.run(*holding.CARROTS, *UP, "carrots weight is rocking")
    return holding


@pytest.fixture
def tomatoes(make):
    """Crushed tomatoes in boiling water, packed, and the acid not confirmed."""
    cook = make()
    cook.run("start seven quarts of crushed tomatoes hot pack in boiling water", "> yes", "seven jars packed")
    assert cook.load.process.acid
    return cook


def holds(cook):
    return [load.holding for load in cook.kitchen.loads]


@pytest.mark.parametrize(
    ("answer", "held"), [("carrots", [True, False]), ("both", [False, False]), ("neither", [True] * 2)]
)
def test_h01_each_load_is_settled_by_its_own_answer(both, answer, held):
    both.run(1)
    assert both.say("we lost pressure") == "Which load: green beans or carrots?"
    both.run(f"> {answer}", 5)
    assert holds(both) == held


def test_h01_a_bare_no_names_none_and_settles_nothing(both):
    both.run(1, "we lost pressure")
    assert "Say which one it is, or neither. Which load" in both.bare("no")
    both.wait(120)
    assert holds(both) == [False, False]


def test_h01_not_that_one_leaves_the_other_open(both):
    both.run(1, "we lost pressure")
    assert "Did the pressure drop here?" in both.bare("not the carrots")
    both.bare("yes")
    assert holds(both) == [False, True]


def test_h02_a_load_that_is_named_and_denied_gives_the_doubt_to_the_other(both):
    both.run(1, "heat is off", "> carrots")
    assert "Green beans. Fourteen" in both.bare("no") or "Is the heat off?" in both.said[-1]
    assert both.kitchen.loads[0].doubt
    both.wait(120)
    assert holds(both) == [False, True]


@pytest.fixture
def one_cools(both):
    """The green beans were held and cool, the carrots hold for some minutes more."""
    both.run(16, "green beans heat is off", 5)
    assert [load.stage for load in both.kitchen.loads] == ["cool", "hold"]
    return both


@pytest.mark.parametrize(
    ("answer", "unfit", "held"),
    [("green beans", 7, True), ("carrots", 0, False), ("both", 7, False), ("neither", 0, True), (None, 7, False)],
)
@pytest.mark.parametrize("off_s", [None, 3, 5])
def test_h01_a_fault_may_be_of_a_load_that_cools_as_well_whatever_comes_between(one_cools, answer, unfit, held, off_s):
    assert one_cools.say("i never put the weight on").endswith("Which load: green beans or carrots?")
    assert off_s is None or one_cools.cut(off_s).endswith("Which load: green beans or carrots?")
    one_cools.run(1 if answer is None else f"> {answer}")
    assert (one_cools.kitchen.loads[0].unfit, holds(one_cools)[1]) == (unfit, held)


def test_h03_the_greeting_calls_no_time_up_of_a_load_that_a_fault_may_be_of(one_cools):
    one_cools.run("i never put the weight on", "green beans heat is on")
    assert "Green beans: waiting for your answer." in one_cools.cut(3)


def test_h01_a_fault_of_one_of_two_that_cool_is_asked_until_it_is_settled(one_cools):
    one_cools.run(15, "carrots heat is off", 5)
    assert one_cools.say("the gauge is stuck").endswith("Which load: green beans or carrots?")
    assert one_cools.cut(240).endswith("Which load: green beans or carrots?")
    one_cools.wait(60)
    assert [load.unfit for load in one_cools.kitchen.loads] == [7, 9]


def test_h01_a_fault_of_jars_at_rest_waits_for_an_answer_and_nothing_is_closed_before(one_cools):
    one_cools.run(15, "carrots heat is off", 50)
    for name in ("green beans", "carrots"):
        one_cools.run(f"{name} gauge is at zero", "> yes", 11, f"{name} lid is off", f"{name} jars are out")
    assert one_cools.say("i forgot to vent").endswith("Which load: green beans or carrots?")
    one_cools.run(721, "green beans all sealed", "> yes")
    assert "Was it this load?" in one_cools.run("close the load", "> green beans")
    assert [load.unfit for load in one_cools.kitchen.loads] == [0, 0]
    one_cools.bare("yes")
    assert [(load.unfit, load.doubts) for load in one_cools.kitchen.loads] == [(7, ()), (0, ())]


def test_h01_heat_that_may_be_off_under_a_vent_to_come_counts_there_too(both):
    both.run(1, "carrots pressure is zero")
    assert both.kitchen.loads[1].step == "vent_again"
    assert both.say("heat is off").endswith("Which load: green beans or carrots?")
    both.run("carrots steam is steady", 2)
    assert [load.claims for load in both.kitchen.loads] == [False, False]


@pytest.fixture
def dials(make):
    """Two dials: the green beans hold, and the carrots come up."""
    cook = make(canners=(PRACTICE_KITCHEN.canners[0], replace(PRACTICE_KITCHEN.canners[0], number=2)))
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING, *cook.CARROTS, *UP, 3)
    assert [load.stage for load in cook.kitchen.loads] == ["hold", "come_up"]
    return cook


def test_h02_another_load_named_in_a_whole_sentence_leaves_the_one_named_before_in_doubt(dials):
    dials.run("heat is off", "> green beans", "carrots heat is off")
    assert dials.kitchen.loads[0].doubt
    dials.wait(420)
    assert holds(dials) == [False, False]


def test_h11_a_canner_with_a_fault_may_be_under_pressure_and_its_gauge_read(dials):
    assert dials.say("the canner boiled dry").endswith("Which load: green beans or carrots?")
    dials.bare("green beans")
    assert dials.say("pressure is eleven").endswith("Which load: green beans or carrots?")
    assert holds(dials) == [False, False]


def test_h11_a_name_is_of_what_was_said_last_and_refused(dials):
    assert dials.say("pressure is eleven").endswith("Which load: green beans or carrots?")
    assert "doesn't fit" in dials.say("steam is steady")
    dials.bare("carrots")
    assert holds(dials) == [True, False]


@pytest.mark.parametrize("off_s", [3, 240])
def test_h03_a_restart_asks_again_and_the_pressure_does_not_answer_for_the_heat(holding, off_s):
    holding.run(5, "heat is off")
    answer = holding.cut(off_s)
    assert "Is the heat off?" in answer or "all the time?" in answer
    if off_s > 10:
        holding.bare("no" if "Is the heat off?" in answer else "yes")
        assert holding.load.doubt
    holding.wait(300)
    assert not holding.load.holding


def test_h04_nothing_is_called_done_while_something_is_taken_back(holding):
    holding.run(24.8)
    assert "Take it back?" in holding.say("scratch that")
    assert "The hold is done" not in holding.wait(60)
    holding.wait(60)
    assert not holding.load.holding


def test_h04_a_bare_no_after_an_explicit_yes_takes_nothing_back(holding):
    holding.run(5, "heat is off", "> yes", "> no")
    assert not holding.load.holding


def test_h05_too_little_just_after_the_end_is_a_doubt_on_the_hold(holding):
    holding.run(25.2)
    assert holding.say("pressure is nine") == "Was the pressure below eleven before the time was up?"
    assert "on record" not in holding.say("heat is off")
    assert "starts over in full" in holding.bare("yes")
    assert holding.load.processed_t is None


@pytest.mark.parametrize("fell", ["sinking", "dropping", "falling", "sagging"])
@pytest.mark.parametrize("below", ["under the mark", "below eleven", "under eleven"])
def test_h05_what_kept_falling_is_told_of_the_hold_while_it_cools(holding, fell, below):
    holding.run(26, "heat is off", 10)
    assert holding.bare(f"honestly it kept {fell} {below}", typed=True).endswith("or the heat off, at any time?")
    assert [doubt.kind for doubt in holding.load.doubts] == ["in_question"]


@pytest.mark.parametrize("said", ["it's sinking nicely", "the needle keeps going down", "pressure's dropping"])
def test_h05_what_falls_while_it_cools_is_no_loss(holding, said):
    holding.run(26, "heat is off", 10)
    holding.bare(said, typed=True)
    assert holding.load.doubts == ()


def test_h06_twice_not_understood_is_the_check_of_the_hold(holding):
    holding.run(3)
    holding.say("blah blah")
    assert holding.say("blah blah").endswith("What does the gauge read?")
    holding.wait(400)
    assert not holding.load.holding


def test_h06_a_reading_answers_it(holding):
    holding.run(3, "blah blah", "blah blah")
    holding.bare("eleven")
    assert holding.load.holding
    assert not holding.load.doubt


@pytest.mark.parametrize(
    "said",
    [
        "the flame went out", "the burner went out", "the power is out", "the gas ran out", "i turned it off",
        "i turned it down", "it's low", "the pressure is dropping", "it's under eleven", "it's ten",
    ],
)  # fmt: skip
def test_h07_everyday_words_of_a_loss_are_understood(holding, said):
    holding.run(3, said)
    assert holding.load.doubt or not holding.load.holding
    holding.wait(400)
    assert not holding.load.holding


def test_h07_barely_boiling_is_a_lost_boil(boiling):
    boiling.say("it's barely boiling")
    assert not boiling.load.holding


def test_h07_a_weight_that_is_not_moving_is_quiet(weighted):
    weighted.say("the weight isn't moving")
    assert not weighted.load.holding


def test_h08_a_low_number_asks_for_the_weight_at_once_and_silence_loses(weighted):
    weighted.run(2)
    assert weighted.say("pressure is eight") == "Is the weight still rocking?"
    weighted.wait(120)
    assert not weighted.load.holding


def test_h09_what_was_doubted_is_told_at_the_end_at_the_count_and_at_closing(holding):
    holding.run(5, "heat is off", "> no")
    told = "On record with it: heat off was reported, and answered with a no."
    assert told in holding.wait(60 * 21)
    holding.run(
        "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 721, "seven sealed none failed"
    )
    assert told in holding.bare("yes")
    assert told in holding.say("close the load")


def test_h09_an_altitude_corrected_in_a_hold_is_told_until_it_is_closed(holding):
    holding.run(5, "my altitude is five thousand feet", "> yes")
    assert "its numbers were for other settings" in holding.wait(60 * 21)
    assert "its numbers were for other settings" in holding.say("heat is off")


def test_h10_acid_is_confirmed_before_anything_is_heated(tomatoes):
    assert "Is the acid in every jar?" in tomatoes.say("jars are in")
    assert tomatoes.load.stage == "pack"
    tomatoes.bare("yes")
    assert "acid" in tomatoes.load.checked


def test_h10_i_forgot_it_keeps_the_jars_out(tomatoes):
    tomatoes.say("jars are in")
    assert "put it in first" in tomatoes.bare("i forgot it")
    assert tomatoes.load.stage == "pack"


@pytest.mark.parametrize("said", ["the pressure is down", "the lock has dropped"])
def test_h11_whose_pressure_is_down_is_asked(both, said):
    both.run(15.2, "heat is off", 2)
    assert both.say(said) == "Which load: carrots or green beans?"
    both.wait(120)
    assert not both.kitchen.loads[0].at_zero


def test_h12_a_zero_that_comes_too_soon_is_asked_about_before_the_weight(holding):
    holding.run(26, "heat is off", 2)
    answer = holding.say("gauge is at zero")
    assert answer.endswith("Is it really at zero?")
    assert "Look again" in answer
    assert not holding.load.at_zero


def test_h13_pressure_that_rises_is_not_called_falling(holding):
    holding.run(26, "heat is off", 2, "pressure is five", 2)
    answer = holding.say("pressure is seven")
    assert "See that the heat is off" in answer
    assert "falling" not in answer


@pytest.mark.parametrize("said", ["can i open it", "can i take the weight off", "can i move it", "lid is off"])
def test_h14_it_warns_in_whatever_words_it_is_asked(holding, said):
    assert holding.run(3, said).startswith("Leave the lid on.")
    holding.say("stop listening")
    assert "Leave the lid on" in holding.say("can i open it")


def test_h15_a_jar_that_breaks_in_a_closed_canner_leaves_it_closed(holding):
    assert holding.run(3, "a jar broke").startswith("Leave it closed")
    assert holding.load.holding
    holding.run(26, "heat is off", 46, "gauge is at zero", 11)
    assert "broken glass" in holding.say("lid is off")


def test_h16_after_zero_in_a_hold_it_vents_again(holding):
    answer = holding.run(3, "pressure is zero")
    assert "Air is back in the canner, so it vents again." in answer
    holding.say("pressure is eleven")
    assert not holding.load.holding
    holding.run("steam is steady", 10.1, "weight is on", "pressure is eleven")
    assert holding.load.holding


def test_h17_after_a_day_only_throwing_out_is_offered(counting):
    counting.run("six sealed one failed", "> yes", 721)
    for asked in ("help", "where are we", "what do we do with the jar that failed"):
        answer = counting.say(asked).lower()
        assert "throw it out" in answer
        assert not {"freeze", "refrigerator", "reprocess"} & set(answer.replace(",", " ").replace(".", " ").split())


def test_h18_no_call_says_that_a_hold_ended_while_it_is_in_doubt(holding):
    holding.run(25.2, "pressure is nine")
    assert "ended" not in holding.wait(60)


def test_h19_a_canner_too_small_is_refused(make):
    small = replace(PRACTICE_KITCHEN.canners[0], capacity={"quart": 3, "pint": 3})
    cook = make(canners=(small,))
    assert "fewer than four quarts" in cook.say("start three pints of green beans raw pack")
    assert not cook.kitchen.loads


def test_h09_the_label_and_the_shelf_list_say_what_was_doubted(holding, tmp_path):
    holding.run(
        5, "heat is off", "> no", 21, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 721
    )
    holding.run("seven sealed none failed", "> yes", "close the load")
    with SqliteLog(tmp_path) as log:
        log.append(holding.events, Moment(utc=holding.t, elapsed=holding.t, boot="a"))
        book = open_logbook(tmp_path)
        assert book is not None
        with book:
            (record,) = book.shelf(None, None, None)
    assert label_lines(record, 12)[-1] == "Doubted: heat off was reported and denied, checks had no answer"
    assert "doubted: heat off" in list_line(record, holding.t, 12)


def test_h21_the_weight_is_named_in_pounds(make):
    cook = make()
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING)
    assert "Put the ten pound weight on" in cook.wait(610)


@pytest.fixture
def early(make):
    """Carrots on a weighted canner, the weight put on after seven minutes of venting."""
    cook = make()
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 7)
    answer = cook.say("weight is on")
    assert "Use a mitt. Take the weight off again only if no pressure has built." in answer
    assert "heat off, let it go to zero by itself" in answer
    return cook


@pytest.mark.parametrize("told", ["it's rocking", "weight is rocking", "pressure is five"])
def test_h22_pressure_under_an_early_weight_goes_by_itself_before_the_vent(early, told):
    answer = early.say(told)
    assert answer.startswith("Heat off. Leave the weight on until the gauge is at zero, or the lock has dropped, by")
    assert "It goes on again for the vent, once it's at zero." in early.say("heat is off")
    assert "Leave the weight on" in early.say("heat is on")
    early.say("steam is steady")
    assert not early.load.timers
    answer = early.say("it's at zero")
    assert "Use a mitt." in answer
    assert "heat on again" in answer
    early.run("heat is on", "steam is steady")
    assert early.load.timer("vent").seconds == 600


def test_h22_pressure_that_is_down_is_not_yet_at_zero(early):
    early.say("it's rocking")
    assert "Leave the weight on" in early.say("the pressure is down")
    assert "heat on again" in early.say("the lock has dropped")


@pytest.mark.parametrize("said", ["the pressure is too high", "i have pressure"])
def test_h22_vague_words_of_pressure_under_an_early_weight_count_as_well(early, said):
    early.bare(said, typed=True)
    assert early.load.step == "under_pressure"


def test_h22_the_answer_about_an_early_weight_agrees(cook):
    answer = cook.say("i put the weight on too early")
    assert "weight left on until it's at zero by itself" in answer
    assert "with a mitt, heat on again" in answer


def test_h16_a_zero_looked_at_again_leads_back_to_the_vent(holding):
    answer = holding.run(3, "pressure is zero")
    assert "looked again" in answer
    answer = holding.say("gauge is at zero")
    assert "Take the weight off again, heat on again" in answer
    assert "Leave the weight" not in answer
    assert "Take the weight off" in holding.bare("weight is off", typed=True)


@pytest.mark.parametrize("typed", [False, True])
def test_h16_a_lid_that_came_off_goes_back_on_before_the_vent(holding, typed):
    holding.run(3, "pressure is zero")
    assert holding.bare("kitchen voice lid is off", typed=typed).startswith("Leave the lid on. Pressure")
    holding.say("gauge is at zero")
    assert "Put the lid back on and lock it" in holding.bare("kitchen voice lid is off", typed=typed)


def test_h16_a_lid_off_in_a_vent_ends_it(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 3)
    assert "Put the lid back on and lock it" in cook.say("lid is off")
    assert not cook.load.timers


@pytest.mark.parametrize("said", ["it's steady now", "yes it is steady", "it is", "steam is steady", "yes"])
def test_h23_steam_that_was_asked_about_starts_the_vent(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "heat is on")
    assert "Is it a strong, steady stream" in cook.bare("steam is coming out", typed=True)
    cook.bare(said, typed=True)
    assert cook.load.timer("vent") is not None


@pytest.mark.parametrize("said", ["the gauge is bouncing around", "all good", "no"])
def test_h23_what_is_no_yes_to_steady_steam_starts_none(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "heat is on")
    cook.bare("steam is coming out", typed=True)
    cook.bare(said, typed=True)
    assert cook.load.timer("vent") is None


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("can i run cold water over it to cool it faster", "Never use cold water"),
        ("is it safe to eat if the lid is bulging", "don't taste it"),
        ("my canner is hissing", "heat off, let it go to zero"),
        ("the gauge is in the red", "Heat off"),
        ("the pressure is too high", "turn the heat down a little at a time"),
    ],
)
@pytest.mark.parametrize("typed", [False, True])
def test_h24_words_of_danger_are_answered_without_a_load_too(cook, asked, told, typed):
    assert told in cook.bare(f"kitchen voice {asked}", typed=typed)


def test_h22_what_is_told_twice_is_answered_twice(early):
    for told, order in (("it's rocking", "Leave the weight on"), ("it's at zero", "heat on again")):
        assert order in early.say(told)
        assert order in early.say(told)


def test_h04_what_was_left_as_it_was_leaves_no_note(holding):
    holding.run(5, "scratch that", "> no", 25)
    assert holding.load.processed_t is not None
    assert holding.load.remarks == ()
