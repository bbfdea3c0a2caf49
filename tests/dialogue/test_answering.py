"""A pressure in an answer is compared with the target: at it or above the load goes on, below it doesn't."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.answering import begins, by_number, falls, of_its_gauge, says_well, stands_above
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard

ABOUT_IT = Frame(kind="yes_no", about="unheard", expects="yes_no", prompt="Did it hold?", load=1)


def heard(intent, **slots):
    return Heard(intent, slots, "", 0.0)


@pytest.mark.parametrize(
    ("intent", "psi", "meant"),
    [
        ("yes", 10, "no"),
        ("yes", 11, "yes"),
        ("yes", 12, "yes"),
        ("yes", None, "yes"),
        ("no", 10, "no"),
        ("fine", 10, "fine"),
    ],
)
def test_a_yes_with_a_pressure_below_the_target_is_a_no(holding, intent, psi, meant):
    said = heard(intent, **({} if psi is None else {"pressure": psi}))
    assert by_number(holding.talk, ABOUT_IT, said).intent == meant
    assert by_number(holding.talk, None, said).intent == intent


@pytest.mark.parametrize(("psi", "falls_by_it", "above"), [(10, True, False), (11, False, False), (12, False, True)])
def test_a_pressure_falls_below_the_target_and_stands_above_it_by_a_pound(holding, psi, falls_by_it, above):
    for slots in ({"pressure": psi}, {"value": psi}):
        assert falls(holding.talk, heard("pressure_is", **slots)) is falls_by_it
        assert stands_above(holding.talk, slots) is above
    assert begins(holding.talk, heard("pressure_is", pressure=12)) is False


def test_heat_that_is_off_falls_where_something_counts_and_nothing_stands_above_without_a_dial(holding, boiling, cook):
    assert falls(holding.talk, heard("heat_off"))
    assert not falls(cook.talk, heard("heat_off"))
    assert not stands_above(boiling.talk, {"pressure": 12})
    assert not stands_above(holding.talk, {})


def test_nothing_stands_above_while_a_canner_vents(begun):
    assert not stands_above(begun(*begun.VENTING).talk, {"pressure": 12})


@pytest.mark.parametrize(("kind", "about", "well"), [("yes_no", "gap", "yes"), ("loss", "vent", "no")])
def test_the_answer_that_lets_all_go_on_is_yes_unless_the_question_tells_a_loss(kind, about, well):
    frame = Frame(kind=kind, about=about, expects="yes_no", prompt="", load=1)
    assert [says_well(frame, each) for each in ("yes", "no")] == [well == "yes", well == "no"]
    assert not says_well(None, "yes")


def test_a_bare_number_is_the_reading_of_the_gauge_asked_about_alone():
    check = Frame(kind="check", about="dial", expects="gauge_reading", prompt="", load=2)
    read = of_its_gauge(check, heard("number", value=9))
    assert (read.intent, dict(read.slots), read.of) == ("pressure_is", {"pressure": 9}, 2)
    assert of_its_gauge(None, heard("number", value=9)).intent == "number"
    assert of_its_gauge(ABOUT_IT, heard("yes")).intent == "yes"
