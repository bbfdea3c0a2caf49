"""What may end a hold or a vent too soon: it is asked until it is settled, and nothing is called done before."""

from __future__ import annotations

import pytest

UP = (
    "the carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady", 10.1,
    "carrots weight is on",
)  # fmt: skip


@pytest.fixture
def venting(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING)
    assert cook.load.timer("vent")
    return cook


@pytest.fixture
def coming_up(cook):
    """Green beans on a dial and carrots on a weight, both coming up."""
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on", *cook.CARROTS, *UP)
    return cook


@pytest.fixture
def both(holding):
    """Green beans on a dial with fifteen minutes to go, and carrots on a weight with twenty five."""
    holding.run(*holding.CARROTS, *UP, "carrots weight is rocking")
    assert all(load.holding for load in holding.kitchen.open_loads)
    return holding


# ---------------------------------------------------------------- heat off before the end


def test_a_hold_is_not_called_done_while_it_is_asked_whether_the_heat_went_off_before(holding):
    holding.wait(60 * 24.83)
    assert holding.say("heat is off").startswith("Ten seconds of the hold still to go.")
    assert holding.wait(15) == ""
    assert holding.say("how long is left") == "That depends on your answer to my question."
    assert "starts over in full" in holding.bare("yes")
    assert "hold_done" not in holding.kinds()


def test_after_a_no_the_hold_is_called_done_at_once(holding):
    holding.run(24.83, "heat is off", 0.3)
    assert holding.bare("no").startswith("Then it counts.")
    assert holding.wait(1).startswith("Green beans. The hold is done, twenty five minutes in full.")
    assert holding.load.processed_t == holding.load.holds[-1].started_t + 25 * 60


def test_asked_again_after_the_end_it_is_the_time_before_that_counts(holding):
    holding.run(24.83, "heat is off")
    assert "Was it off before?" in holding.wait(40)
    assert holding.bare("no") == "Then it counts."
    assert "The hold is done" in holding.wait(1)


def test_without_an_answer_the_heat_counts_as_off(holding):
    holding.run(5, "heat is off")
    assert "Without a clear no it counts." in holding.wait(90)
    assert holding.load.hold.lost_t is not None


def test_a_no_to_it_is_an_answer(holding):
    holding.run(5, "heat is off", "no", 2)
    assert holding.load.holding


@pytest.mark.parametrize("word", ["cancel", "never mind", "scratch that"])
@pytest.mark.parametrize("said", ["heat is off", "we lost pressure"])
def test_what_is_not_to_have_been_said_is_no_answer(both, said, word):
    both.run(1, said, word)
    assert both.said[-1].endswith("all the time, with the heat on?")
    both.wait(400)
    assert [load.holding for load in both.kitchen.open_loads] == [False, False]


@pytest.mark.parametrize("word", ["cancel", "scratch that"])
def test_it_counts_on_by_a_yes_of_each_that_it_held(both, word):
    both.run(1, "we lost pressure", word, "> yes", "> yes", 2)
    assert [load.holding for load in both.kitchen.open_loads] == [True, True]


def test_a_command_on_the_way_does_not_end_the_question(holding):
    holding.run(5, "heat is off")
    assert holding.say("set a timer for ten minutes").endswith("Is the heat off?")
    assert "starts over in full" in holding.bare("yes")


def test_heat_that_is_lit_again_was_off_meanwhile(holding):
    holding.run(5, "heat is off")
    assert "starts over in full" in holding.say("heat is on")
    assert not holding.load.holding
    assert holding.load.step == "back_dial"


def test_a_report_of_another_load_does_not_end_the_question(both):
    both.run(1, "the green beans heat is off")
    assert both.say("carrots weight is rocking").endswith("Is the heat off?")
    both.bare("yes")
    assert [load.holding for load in both.kitchen.open_loads] == [False, True]


# ---------------------------------------------------------------- whose loss it is


@pytest.mark.parametrize("word", ["set a timer for ten minutes", "how many jars", "stop listening"])
def test_a_loss_that_nobody_places_counts_for_each_whatever_is_said_meanwhile(both, word):
    both.run(5)
    assert both.say("we lost pressure") == "Which load: green beans or carrots?"
    both.run(word, 2)
    assert not any(load.holding for load in both.kitchen.open_loads)


def test_a_hold_is_not_called_done_while_it_is_asked_whose_pressure_is_lost(both):
    both.run(14.7, "we lost pressure")
    assert "The hold is done" not in both.wait(30)
    assert "has stopped, and starts over in full" in both.bare("green beans")


def test_steam_that_is_asked_for_is_not_forgotten_over_a_timer(venting):
    venting.run(4, "no steady steam")
    assert venting.say("set a timer for five minutes").endswith("Is the steam steady?")
    assert "The vent is broken off" in venting.wait(120)


@pytest.mark.parametrize("name", ["the carrots", "canner two"])
def test_the_load_just_named_gets_the_report_whatever_its_gauge(coming_up, name):
    coming_up.say(name)
    assert coming_up.say("pressure is eleven").startswith("Carrots. Eleven. On this canner the weight tells.")


def test_a_loss_is_of_the_load_just_named(both):
    both.run(1, "canner two")
    assert both.say("we lost pressure").startswith("Carrots. Below the target")
    assert [load.holding for load in both.kitchen.open_loads] == [True, False]


def test_a_loss_is_not_of_a_load_whose_time_is_up(both):
    """A canner that is still on the heat can lose pressure, whatever it means there."""
    both.run(17, "got it")
    assert both.say("we lost pressure") == "Which load: green beans or carrots?"
    assert both.bare("carrots").startswith("Carrots. Below the target")


def test_a_number_below_the_target_can_be_of_any_canner(both):
    assert both.run(1, "the pressure dropped to nine") == "Which load: green beans or carrots?"
    assert both.bare("carrots").startswith("Carrots. Is the weight still rocking?")
    assert both.bare("no").startswith("Carrots. A quiet weight")
    assert [load.holding for load in both.kitchen.open_loads] == [True, False]


def test_a_question_after_a_loss_is_of_the_load_that_lost_it(both):
    both.run(1, "the pressure dropped to nine", "> green beans")
    assert both.say("why").startswith("Green beans. After any drop")
    assert both.say("what pressure do i need").startswith("Green beans. The target is eleven pounds")


def test_a_check_of_minutes_ago_takes_no_report_of_another_load(make):
    cook = make()
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING, 2.1)
    assert cook.conversation.open_question(cook.t) is not None
    cook.run(4, *cook.CARROTS, *UP)
    cook.run("carrots weight is rocking", "the green beans pressure dropped to nine", 5)
    assert cook.say("pressure is eleven") == "Which load: green beans or carrots?"
    assert cook.bare("green beans").startswith("Green beans. Eleven. The hold starts over now")


def test_it_dropped_answers_what_the_gauge_reads(holding):
    assert "gauge read" in holding.wait(125)
    assert holding.bare("it dropped to nine").startswith("Green beans. Nine is below")


@pytest.fixture
def both_venting(venting):
    """Green beans on a dial and carrots on a weight, both two minutes into the vent."""
    venting.run(*venting.CARROTS, *UP[:4], 2)
    assert all(load.timer("vent") for load in venting.kitchen.open_loads)
    return venting


def test_steam_that_stopped_on_one_of_two_is_of_the_one_that_is_named(both_venting):
    assert both_venting.say("the steam stopped") == "Which load: green beans or carrots?"
    assert both_venting.bare("carrots").startswith("Carrots. The vent is broken off")
    assert [bool(load.timer("vent")) for load in both_venting.kitchen.open_loads] == [True, False]
    assert both_venting.kitchen.doubts == ()


def test_a_no_to_which_load_names_none_and_is_asked_again(both_venting):
    both_venting.say("the steam stopped")
    assert both_venting.bare("no") == "Say which one it is, or neither. Which load: green beans or carrots?"
    assert all(load.doubt for load in both_venting.kitchen.open_loads)
    both_venting.bare("carrots")
    assert [bool(load.timer("vent")) for load in both_venting.kitchen.open_loads] == [True, False]


def test_a_no_to_which_load_closes_a_question_about_no_loss(two):
    assert two.say("jars are in") == "Which load: green beans or carrots?"
    assert two.bare("no") == "Left as it was."
    assert two.conversation.open_question(two.t) is None
    assert two.wait(60) == ""
    assert two.bare("carrots") == ""
    assert {load.stage for load in two.kitchen.open_loads} == {"pack"}


# ---------------------------------------------------------------- the pressure is down


def test_pressure_that_is_down_in_a_hold_is_lost(holding):
    assert holding.run(5, "the pressure is down").startswith("Green beans. Below the target, so the hold has stopped")


def test_beside_a_canner_that_cools_it_is_asked_whose_pressure_is_down(both):
    both.run(15.2, "heat is off", 1)
    assert both.say("the pressure is down") == "Which load: carrots or green beans?"
    assert both.bare("carrots").startswith("Carrots. Below the target")


def test_nobody_says_whose_pressure_is_down_and_no_lid_comes_off_by_it(both):
    both.run(15.2, "heat is off", 1, "the pressure is down", 2)
    beans, carrots = both.kitchen.open_loads
    assert not beans.at_zero
    assert not carrots.holding


def test_a_gauge_at_zero_is_of_the_canner_that_cools(both):
    both.run(15.2, "heat is off", 20)
    assert both.say("gauge is at zero").startswith("Green beans. Zero after twenty minutes?")


def test_no_pressure_at_all_ends_the_hold_of_a_weight_too(make):
    cook = make()
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "weight is on", "weight is rocking")
    assert cook.run(3, "pressure is zero").startswith("Carrots. Zero is below ten pounds pressure.")


# ---------------------------------------------------------------- taking back what much hangs on


def test_a_loss_of_long_ago_is_taken_back_only_if_it_held(holding):
    holding.run(5, "the pressure dropped to nine", 2)
    assert holding.say("scratch that").endswith("at eleven or above all the time, with the heat on?")
    assert holding.bare("no").startswith("Green beans. Then it didn't hold the whole time")
    assert not holding.load.holding


@pytest.mark.parametrize("how", ["scratch that", "> no"])
def test_a_loss_that_was_just_heard_wrong_counts_on_if_it_held(holding, how):
    holding.run(5, "the pressure dropped to nine")
    assert "Taken back: pressure dropped. Was the pressure" in holding.run(how)
    assert holding.bare("yes") == "It counts on. Twenty minutes to go."
    assert holding.load.holding


def test_what_a_hold_counts_from_is_taken_back_only_after_a_yes(holding):
    holding.wait(60 * 24)
    assert holding.say("scratch that").endswith("starts over in full. Take it back?")
    assert holding.bare("no") == "Left as it was."
    assert holding.load.holding


def test_steam_that_stopped_long_ago_is_taken_back_only_if_it_was_steady(venting):
    venting.run(3, "the steam stopped", 2)
    assert venting.say("scratch that").endswith("Was the steam steady all the time, with the heat on?")


def test_never_mind_after_a_loss_says_that_it_stands(holding):
    holding.run(5, "the pressure dropped to nine")
    assert holding.say("never mind") == "Then it stands."
    assert not holding.load.holding


# ---------------------------------------------------------------- asked beside it


@pytest.mark.parametrize(
    "line",
    [
        "it let up", "it's taking a break", "it's on a break", "can't keep it up", "won't stay up", "it won't stay up",
        "i can't keep it up there", "i'm fighting to keep it up there", "it's cooling", "it died", "it paused",
        "it went quiet", "carrots are quiet", "the carrots are quiet", "quiet now", "so quiet", "it's too quiet",
        "no noise", "there's no noise", "no more noise", "not so loud anymore", "i can't hear it anymore",
    ],
)  # fmt: skip
def test_what_may_be_less_of_a_weight_is_asked_and_no_word_to_us(cook, line):
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "weight is on", "weight is rocking")
    assert cook.bare(line, typed=True) == "Is the weight still rocking?"
    assert cook.load.doubt


@pytest.mark.parametrize("line", ["quiet", "be quiet", "you're too quiet", "speak louder", "not so loud", "slower"])
def test_a_word_to_us_is_no_loss(both, line):
    assert "rocking" not in both.bare(line, typed=True)
    assert [load.doubts + load.kept for load in both.kitchen.open_loads] == [(), ()]


@pytest.mark.parametrize("asked", ["how long for quarts of green beans", "what pressure for quarts of green beans"])
def test_another_jar_than_that_of_the_load_is_looked_up(cook, asked):
    cook.run("start nine pints of green beans raw pack", "> yes")
    answer = cook.say(asked)
    assert answer.startswith("Quarts of green beans, raw pack")
    assert "wenty five minutes at eleven pounds" in answer


def test_a_load_that_is_not_there_is_not_taken_for_none(holding):
    assert holding.say("how long is left on load two") == "I have no such load. I have green beans."


def test_what_was_reported_is_told_beside_the_target(holding):
    holding.run(5, "the pressure dropped to nine", 1.1)
    assert holding.say("what's the pressure").endswith("One minute ago you reported nine.")


def test_a_vent_that_nearly_ran_its_time_is_not_said_to_have_run_it(venting):
    assert "ran only nine and a half minutes" in venting.run(9.8, "weight is on")


def test_a_hold_that_waits_is_said_again_after_its_call_was_answered(holding):
    holding.run(5, "the pressure dropped to nine", "got it")
    assert holding.wait(700).startswith("Not reported yet. Turn the heat up gently.")


# ---------------------------------------------------------------- asked once, and settled once


def test_a_report_said_twice_is_asked_about_once(holding):
    holding.run(5, "heat is off", "heat is off")
    assert holding.bare("no") == "Then it goes on. Twenty minutes of the hold left."
    holding.wait(120)
    assert holding.load.holding


def test_a_setting_changed_over_it_does_not_ask_twice(holding):
    holding.run(5, "heat is off", "my altitude is five thousand feet", "> yes")
    assert holding.bare("no").startswith("Then it goes on.")
    holding.wait(120)
    assert holding.load.holding


def test_whose_heat_is_off_is_asked_once(both):
    both.run(1, "heat is off", "heat is off", "> carrots", "> yes")
    assert "Which load" not in both.wait(120)
    assert [load.holding for load in both.kitchen.open_loads] == [True, False]


@pytest.mark.parametrize(
    ("said", "named", "holds"),
    [
        ("heat is off", "carrots heat is off", [True, False]),
        ("pressure dropped", "the green beans pressure dropped", [False, True]),
        ("we lost pressure", "carrots weight stopped rocking", [True, False]),
    ],
)
def test_a_whole_sentence_with_the_name_answers_which_load(both, said, named, holds):
    both.run(1)
    assert "Which load" in both.say(said)
    both.run(named, "> yes", 2)
    assert [load.holding for load in both.kitchen.open_loads] == holds


def test_heat_that_is_on_does_not_wipe_out_whose_it_was(both):
    both.run(1, "heat is off", "heat is on", 3)
    assert not any(load.holding for load in both.kitchen.open_loads)


def test_heat_that_went_off_is_not_forgotten_over_a_drop(holding):
    holding.run(5, "heat is off")
    assert "Turn the heat on again" in holding.say("pressure dropped to nine")
    holding.run("> yes", "pressure is twelve")
    assert not holding.load.holding


def test_a_fall_that_is_reported_after_a_gap_is_a_loss(holding):
    holding.run(10)
    assert "at eleven or above all the time" in holding.cut(120)
    assert "Nine is below eleven" in holding.say("pressure is nine")
    assert not holding.load.holding


def test_steam_that_was_denied_is_not_made_steady_by_a_scratch(venting):
    venting.run(8, "no steady steam")
    assert "The vent is broken off" in venting.say("scratch that")


def test_after_steam_that_stopped_nobody_asks_whether_it_is_steady(venting):
    venting.run(4, "no steady steam")
    assert "Is the steam steady?" not in venting.say("steam stopped")


@pytest.mark.parametrize(("answer", "stage"), [("yes", "come_up"), ("no", "vent")])
def test_a_weight_put_on_over_the_question_waits_for_its_answer(venting, answer, stage):
    venting.run(9.9, "no steady steam", 0.2)
    assert venting.say("weight is on") == "Is the steam steady?"
    venting.bare(answer)
    assert venting.load.stage == stage


def test_asleep_a_gap_is_not_left_open(holding):
    holding.run(10)
    holding.cut(120)
    assert "starts over in full" in holding.say("stop listening")
    assert not holding.load.holding


CONFESSED = "i have to confess it dropped to eight in the middle there"


@pytest.mark.parametrize(
    ("answer", "held"),
    [
        ("yes", False),
        ("yes it did", False),
        ("yes at nine", False),
        ("i don't know", False),
        ("no", True),
        ("no it never dropped", True),
        ("it stayed at eleven the whole time", True),
    ],
)
def test_a_loss_told_in_strange_words_is_asked_about_as_it_was_told(holding, answer, held):
    assert holding.bare(CONFESSED, typed=True).endswith("Was the pressure below eleven, or the heat off, at any time?")
    holding.bare(answer, typed=True)
    holding.wait(400)
    assert holding.load.holding is held


def test_a_reading_answers_what_heat_turned_down_has_done(holding):
    holding.bare("turned it down a touch", typed=True)
    holding.wait(60)
    assert holding.bare("pressure is eleven", typed=True).startswith("Eleven.")
    assert not holding.load.doubts


def test_what_is_not_understood_over_a_count_reads_it_back_again(counting):
    counting.say("seven sealed")
    assert counting.bare("no wait there are only six", typed=True).endswith("Seven sealed, none failed. Is that right?")


@pytest.mark.parametrize("said", ["how much longer, oh it's at ten", "how long is left, it's nine"])
def test_what_is_asked_beside_a_report_is_answered_after_it(holding, said):
    told = holding.bare(said, typed=True)
    assert not holding.load.holding
    assert "The hold isn't running." in told and "of hold left" not in told


def test_a_reading_that_was_is_none_that_is(holding):
    holding.wait(90)
    told = holding.bare("it was at fifteen so i turned it down too far", typed=True)
    assert "Lower the heat" not in told
    assert holding.load.doubted("in_question") and "pressure_low" not in holding.kinds()


@pytest.mark.parametrize("said", ["it's at, hang on, is ten okay", "would ten be alright", "argh, nine"])
def test_a_number_too_low_that_is_asked_about_or_cried_out_is_a_doubt(holding, said):
    holding.bare(said, typed=True)
    assert holding.load.doubted("pressure_low") or not holding.load.holding


def test_a_number_high_enough_that_is_asked_about_leaves_the_hold_alone(holding):
    holding.bare("is twelve okay", typed=True)
    assert holding.load.holding and not holding.load.doubts


def test_a_burner_knocked_down_is_asked_about_and_no_emergency(holding):
    told = holding.bare("knocked it down to low", typed=True)
    assert told == "What does the gauge read?"
    assert holding.load.doubted("unheard") and "fault" not in holding.kinds()
    holding.wait(1800)
    assert holding.load.processed_t is None


def test_a_lid_off_after_a_lost_hold_at_zero_is_not_told_that_nobody_reported_zero(holding):
    holding.run("pressure dropped", "heat is off", 50, "gauge is at zero", 10)
    told = holding.say("lid is off")
    assert told.startswith("Leave the lid on. Pressure was reported at zero before")


@pytest.mark.parametrize("said", ["lots of bubbles coming up", "I see big bubbles", "the kids are blowing bubbles"])
def test_bubbles_that_are_there_are_no_loss(boiling, said):
    boiling.bare(said, typed=True)
    assert not boiling.load.doubts


@pytest.mark.parametrize("said", ["the bubbles stopped for a bit", "the bubbles have kind of died down"])
def test_bubbles_that_stop_are_a_boil_that_is_asked_about(boiling, said):
    assert boiling.bare(said, typed=True).endswith("Did the boil stop, or was the heat off, at any time?")
