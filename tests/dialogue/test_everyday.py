"""Everyday words, typed: what means a loss is never taken for less, and what isn't sure is asked back."""

from __future__ import annotations

import pytest

from .conftest import typed


@pytest.fixture
def packing(cook):
    cook.run(*cook.BEANS, "two jars packed")
    return cook


@pytest.fixture
def cooling(holding):
    holding.run(26, "heat is off", 10)
    assert holding.load.stage == "cool"
    return holding


@pytest.mark.parametrize(
    ("said", "packed"),
    [
        ("okay, that's four now", 4),
        ("five so far", 5),
        ("make that six", 6),
        ("no, five", 5),
        ("six, I mean seven", 7),
        ("all of them are filled", 7),
        ("all but one are filled", 6),
        ("two more", 4),
        ("um, just got one more", 3),
    ],
)
def test_jars_are_counted_in_all_or_one_by_one(packing, said, packed):
    typed(packing, said)
    assert packing.load.packed == packed


def test_fewer_jars_than_before_want_a_yes(packing):
    typed(packing, "one jar done")
    assert packing.load.packed == 2
    typed(packing, "yes")
    assert packing.load.packed == 1


@pytest.mark.parametrize(
    "said", ["it's pints not quarts", "I meant pints", "it's hot pack", "it's carrots not green beans"]
)
def test_another_jar_pack_or_food_is_another_load(packing, said):
    old = packing.load.id
    typed(packing, said)
    assert packing.load.id == old
    assert packing.load.stage == "pack"
    typed(packing, "yes")
    assert "load_given_up" in packing.kinds()
    assert packing.talk.question is not None
    assert packing.talk.question.about == "load_start"


@pytest.mark.parametrize(
    "said",
    [
        "it dipped below eleven",
        "almost eleven",
        "a hair under eleven",
        "looks like it's at ten",
        "it was at nine for a second",
        "I think it dropped a little",
        "the needle fell to nine",
        "maybe about ten",
        "it's slipping",
        "it's at zero I think",
    ],
)
def test_a_fall_counts_however_it_is_said(holding, said):
    typed(holding, said)
    assert holding.load.hold.lost_t is not None


@pytest.mark.parametrize(
    "said",
    [
        "it's back up to eleven",
        "back at eleven",
        "the heat is back on",
        "my son shut off the stove",
        "the fire went out",
    ],
)
def test_what_tells_of_a_loss_before_is_a_doubt(holding, said):
    typed(holding, said)
    assert holding.load.doubts


@pytest.mark.parametrize("said", ["all good", "holding steady", "pressure is good", "looks fine", "everything is okay"])
def test_fine_is_no_reading(holding, said):
    answer = typed(holding, said)
    assert "What does the gauge read?" in answer
    assert holding.load.hold.lost_t is None


def test_a_reading_that_is_not_sure_counts_after_a_yes(holding):
    before = holding.load.last_psi_t
    holding.wait(5)
    assert "sure" in typed(holding, "I think it's about eleven")
    assert holding.load.last_psi_t == before
    typed(holding, "yes")
    assert (holding.load.last_psi, holding.load.last_psi_t > before) == (11, True)


@pytest.mark.parametrize("said", ["I think it's at zero", "it looks like it's at zero", "the lock dropped, I guess"])
def test_a_zero_that_is_not_sure_waits_for_a_yes(cooling, said):
    typed(cooling, said)
    assert not cooling.load.at_zero


@pytest.mark.parametrize(
    "said",
    [
        "it's almost at zero",
        "not at zero yet",
        "nope, still has pressure",
        "the gauge is down a bit",
        "the pressure is low",
        "is it at zero",
        "when it's at zero",
        "if it's zero",
        "the pressure's dropping",
    ],
)
def test_what_is_no_zero_is_none(cooling, said):
    typed(cooling, said)
    assert not cooling.load.at_zero


@pytest.mark.parametrize(
    "said", ["no more pressure", "all the pressure is gone", "it's zero", "the little button dropped"]
)
def test_a_zero_in_other_words(cooling, said):
    cooling.wait(2760)
    typed(cooling, said)
    assert cooling.load.at_zero


def test_steam_that_is_seen_is_not_steady_yet(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked")
    typed(cook, "we've got steam")
    assert cook.load.timer("vent") is None
    typed(cook, "yes")
    assert cook.load.timer("vent") is not None


def test_a_food_that_is_not_on_board_is_refused_by_name(cook):
    assert "dragonfruit" in typed(cook, "can i can dragonfruit")
    assert "Did you mean" in typed(cook, "can i can carots")


def test_what_is_nearly_a_question_is_answered_behind_the_question_it_is_taken_for(cook):
    said = typed(cook, "can i do a bit of corn along with the beans")
    assert said.startswith("I take that as: ") and "two foods" in said


@pytest.mark.parametrize("said", ["oh look a cardinal", "put sugar on the list", "what's the best road to town"])
def test_what_is_far_from_any_question_is_not_asked_back(holding, said):
    assert "Did you" not in typed(holding, said)


@pytest.mark.parametrize("said", ["the weight is off", "I took the weight off", "my husband took off the weight"])
def test_a_weight_that_is_taken_off_ends_the_hold(holding, said):
    typed(holding, said)
    assert holding.load.hold.lost_t is not None


def test_a_statement_that_is_near_a_question_may_be_a_loss(holding):
    typed(holding, "the gasket got a leak now")
    assert holding.load.doubts or not holding.load.holding


def test_what_is_typed_in_everyday_words_is_not_taken_by_ear(packing):
    packing.say("number four is filled")
    assert packing.load.packed == 2


@pytest.mark.parametrize("food", ["beans with bacon", "leftovers", "figs without lemon juice", "quinoa"])
def test_jars_of_what_is_not_tested_are_refused_by_name(cook, food):
    said = cook.bare(f"start seven quarts of {food}", typed=True)
    assert said.startswith(f"I have no tested process for {food}")


def test_jars_of_what_is_tested_are_not_refused(cook):
    for food in ("green beans", "loganberries", "kraut", "peaches in light syrup"):
        assert cook.bare(f"start seven quarts of {food}", typed=True) == "Raw pack or hot pack?"
        cook.bare("never mind", typed=True)


def test_a_food_asked_in_a_jar_that_is_not_tested_is_not_called_tested_first(cook):
    said = cook.bare("can i can smoked fish in quarts", typed=True)
    assert said.startswith("I have no tested process for that.")
    assert "There is" not in said


def test_game_is_asked_which_meat_it_is(cook):
    assert "meat in chunks or ground meat" in cook.bare("can i can game meat", typed=True)


def test_vinegar_for_tomatoes_is_told_in_its_own_amount(cook):
    assert "four tablespoons" in cook.bare("how much vinegar for tomatoes", typed=True)
    assert "four tablespoons" not in cook.bare("how much lemon juice for tomatoes", typed=True)


@pytest.mark.parametrize("said", ["it's boiling again", "full boil again", "we're back at a full boil"])
def test_a_boil_that_is_back_starts_over_and_one_that_counts_is_asked_about(boiling, said):
    assert boiling.bare(said, typed=True) == "Was the boil lost here?"
    boiling.bare("no", typed=True)
    boiling.bare("the boil stopped", typed=True)
    assert "starts over now, in full" in boiling.bare(said, typed=True)
    assert boiling.load.holding


TOMATOES = ("start seven pints of crushed tomatoes hot pack", "> boiling water", "> yes")


@pytest.mark.parametrize(
    ("before", "said", "asked"),
    [
        (TOMATOES, "water is in", "Jar check."),
        (TOMATOES, "jars look fine", "Salt if you like it"),
        ((*TOMATOES, "clear"), "the lemon juice is in every jar", "All right. Jar check."),
        ((*TOMATOES, *("clear",) * 5), "every jar has the lemon juice", "Fill each jar"),
        ((*TOMATOES, *("clear",) * 5), "i put one tablespoon of lemon juice in each jar", "All right. Acid"),
        ((*TOMATOES, *("clear",) * 2), "every jar has the lemon juice", "All right. Salt if you like it"),
    ],
)  # fmt: skip
def test_what_is_told_passes_its_step_and_those_before_it_that_want_no_word(cook, before, said, asked):
    cook.run(*before)
    assert cook.bare(said, typed=True).startswith(asked)


def test_two_foods_in_one_jar_begin_neither(cook):
    cook.bare("seven quarts of carrots with peas", typed=True)
    assert cook.talk.question is None or cook.talk.question.kind != "form"


TO_CANNER = ("seven jars packed", "jars are in")


@pytest.mark.parametrize(
    "said",
    [
        "the lid's on but not locked down yet",
        "lid's on but I haven't clamped it",
        "I put the cover on, not latched yet",
    ],
)
def test_a_lid_that_is_only_on_is_not_locked(cook, said):
    cook.run(*cook.BEANS, *TO_CANNER)
    step = cook.load.step
    typed(cook, said)
    assert cook.load.step == step


@pytest.mark.parametrize(
    "said",
    ["the steam cut out for a second", "it's down to a trickle", "it's sputtering a bit", "just a few wisps of steam"],
)
def test_a_vent_that_weakens_starts_over(cook, said):
    cook.run(*cook.BEANS, *TO_CANNER, "lid is locked", "steam is steady", 3)
    typed(cook, said)
    assert cook.load.timer("vent") is None


@pytest.mark.parametrize(
    "said", ["just little puffs so far", "it's starting to spit a little", "steam is dribbling out"]
)
def test_puffs_start_no_vent(cook, said):
    cook.run(*cook.BEANS, *TO_CANNER, "lid is locked")
    typed(cook, said)
    assert cook.load.timer("vent") is None and cook.talk.question is None


@pytest.mark.parametrize("said", ["it went up to twelve and now it's dropping", "it's creeping toward eleven"])
def test_a_pressure_on_its_way_starts_no_hold(cook, said):
    cook.run(*cook.BEANS, *TO_CANNER, "lid is locked", "steam is steady", 10.1, "weight is on")
    typed(cook, said)
    assert cook.load.stage == "come_up"


def test_a_pressure_held_all_along_is_a_reading_and_one_below_the_target_a_loss(holding):
    left = typed(holding, "it's been right at eleven the whole time")
    assert left.startswith("Eleven") and holding.load.hold.lost_t is None
    typed(holding, "it's been at ten the whole time")
    assert holding.load.hold.lost_t is not None


def test_a_number_in_there_is_of_jars_by_the_plural_alone(holding):
    assert "when they come out" in typed(holding, "there are six in there, not seven")
    typed(holding, "it's ten in there")
    assert holding.load.hold.lost_t is not None


def test_two_parts_of_the_gear_ask_for_the_third(cook):
    cook.run(*cook.BEANS)
    assert "If the rack is in too" in typed(cook, "pipe and gasket yes, still hunting for the rack")
    assert cook.load.step == "canner_check"


@pytest.mark.parametrize(
    ("said", "counted"),
    [
        ("two flexed when I pressed", "Zero sealed and two failed"),
        ("one of the seven failed", "Six sealed, one failed"),
        ("three clicked", "Three sealed and zero failed"),
        ("nope, none of them failed", "Seven sealed, none failed"),
    ],
)
def test_lids_that_give_have_failed(counting, said, counted):
    assert counted in typed(counting, said)


def test_the_canner_check_is_done_when_each_of_its_parts_was_told(cook):
    cook.say("start seven quarts of green beans raw pack in canner one")
    cook.say("yes")
    assert "If the gasket is sound too" in cook.bare("rack's in and the vent pipe is clear", typed=True)
    assert cook.load.step == "canner_check"
    cook.bare("the gasket is good", typed=True)
    assert cook.load.step == "water"


def test_a_part_that_is_told_twice_is_no_other_part(cook):
    cook.say("start seven quarts of green beans raw pack in canner one")
    cook.say("yes")
    for _ in range(3):
        assert "If the vent pipe is clear and the rack in" in cook.bare("the gasket is sound", typed=True)
    cook.bare("the vent pipe is blocked", typed=True)
    cook.bare("the rack is in", typed=True)
    assert cook.load.step == "canner_check"


@pytest.mark.parametrize("said", ["okay", "ok", "all right"])
def test_a_small_word_answers_no_question_that_a_hold_hangs_on(holding, said):
    typed(holding, "somebody fiddled with the burner")
    assert typed(holding, said) == "Was the pressure below eleven, or the heat off, at any time?"
    assert holding.load.doubts


def test_a_pot_without_a_name_is_told_by_what_is_in_it(boiling):
    assert typed(boiling, "what is in the canner") == "That's what I have: apple sauce, hot pack, in pints."


@pytest.mark.parametrize(
    "asked",
    ["how many pints of mushrooms will 15 pounds make", "how many pints of mushrooms can i get from 15 pounds"],
)
def test_a_yield_may_be_asked_with_the_food_first(cook, asked):
    assert cook.bare(asked, typed=True).startswith("Fifteen pounds of mushrooms will make seven to nine pints")


@pytest.mark.parametrize("said", ["ok", "okay", "alright", "okay then"])
def test_an_okay_ends_no_check_and_hears_what_does(cook, said):
    cook.run(*cook.BEANS)
    step = cook.load.step
    assert cook.bare(said, typed=True) == "When it is, say clear or done."
    assert cook.load.step == step
    assert "inches of hot water" in cook.bare("clear", typed=True)
