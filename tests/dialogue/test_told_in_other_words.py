"""What is told in other words is asked by its value, and before a time starts: acid, gauge and altitude."""

from __future__ import annotations

import pytest

TOMATOES = ("start seven quarts of crushed tomatoes hot pack boiling water", "> yes", "clear", "seven jars packed")
AMOUNT = "Two tablespoons of bottled lemon juice or a half teaspoon of citric acid to a jar"
OF_ACID = (
    "i put one tablespoon of lemon juice in each quart",
    "i only put half the lemon juice in",
    "i squeezed fresh lemons for it",
)


@pytest.fixture
def packed(begun):
    return begun(*TOMATOES)


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("said", OF_ACID)
def test_acid_is_asked_about_at_once_by_its_amount(packed, said):
    assert AMOUNT in typed(packed, said)
    typed(packed, "yes")
    assert not packed.load.kept


@pytest.mark.parametrize("said", OF_ACID)
def test_too_little_acid_lets_no_jar_in(packed, said):
    typed(packed, said)
    assert "The acid has to be in every jar" in typed(packed, "no")
    assert AMOUNT in typed(packed, "jars are in")
    assert packed.load.stage == "pack"


def test_what_was_told_of_the_acid_is_asked_again_before_the_jars_go_in(packed):
    typed(packed, OF_ACID[0])
    assert AMOUNT in typed(packed, "jars are in")
    typed(packed, "yes")
    assert packed.load.stage == "canner" and not packed.load.kept


def test_what_is_done_is_no_yes_about_the_acid(packed):
    typed(packed, "jars are in")
    assert "Is the acid in every jar?" in typed(packed, "done")
    assert packed.load.stage == "pack"


def test_an_altitude_of_elsewhere_leaves_all_as_it_was(cook):
    before = cook.talk.profile
    assert "Is the altitude of this kitchen" in typed(cook, "the cabin is at five thousand feet but i'm at home")
    typed(cook, "no")
    assert cook.talk.question is None and cook.talk.profile == before


def test_acid_in_a_food_that_is_put_in_otherwise_stays_a_doubt(packed):
    typed(packed, "i put some flour and lemon juice in each quart")
    typed(packed, "yes")
    assert [each.kind for each in packed.load.kept] == ["of_food"]


@pytest.mark.parametrize("said", ["this gauge reads two pounds high", "the extension lady said it's two pounds off"])
def test_a_gauge_that_is_off_makes_other_numbers(holding, said):
    typed(holding, said)
    assert holding.load.fault("numbers") is not None


@pytest.mark.parametrize(
    ("said", "feet"),
    [
        ("we're at the cabin at four thousand five hundred feet", 4500),
        ("we are up at the cabin, that's five thousand feet", 5000),
        ("i'm at my sister's at six thousand feet", 6000),
        ("my brother's place sits at fifteen hundred meters", 4922),
    ],
)
def test_an_altitude_told_in_passing_is_settled_before_a_load_starts(cook, said, feet):
    assert "Is the altitude of this kitchen" in typed(cook, said)
    typed(cook, "start seven quarts of green beans raw pack")
    assert not cook.kitchen.loads
    typed(cook, "yes")
    assert cook.talk.profile.altitude_ft == feet


@pytest.mark.parametrize(
    "said", ["the barn is forty feet away", "is it higher at six thousand feet", "nine hundred feet like i said"]
)
def test_other_feet_are_no_altitude(cook, said):
    typed(cook, said)
    assert cook.talk.question is None or cook.talk.question.about != "altitude"


TRUSTED = "Can what the gauge reads be trusted for this load?"


@pytest.mark.parametrize(
    "said",
    [
        "this gauge reads two pounds over",
        "this gauge reads three pounds over, a man at the fair said",
        "that gauge hasn't been tested in ten years",
        "i dropped this gauge on the floor this morning",
        "the dial gauge is two pounds off",
        "i don't trust this gauge",
    ],
)
def test_what_is_told_of_the_gauge_itself_is_no_reading_and_is_asked_at_the_end(holding, said):
    typed(holding, said)
    assert holding.load.holding and [each.kind for each in holding.load.kept] == ["of_gauge"]
    typed(holding, "eleven")
    assert TRUSTED in holding.wait(60 * 26)
    assert holding.load.processed_t is None
    typed(holding, "no")
    assert holding.load.fault("numbers")


def test_a_drop_told_beside_the_gauge_is_one_all_the_same(holding):
    typed(holding, "this gauge reads two pounds over and it dropped to nine")
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["the gauge dropped to nine", "the gauge is at nine"])
def test_what_a_gauge_reads_is_still_a_reading(holding, said):
    typed(holding, said)
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["it's ten past two now", "ten of these jars were my mother's"])
def test_a_number_of_something_else_is_no_reading(holding, said):
    typed(holding, said)
    assert holding.load.holding and not holding.load.doubts


def test_a_bare_number_in_a_hold_is_off_the_gauge_and_no_altitude(holding):
    typed(holding, "our place is at four thousand five hundred feet i just read")
    told = typed(holding, "eleven")
    assert told.startswith("Eleven. ") and "four thousand five hundred" in told
    assert "Eleven feet" in typed(holding, "eleven feet")
