"""Heat that goes off before the time is up, in whatever words: asked about as that, never as what was until now."""

from __future__ import annotations

import pytest

EARLY = (
    "close enough, turning the burner off",
    "that's enough i shut it down",
    "i'm taking it off the heat",
    "i slid it off the burner",
    "done early, burner's off",
    "i need the burner so i moved the canner off",
    "okay that'll do, killing the flame",
    "i just turned off the burner",
)
NOT_OFF = (
    "i won't turn it off before the timer",
    "should i turn the burner off",
    "i'll turn it off when it's done",
    "i took the tea kettle off the stove",
    "i turned the radio off",
)


CARROTS_UP = (
    "beans gauge reads eleven",
    5,
    "carrots weight is on",
    "beans gauge reads eleven",
    4,
    "carrots weight is rocking",
)


@pytest.fixture
def both_hold(holding):
    holding.run("start nine pints of carrots hot pack in canner two", "> yes", "nine jars packed", "jars are in")
    holding.run("lid is locked", "steam is steady", 5.1)
    for line in CARROTS_UP:
        holding.wait(60 * line) if isinstance(line, int) else typed(holding, line)
    assert all(load.holding for load in holding.kitchen.open_loads)
    return holding


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("said", EARLY)
def test_heat_that_goes_off_early_is_asked_about_as_it_is_now(holding, said):
    assert "Is the heat off?" in typed(holding, said)
    assert "The heat is off before the time was up" in typed(holding, "yes")
    assert not holding.load.claims


@pytest.mark.parametrize("said", NOT_OFF)
def test_heat_that_stays_on_is_no_heat_off(holding, said):
    assert "Is the heat off?" not in typed(holding, said)
    assert holding.load.doubted("heat_off") is None


@pytest.mark.parametrize("said", ["i shut both of them off", "both burners are off", "turned them off"])
def test_of_two_canners_each_is_asked_about_where_both_are_meant(both_hold, said):
    assert "Green beans." in typed(both_hold, said)
    assert typed(both_hold, "yes").endswith("Is the heat off?")
    typed(both_hold, "yes")
    assert not any(load.claims for load in both_hold.kitchen.open_loads)


def test_of_two_canners_the_one_whose_time_is_up_is_taken_at_once(both_hold):
    both_hold.run(11)
    answer = typed(both_hold, "turned them both off")
    beans, carrots = both_hold.kitchen.open_loads
    assert beans.heat_off and carrots.doubted("heat_off") is not None, answer


def test_a_canner_taken_off_and_put_back_is_asked_about_as_the_past(holding):
    assert "at any time" in typed(holding, "i moved it off the stove for a minute and put it back")


def test_of_two_that_are_named_it_is_asked_which_was_turned_off(both_hold):
    both_hold.run(8)
    assert typed(both_hold, "oh no i turned off the carrots instead of the beans").startswith("Which load")
    typed(both_hold, "carrots")
    assert typed(both_hold, "yes").startswith("Carrots. The heat is off before the time was up.")
