"""Emergencies come before all else, whoever listens, and nothing tells to heat before all is well."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("said", "first"),
    [
        ("i smell gas", "Get everybody out"),
        ("the towel caught fire", "Get everybody out"),
        ("there's smoke", "Look at once"),
        ("he fainted", "Call the emergency number"),
        ("the needle is in the red", "Heat off, and stand clear"),
        ("it's going to blow", "Stand clear"),
        ("the canner tipped over", "Everybody away"),
    ],
)
@pytest.mark.parametrize("asleep", [False, True])
def test_the_answer_comes_first_and_no_heat_is_ordered_after_it(holding, said, first, asleep):
    holding.run(*["pause"] * asleep)
    assert holding.bare(said, typed=True).startswith(first)
    assert holding.load.hold.lost_t is not None
    assert "heat up" not in holding.run(20)
    assert "hold_done" not in holding.kinds()


def test_a_no_takes_it_back(holding):
    holding.bare("there's a fire", typed=True)
    holding.bare("no", typed=True)
    assert holding.load.holding


def test_all_that_runs_is_stopped(two):
    two.run("seven jars packed", "> green beans", "jars are in", "lid is locked", "steam is steady", 10.1)
    two.run("weight is on", "pressure is eleven")
    first = two.kitchen.loads[0]
    assert first.holding
    two.bare("there's a fire", typed=True)
    assert not two.kitchen.loads[0].holding
    assert not two.kitchen.loads[1].faults


def test_a_boil_waits_until_all_is_well(boiling):
    assert "When all is well again" in boiling.bare("there's a fire", typed=True)
    assert boiling.load.step == "stopped"
    boiling.run(1, "heat is on")
    assert boiling.load.stage == "come_up"
    boiling.run("full boil")
    assert boiling.load.holding
    assert not boiling.load.faults


def test_a_load_that_was_held_stays_good(holding):
    holding.run(26, "heat is off")
    holding.bare("the towel caught fire", typed=True)
    assert not holding.load.faults


@pytest.mark.parametrize(
    "said", ["i cut my finger", "i burned my arm", "i tasted it", "what if there's a fire", "there's no fire"]
)
def test_what_orders_no_heat_off_ends_no_hold(holding, said):
    holding.bare(said, typed=True)
    assert holding.load.holding


def test_a_lid_that_bulges_in_a_shut_canner_is_left_shut(holding):
    assert holding.bare("the lid is bulging", typed=True).startswith("Leave everything shut")


def test_a_pressure_far_too_high_is_told_to_lower_before_it_is_sure(holding):
    said = holding.bare("pressure is twenty", typed=True)
    assert "turn the heat down" in said
    assert "neither lid nor weight" in said


def test_asleep_a_cry_for_help_is_answered(holding):
    holding.say("pause")
    assert "emergency number" in holding.bare("help me please", typed=True)
