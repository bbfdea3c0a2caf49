"""Words that weren't understood: asked about at once, kept until they are settled, and no end of a zero or a hold."""

from __future__ import annotations

import pytest

KITCHEN_TALK = (
    "how many jars was it", "let me get my glasses", "that was quick", "they look good", "it's hot in here",
    "mind the steam honey", "one at a time now", "should i wipe 'em dry", "all seven", "okay i'm opening it",
    "i've got enough beans for another seven quarts", "they're out, all seven, on a towel", "i'm taking it off now",
    "the kids want lunch", "i'll wait", "there's the doorbell", "it's off", "one leaked a bit", "my hands are wet",
)  # fmt: skip
SIGNS = (
    "the needle moved", "it's at two", "no it isn't", "there's still some pressure", "two", "it jumped back up",
    "the lock is up again", "steam is coming out", "not yet", "it's still up", "nope", "it reads one", "it's spitting",
    "still a bit left", "it won't open", "the weight is jiggling", "the burner is still on", "why is it still hissing",
)  # fmt: skip
BESIDE = (
    "eleven, hardly",
    "eleven, though the weight's off",
    "pressure is eleven, as if",
    "pressure is eleven, so they say",
)
CORN = "it may be that corn got in there"


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("said", [*KITCHEN_TALK, *SIGNS])
def test_a_zero_outlives_kitchen_talk_and_no_sign_of_pressure(holding, said):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11)
    typed(holding, said)
    assert (holding.load.at_zero or holding.load.lid_off) is (said in KITCHEN_TALK)


@pytest.mark.parametrize(("answer", "held"), [("yes", True), ("no", False)])
def test_heat_that_goes_off_once_the_time_is_up_is_no_loss(holding, answer, held):
    typed(holding, CORN)
    holding.run(25.2)
    assert typed(holding, "heat is off").startswith("Heat is off.")
    assert typed(holding, "it's at nine").startswith("Heat is off.")  # it only cools
    assert holding.load.doubt
    typed(holding, answer)
    holding.wait(1)
    assert holding.load.stage == "cool"
    assert bool(holding.load.unfit) is not held
    assert holding.replayed() == holding.kitchen


def test_heat_that_was_off_before_the_time_was_up_is_asked_about(holding):
    typed(holding, CORN)
    holding.run(25.2)
    typed(holding, "i turned it off a while ago")
    typed(holding, "yes")
    assert holding.load.doubted("in_question") is not None


@pytest.mark.parametrize("answer", ["no", "i wasn't talking to you", "yes"])
def test_what_was_not_understood_is_asked_about_at_once(holding, answer):
    assert typed(holding, "there was a strange thud").endswith("Was that about this load?")
    asked = typed(holding, answer)
    assert asked == "All right." or (answer == "yes" and asked.startswith("You said: there was a strange"))
    assert bool(holding.load.doubts or holding.load.kept) is (answer == "yes")


@pytest.mark.parametrize(
    "said",
    ["my cousin collects old jars", "we still need helpers for friday", "the beans came up early this spring"],
)
def test_a_mere_name_or_word_of_a_loss_in_talk_that_tells_nothing_is_not_asked_about(holding, said):
    typed(holding, said)
    assert not (holding.load.doubts or holding.load.kept)


@pytest.mark.parametrize("said", BESIDE)
def test_beside_a_report_that_starts_the_time_only_filler_is_left_out(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on")
    typed(cook, said)
    assert cook.load.stage == "come_up"


def test_words_that_were_not_for_it_settle_what_is_asked_about_them_in_the_end(holding):
    typed(holding, "there was a strange thud")
    typed(holding, "yes")
    typed(holding, "i wasn't talking to you")
    assert not holding.load.doubts
    assert not holding.load.kept


def test_of_many_words_the_first_are_said_back_and_a_repeat_is_the_question_alone(holding):
    for said in ("some jars look cloudy to me", "the jar on the left looks odd", "a jar may be tilted"):
        typed(holding, said)
    holding.run("pressure is eleven")
    at_end = holding.run(6, "pressure is eleven", 6, "pressure is eleven", 6, "pressure is eleven", 8)
    first, _, again = at_end.partition("The time is up by the clock, but you said: ")[2].partition(", and more. ")
    assert first == "some jars look cloudy to me"
    assert again.count("Are they all quarts") == 2
    assert "cloudy" not in again


def test_steam_that_is_weak_in_a_hold_asks_after_its_vent(holding):
    assert typed(holding, "the steam is weak").startswith("Did it vent ten minutes in full")
    assert holding.load.holding
    typed(holding, "no")
    assert not holding.load.holding


def test_a_second_miss_over_a_question_about_the_stove_is_asked_once(holding):
    holding.wait(2.1)
    typed(holding, "the moon is made of cheese")
    assert typed(holding, "the moon is made of cheese").count("What does the gauge read?") == 1


def test_several_questions_rest_longer_each_time_before_they_are_asked_again(holding):
    typed(holding, "some jars look cloudy to me")
    holding.run("pressure is eleven")
    typed(holding, "there was a strange thud")
    at_end = holding.run(6, "pressure is eleven", 6, "pressure is eleven", 6, "pressure is eleven", 8, 20)
    assert {each.kind for each in holding.load.doubts} == {"of_jars", "unexplained"}
    assert 8 < at_end.count("?") < 20


@pytest.mark.parametrize(
    ("said", "held"),
    [
        ("yes it held the whole time", True),
        ("it never dropped", True),
        ("yes dear, all along", False),
        ("yes but only just", False),
        ("yes, it was at nine", False),
        ("it was low the whole time", False),
    ],
)
def test_a_yes_with_more_of_the_same_is_a_yes_and_no_other_is(holding, said, held):
    typed(holding, "the needle was all over the place")
    assert holding.load.doubt
    typed(holding, said)
    assert (holding.load.holding and not holding.load.doubt) is held


@pytest.mark.parametrize(
    "said", ["no hang on, it's at three", "oh no it's at three", "the burner's still on", "yes well above the pin"]
)
def test_a_zero_that_is_contradicted_is_asked_about_anew(holding, said):
    holding.run(26, "heat is off", 10, "gauge is at zero")
    typed(holding, said)
    assert not typed(holding, "yes").startswith("Pressure at zero")
    assert not holding.load.at_zero


def test_what_is_told_of_the_canner_before_the_hold_is_asked_about_as_a_fault(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    typed(cook, "that rubber plug leaked so i jammed a toothpick in it")
    assert [each.kind for each in cook.load.kept] == ["of_fault"]


@pytest.mark.parametrize("said", ["i used the five pound weight", "it has the wrong weight on"])
def test_another_weight_is_asked_about_where_the_weight_tells_the_pressure(weighted, said):
    typed(weighted, said)
    kinds = {each.kind for each in (*weighted.load.kept, *weighted.load.doubts)}
    assert "of_weight" in kinds


def test_talk_of_a_sister_on_the_phone_takes_nothing_back(holding):
    seq = holding.talk.last_seq
    typed(holding, "my sister's on the phone")
    assert holding.talk.last_seq == seq
    assert holding.talk.question is None or holding.talk.question.about != "disown"


@pytest.mark.parametrize("said", ["the weight is on the counter", "the weight's still lying here"])
def test_a_weight_beside_the_canner_is_off(weighted, said):
    typed(weighted, said)
    assert not weighted.load.holding


def test_whose_failed_jar_it_is_is_asked_where_none_failed(boiling):
    out = (15.1, "heat is off", "lid is off", 5.1, "jars are out")
    boiling.run(*out, *boiling.SAUCE, *boiling.LOADED, "done", "heat is on", "full boil", *out, 750)
    boiling.run("load one all sealed", "> yes", "load two all sealed", "> yes")
    assert [load.sealed for load in boiling.kitchen.open_loads] == [7, 7]
    assert typed(boiling, "the failed one goes in the fridge").startswith("Which load")
    assert [load.shelved for load in boiling.kitchen.open_loads] == [7, 7]


def test_what_is_no_matter_of_the_vent_does_not_keep_its_weight_off(cook):
    cook.run(*cook.BEANS, "seven jars packed")
    cook.bare("one of the bands is rusty", typed=True)
    cook.run("jars are in", "lid is locked", "steam is steady", 10.2, "weight is on", "pressure is eleven")
    assert cook.load.holding
    assert "whole and with their lids on" in cook.wait(1560)
    assert not cook.load.processed_t


@pytest.mark.parametrize("question", ["do i put the weight on yet", "where did i put that weight"])
def test_a_question_of_where_and_whether_is_no_statement(cook, question):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked")
    cook.bare(question, typed=True)
    assert not (cook.load.kept or cook.load.doubts)


@pytest.mark.parametrize(("answer", "goes_on"), [("yes it did", True), ("yes", True), ("no", False)])
def test_a_weight_put_on_over_the_question_about_the_vent_counts_with_a_yes(cook, answer, goes_on):
    cook.run(*cook.BEANS)
    cook.bare("all good with the canner", typed=True)
    cook.run(*cook.LOADED, "lid is locked", "steam is steady", 10.1)
    assert "Did it vent ten minutes in full" in cook.said[-1]
    assert cook.bare("weight's on", typed=True).endswith(
        "Did it vent ten minutes in full, in steady steam, with the weight off?"
    )
    cook.bare(answer, typed=True)
    assert (cook.load.stage == "come_up") is goes_on


@pytest.mark.parametrize(
    ("said", "doubted"),
    [
        ("the kettle's gone off the boil", False),
        ("the kettle boiled over", False),
        ("the pot's gone off the boil", True),
        ("it's gone off the boil", True),
        ("that's alright isn't it", False),
        ("it dropped, didn't it", True),
        ("temperature's dropped outside, it's eight degrees now", False),
        ("the temperature's dropped", True),
        ("it hasn't, i'm just asking", False),
        ("it dropped to nine, i'm just asking", True),
        ("the lights went out", True),
    ],
)
def test_words_of_a_loss_put_a_hold_in_question_where_they_are_of_the_canner(holding, said, doubted):
    typed(holding, "what happens if the pressure drops")
    typed(holding, said)
    assert bool(holding.load.doubts or not holding.load.holding) is doubted


def test_where_a_boil_is_watched_a_kettle_may_be_the_canner(boiling):
    typed(boiling, "the kettle's gone off the boil")
    assert boiling.load.hold.lost_t is not None


@pytest.mark.parametrize(
    ("said", "goes_on"),
    [
        ("yes and i've put the kettle on too", True),
        ("yes, and the kids are in the garden", True),
        ("yes and i've put the oven on", True),
        ("yes but the lights went out", False),
        ("yes and i added some salt", False),
        ("yes but slowly", False),
    ],
)
def test_a_yes_beside_talk_of_the_house_is_one_and_leaves_nothing_to_ask(boiling, said, goes_on):
    boiling.wait(460)
    assert boiling.talk.question.kind == "check"
    told = typed(boiling, said)
    assert told.startswith("Boiling.") is goes_on
    assert bool(boiling.load.kept or boiling.load.doubts) is not goes_on


@pytest.mark.parametrize("said", ["all good bar one", "every one bar one sealed", "all of them sealed apart from one"])
def test_all_but_some_is_a_count_in_whatever_words(counting, said):
    assert typed(counting, said) == "Six sealed, one failed. Is that right?"


@pytest.mark.parametrize("said", [
    "oh I've got the five on there", "I've got the five on it", "this is the five pounder on here",
    "oh I've got the fifteen on there", "it's missing one of its rings", "we put the five pounder on",
    "I think the fifteen is on", "that's the little five on there", "I only see one ring on it",
])  # fmt: skip
def test_another_weight_told_in_a_hold_is_asked_about_at_once(weighted, said):
    assert typed(weighted, said).endswith("Is it the ten pound weight?")
    weighted.wait(60 * 26)
    assert weighted.load.processed_t is None


def test_another_weight_is_not_lost_over_a_question_of_which_it_is(weighted):
    typed(weighted, "what weight did I need again")
    typed(weighted, "oh I've got the fifteen on there")
    weighted.wait(60 * 26)
    assert weighted.load.processed_t is None


@pytest.mark.parametrize("said", [
    "I've got five jars left over", "the other five are on the counter", "I've got the ten on it",
    "I've got the five o'clock news on", "I need to put the radio on", "do I need the five on it",
])  # fmt: skip
def test_what_names_no_other_weight_asks_of_none(weighted, said):
    assert "pound weight?" not in typed(weighted, said)


def test_who_was_away_is_asked_what_it_reads_and_at_the_end_whether_it_held(holding):
    said = holding.bare("i was out of the room", typed=True)
    assert said == "You said: i was out of the room. What does the gauge read?"
    holding.bare("gauge says eleven", typed=True)
    assert holding.load.claims
    assert [doubt.kind for doubt in holding.load.kept] == ["in_question"]
