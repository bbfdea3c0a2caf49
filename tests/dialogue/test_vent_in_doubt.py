"""What may have cut a vent short is asked about before anything is built on it: the weight, the pressure, the hold."""

from __future__ import annotations

import pytest

from .conftest import typed

VENT = "Did it vent ten minutes in full, in steady steam, with the weight off?"
SHUT = "Has the weight been on here, or the petcock shut, since the steam was steady?"
NOBODY = 1801
"""Seconds after which silence about what was told in own words counts as a loss."""


@pytest.fixture
def vents(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 6)
    return cook


@pytest.fixture
def vented(vents):
    vents.run(4.1)
    assert vents.load.step == "weight"
    return vents


@pytest.fixture
def comes_up(vented):
    vented.run("weight is on")
    assert vented.load.stage == "come_up"
    return vented


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("i'd closed the petcock at about seven minutes, opened it again straight away", VENT),
        ("i lifted the lid to check the water, it's back on", "was the canner shut the whole time?"),
    ],
)
def test_the_weight_waits_for_what_was_told_of_the_vent(vented, said, asked):
    typed(vented, said)
    if vented.said[-1].endswith("at any time?"):
        vented.bare("no")
    assert asked in typed(vented, "weight is on")
    assert vented.load.stage == "vent"
    assert "Weight is on." in vented.bare("yes")
    assert vented.load.stage == "come_up"


def test_nobody_is_sent_to_the_weight_while_its_report_waits(vented):
    typed(vented, "i'd closed the petcock at about seven minutes, opened it again straight away", "no", "weight is on")
    said = typed(vented, "eleven")
    assert VENT in said
    assert "Put the weight on" not in said


def test_a_vent_that_was_short_starts_over_and_the_weight_comes_off_only_without_pressure(vented):
    typed(vented, "i'd closed the petcock at about seven minutes, opened it again straight away")
    vented.bare("no")
    typed(vented, "weight is on")
    assert "Take the weight off again only if no pressure has built." in vented.bare("no")
    assert (vented.load.step, vented.load.vented_s, vented.load.faults) == ("weight_early", 0.0, ())


@pytest.mark.parametrize("said", ["by the way i only vented for six minutes", "i closed the petcock at seven minutes"])
def test_the_hold_waits_for_what_is_told_of_the_vent_on_the_way_up(comes_up, said):
    assert VENT in typed(comes_up, said)
    assert VENT in typed(comes_up, "it's at eleven")
    assert not comes_up.load.holds
    assert comes_up.bare("yes").startswith("Eleven. The hold starts now: twenty five minutes.")
    assert comes_up.load.holding


def test_a_short_vent_told_on_the_way_up_lets_the_pressure_go_first(comes_up):
    typed(comes_up, "i only vented for six minutes")
    assert "Heat off. Leave the weight on until the gauge is at zero" in comes_up.bare("no")
    assert (comes_up.load.step, comes_up.load.holds) == ("under_pressure", ())


def test_nobody_who_answers_for_the_vent_starts_no_hold(comes_up):
    typed(comes_up, "i only vented for six minutes")
    typed(comes_up, "it's at eleven")
    comes_up.wait(NOBODY)
    assert comes_up.load.step == "under_pressure"
    assert not comes_up.load.doubt


def test_a_short_vent_told_in_the_hold_is_asked_about_at_once(comes_up):
    comes_up.run("pressure is eleven")
    assert VENT in typed(comes_up, "by the way i only vented for six minutes")
    comes_up.bare("no")
    assert not comes_up.load.holding


@pytest.mark.parametrize("said", ["i put the weight on already, it was taking ages", "the petcock shut by accident"])
def test_a_weight_that_may_be_on_too_early_is_asked_about_as_that(vents, said):
    assert SHUT in typed(vents, said)
    assert "Take the weight off again only if no pressure has built." in vents.bare("yes")
    assert vents.load.step == "weight_early"


def test_a_weight_that_wasnt_on_lets_the_vent_go_on_and_is_asked_about_at_its_end(vents):
    typed(vents, "i put the weight on already, it was taking ages")
    vents.bare("no")
    assert vents.load.timer("vent") is not None
    vents.run(4.1)
    assert VENT in vents.said[-1]


def test_what_is_told_of_the_jars_in_the_vent_is_asked_before_the_weight_too_and_only_once(vents):
    typed(vents, "one of the jars looked funny to me")
    vents.run(4.1)
    typed(vents, "weight is on")
    assert "whole and with their lids on" in vents.said[-1]
    vents.bare("yes")
    assert typed(vents, "it's at eleven").startswith("Eleven. The hold starts now")


def test_a_weight_that_is_taken_off_again_was_on_so_the_vent_is_in_question(vents):
    assert typed(vents, "i took the weight back off").endswith("Was the steam steady all the time, with the heat on?")
    assert "starts over in full" in vents.bare("no")
    assert not vents.load.vented_s
