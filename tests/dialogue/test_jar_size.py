"""Jars of another size than their load was looked up for take another time: no time counts before that is settled."""

from __future__ import annotations

import pytest

from .conftest import typed

ASKED = "Are the jars pints?"
TOLD = ["seven pints packed", "hold on, the jars are pints not quarts", "they're pints"]


@pytest.fixture
def packing(cook):
    cook.run(*cook.BEANS)
    return cook


@pytest.fixture
def out(counting):
    assert counting.load.stands
    return counting


@pytest.mark.parametrize("said", TOLD)
def test_another_size_stays_in_doubt_whatever_is_reported_next(packing, said):
    typed(packing, said)
    typed(packing, "packed seven")
    for each in ("jars are in", "lid is locked", "steam is steady", "weight is on", "eleven"):
        typed(packing, each)
    assert packing.load.stage == "pack"
    assert packing.load.timers == ()
    assert [each.kind for each in packing.load.kept] == ["of_size"]


def test_another_size_is_asked_by_name_after_a_restart(packing):
    typed(packing, "seven pints packed")
    packing.cut(60)
    assert ASKED in typed(packing, "jars are in")
    assert packing.load.stage == "pack"


def test_the_size_that_was_told_is_looked_up_anew_and_read_back(packing):
    typed(packing, "seven pints packed")
    typed(packing, "yes")
    assert packing.load.stage == "pack"
    assert "wenty minutes at eleven pounds" in typed(packing, "yes")
    assert "load_given_up" in packing.kinds()


def test_a_load_that_is_not_begun_anew_is_still_of_a_size_in_doubt(packing):
    typed(packing, "seven pints packed")
    typed(packing, "yes")
    assert ASKED in typed(packing, "no")


@pytest.mark.parametrize("answer", ["no", "quarts", "seven quarts packed"])
def test_jars_of_the_size_that_was_looked_up_are_taken(packing, answer):
    typed(packing, "seven pints packed")
    typed(packing, answer)
    assert (packing.load.packed, packing.load.kept) == (7, ())
    typed(packing, "jars are in")
    assert packing.load.stage == "canner"


def test_a_size_that_is_not_answered_is_not_left_as_it_was(packing):
    typed(packing, "seven pints packed")
    assert "Left as it was" not in typed(packing, "never mind")
    assert ASKED in typed(packing, "jars are in")


@pytest.mark.parametrize("answers", [["yes"], []])
def test_no_hold_is_in_full_by_the_time_of_another_size(holding, answers):
    assert ASKED in typed(holding, "the jars are pints")
    typed(holding, *answers)
    holding.run(30)
    assert not any("in full" in str(each) for each in holding.said)
    assert holding.load.processed_t is None or holding.load.all_unfit


def test_a_hold_goes_on_with_jars_of_its_size(holding):
    typed(holding, "the jars are pints")
    typed(holding, "no")
    holding.run(26)
    assert holding.load.processed_t is not None
    assert not holding.load.unfit
    assert [each.kind for each in holding.load.remarks] == ["of_size"]


def test_another_size_that_comes_out_is_not_for_the_shelf(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off")
    assert ASKED in typed(holding, "all seven pints are out")
    typed(holding, "yes")
    assert holding.load.stage == "rest"
    assert holding.load.all_unfit


def test_another_size_that_is_counted_is_not_for_the_shelf(out):
    assert ASKED in typed(out, "seven pints sealed")
    typed(out, "yes")
    assert out.load.all_unfit


def test_the_own_size_says_nothing_new(packing):
    assert typed(packing, "seven quarts packed").startswith("Seven packed.")
    assert typed(packing, "all seven quarts are in").startswith("Seven quarts in.")
    assert "doubt" not in packing.kinds()


def test_a_lone_number_that_the_gauge_is_asked_for_is_no_count_of_jars(packing):
    typed(packing, "packed four")
    typed(packing, "jars are in")
    packing.run("seven jars are in", *packing.VENTING, 10.1, "weight is on")
    assert packing.load.stage == "come_up"
    typed(packing, "eleven")
    assert packing.load.holding
    assert packing.load.jars == 7
