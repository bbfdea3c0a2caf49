"""What the cook isn't sure of, or tells of a part only."""

from __future__ import annotations

import pytest

SURE = "That has to be sure. Look again: is it so,"


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("said", ["about eleven", "maybe eleven", "eleven i think"])
def test_a_reading_nobody_is_sure_of_is_no_reading(holding, said):
    assert typed(holding, said).startswith(SURE)
    holding.wait(120)
    assert holding.load.kept or not holding.load.holding


@pytest.mark.parametrize("answer", ["yes", "pressure is eleven", "eleven"])
def test_a_reading_that_was_looked_at_again_counts(holding, answer):
    typed(holding, "about eleven")
    assert "Eleven." in typed(holding, answer)
    holding.wait(120)
    assert holding.load.holding


def test_heat_that_may_be_off_is_asked_about_after_the_hold(holding):
    holding.wait(26 * 60)
    assert typed(holding, "heat is off i think").startswith(SURE)
    assert holding.load.stage == "hold"
    holding.bare("yes")
    assert holding.load.stage == "cool"


def test_heat_that_may_be_off_counts_in_a_hold(holding):
    assert "Is the heat off?" in typed(holding, "i think the heat is off")
    assert holding.load.doubt


def test_a_lid_that_may_be_locked_is_asked_about(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    step = cook.load.step
    assert typed(cook, "lid is locked i think").startswith(SURE)
    assert cook.load.step == step


@pytest.mark.parametrize("some", ["some jars are out", "some of the jars are out"])
def test_some_of_the_jars_are_not_all(holding, some):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off")
    typed(holding, some)
    assert holding.load.stage == "cool"
