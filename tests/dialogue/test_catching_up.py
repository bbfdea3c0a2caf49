"""A report from further on: what is missing is asked in one question, and no time is taken for run."""

from __future__ import annotations

import pytest

BEANS = ("start seven quarts of green beans raw pack", "> yes", "seven jars packed")
SAUCE = ("start seven pints of apple sauce hot pack", "> boiling water", "> yes", "seven jars packed")
IN_QUARTS = "Then seven quarts went into the canner"
IN_PINTS = "Then seven pints went into the canner"
OVER_THEM = "the water is at least one inch over the lids"


@pytest.mark.parametrize(
    ("before", "said", "asked", "kinds", "step"),
    [
        (BEANS, "lid is locked", f"{IN_QUARTS}. Is that so?", ["jars_in", "lid_locked"], "heat"),
        (BEANS, "heat is on", f"{IN_QUARTS} and the lid is locked.", ["jars_in", "lid_locked", "heat_on"], "heat"),
        (
            BEANS,
            "steam is steady",
            f"{IN_QUARTS}, the lid is locked and the weight is off.",
            ["jars_in", "lid_locked", "steam_steady", "vent_started"],
            "venting",
        ),
        (
            BEANS,
            "weight is on",
            f"{IN_QUARTS} and the lid is locked.",
            ["jars_in", "lid_locked", "weight_on", "vent_stopped"],
            "weight_early",
        ),
        (
            SAUCE,
            "full boil",
            f"{IN_PINTS}, {OVER_THEM}, the lid is on and the heat is on.",
            ["jars_in", "step_done", "heat_on", "boiling", "hold_started"],
            "hold_boil",
        ),
        (SAUCE, "heat is on", f"{IN_PINTS} and {OVER_THEM}.", ["jars_in", "step_done", "heat_on"], "boil_up"),
        (SAUCE, "lid is locked", f"{IN_PINTS} and {OVER_THEM}.", ["jars_in", "step_done", "lid_locked"], "bath_heat"),
    ],
)
def test_one_yes_brings_a_load_to_what_was_reported(cook, before, said, asked, kinds, step):
    cook.run(*before)
    taken = len(cook.kinds())
    assert cook.say(said).startswith(asked)
    assert cook.kinds()[taken:] == []
    cook.bare("yes")
    assert cook.kinds()[taken:] == kinds
    assert cook.load.step == step


def test_a_no_leaves_it_and_numbers_count_jars_again(cook):
    cook.run(*BEANS, "heat is on")
    assert cook.bare("no") == "Not taken, then. Say each as it is done."
    cook.bare("five", typed=True)
    cook.bare("yes", typed=True)
    assert cook.load.packed == 5


@pytest.mark.parametrize("number", ["eleven", "zero", "it's at six"])
def test_a_bare_number_after_the_heat_counts_no_jars(cook, number):
    cook.run(*BEANS, "heat is on")
    assert cook.bare(number, typed=True).startswith(IN_QUARTS)
    assert cook.load.packed == 7


def test_the_acid_is_asked_for_itself(cook):
    cook.run("start seven pints of crushed tomatoes hot pack", "> boiling water", "> yes", "seven jars packed")
    cook.run("full boil")
    assert "Is the acid in every jar?" in cook.bare("yes")
    assert cook.load.stage == "pack"
    cook.bare("yes")
    assert cook.load.stage == "canner"


def test_a_weight_without_a_vent_is_led_to_one(cook):
    cook.run(*BEANS, "jars are in", "lid is locked")
    assert cook.say("weight is rocking").startswith("I have no vent: it needs ten minutes of steady steam first")
    assert cook.load.step == "under_pressure"
    cook.run("heat is off", 50, "gauge is at zero", "steam is steady")
    assert cook.load.step == "venting"


@pytest.mark.parametrize("said", ["heat is off", "lid is off", "jars are out", "all sealed"])
def test_without_its_time_a_load_is_not_processed(cook, said):
    cook.run(*SAUCE, "jars are in", "done", "heat is on")
    if said != "heat is off":
        assert cook.say(said).startswith("I have no boil of it, so it isn't processed. Coming up.")
        assert cook.say(said) == "I have no boil of it, so it isn't processed. I wait for: full boil."
    cook.run(*BEANS)
    again = cook.say(f"green beans, {said}")
    assert again == "Green beans. I have no vent and no hold of it, so it isn't processed. I wait for: jars are in."


def test_counted_jars_are_out(holding):
    holding.run(5, "pressure is eleven", 5, "pressure is eleven", 5, "pressure is eleven", 5, "pressure is eleven", 6)
    holding.run("heat is off", 46, "gauge is at zero", 11, "lid is off", 700)
    assert holding.say("all sealed") == "Then the jars are out. Is that so?"
    assert "and no rest that I know of. Twelve hours are the least." in holding.bare("yes")


def test_of_two_loads_the_one_that_is_behind_is_asked_about(holding):
    holding.run(*holding.CARROTS, "carrots, nine jars packed")
    assert holding.say("lid is locked") == "Carrots. Then nine pints went into the canner. Is that so?"
