"""Counts, corrections and what is known already, in the words they are told in: each is taken for what it is."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import typed
from tests.dialogue.test_pantry import FULL, Shelf

OFF = "so soon it throws boiling food and steam at you. Has it stayed shut since the heat went off?"


@pytest.fixture
def packing(begun):
    return begun(*begun.BEANS, "clear", "six jars packed")


@pytest.mark.parametrize(
    "said",
    [
        "hang on that should've been five",
        "it should be five",
        "oops that ought to be five",
        "wait no it was five",
        "it's not six it's five",
    ],
)
def test_a_count_that_should_have_been_another_is_put_right(packing, said):
    typed(packing, said)
    assert packing.load.packed == 5


def test_a_pack_named_by_how_it_is_done_is_that_pack(packing):
    assert typed(packing, "sorry i'm doing them raw").startswith("That's what I have: green beans, raw pack")
    assert typed(packing, "we're packing them hot").endswith("begin it anew. Shall I?")


def test_minutes_asked_of_a_size_are_told_of_it(packing):
    assert typed(packing, "how many minutes would quarts need") == "Twenty five minutes at eleven pounds pressure."


@pytest.mark.parametrize("said", ["three more good ones", "another three good ones", "three more sealed"])
def test_good_ones_add_to_those_that_sealed(counting, said):
    typed(counting, "two sealed")
    assert typed(counting, said) == "Five sealed and zero failed so far. Two to go."


def test_those_still_to_go_are_no_failures(counting):
    assert typed(counting, "five down two to go") == "Five sealed and zero failed so far. Two to go."


def test_a_jar_that_is_told_of_is_no_count(counting):
    assert "Did you say" not in typed(counting, "one jar is cloudy")


def test_a_lid_that_gives_is_one_that_failed(counting):
    assert "one failed" in typed(counting, "one's still flexing in the middle")


def test_what_is_no_count_where_one_is_awaited_has_it_asked_for(counting):
    assert typed(counting, "we're having it for dinner tonight").endswith("How many sealed, and how many failed?")


@pytest.mark.parametrize(
    "asked",
    [
        "do i wash them before i put them away",
        "is it okay if the water's cloudy",
        "is it okay if the liquid's low in one",
        "what do i do with the one that didn't seal",
    ],
)
def test_what_is_asked_of_jars_at_hand_tells_nothing_of_the_hold(counting, asked):
    typed(counting, asked)
    assert counting.talk.question is None and not (counting.load.doubts or counting.load.kept)


@pytest.mark.parametrize("asked", ["is it okay that the weight came off", "is it okay if it dropped to nine"])
def test_what_is_asked_of_the_stove_may_tell_of_the_hold(counting, asked):
    typed(counting, asked)
    assert counting.load.doubts


@pytest.mark.parametrize("said", ["lid's locked on", "the jars are in", "seven jars are in", "the rack is in"])
def test_what_was_told_before_the_canner_was_shut_is_known(holding, said):
    assert typed(holding, said).startswith("I have that. Holding")
    assert not holding.load.doubts


@pytest.mark.parametrize(
    "said",
    [
        "six jars are in",
        "the lid isn't locked",
        "vent and gasket are clear",
        "i just locked the lid",
        "lid's locked now",
    ],
)
def test_what_differs_from_what_was_told_isnt_known(holding, said):
    assert "I have that" not in typed(holding, said)


@pytest.mark.parametrize(
    "said", ["i've got it open now", "i've got the lid off", "only six came out", "i pulled the jars"]
)
def test_of_a_canner_told_open_too_soon_it_is_said_what_to_do_if_it_is(cooling, said):
    assert typed(cooling, said).endswith(OFF)
    typed(cooling, "no")
    assert cooling.load.unfit


def test_a_weight_that_was_lifted_off_is_off(cooling):
    typed(cooling, "weight's been lifted off")
    assert cooling.load.unfit


@pytest.mark.parametrize("said", ["i tipped one a little", "i bumped one getting by", "one made it through whole"])
def test_one_that_is_a_jar_is_no_reading(cooling, said):
    assert "the gauge reads" not in typed(cooling, said)


@pytest.mark.parametrize("said", ["it's down to one", "gauge is at one"])
def test_one_on_the_gauge_is_a_reading(cooling, said):
    assert typed(cooling, said).startswith("One. It falls by itself")


def test_a_wisp_is_no_steady_steam(begun):
    cook = begun(*begun.BEANS, *begun.LOADED, *begun.VENTING)
    assert typed(cook, "just a little wisp so far").endswith("When the steam is steady again, say steam is steady.")


def test_a_number_misheard_is_put_right_by_the_one_that_was_said(holding):
    typed(holding, "pressure is seven")
    assert not holding.load.holding
    assert typed(holding, "no i said eleven not seven").startswith("Taken back: pressure seven. Eleven.")


def test_of_what_nobody_told_only_the_reading_is_taken(holding):
    assert typed(holding, "no i said eleven not seven").startswith("Eleven.")
    assert holding.load.holding


def test_a_hold_that_was_lost_is_not_given_back_by_what_was_said(holding):
    typed(holding, "pressure is seven")
    holding.wait(60)
    assert "starts over now, in full" in typed(holding, "i said eleven not seven")


def test_a_reading_below_that_was_said_ends_the_hold(holding):
    typed(holding, "no i said ten not eleven")
    assert not holding.load.holding


def test_a_load_to_be_quit_is_given_up_only_after_a_yes(holding):
    assert typed(holding, "i want to quit this load").startswith("Give up load one")
    assert holding.load.holding


def test_jars_of_another_size_are_told_where_none_are_of_the_one_asked(make):
    cook = make(pantry=Shelf(*FULL))
    assert typed(cook, "how many pints of green beans are left") == "Six quarts of green beans on the shelf."


def test_what_was_put_up_this_year_is_told_of_this_year(make):
    cook = make(pantry=Shelf(("carrots", "pint", 9, 300), ("snap_beans", "quart", 6, 30)))
    assert typed(cook, "what's our total for the year").endswith("you put up six quarts of green beans, by my record.")


@pytest.mark.parametrize("said", ["we moved and the altitude's different now", "our altitude has changed"])
def test_an_altitude_that_is_another_is_asked_for(cook, said):
    assert typed(cook, said).startswith("What is your altitude in feet?")


def test_ready_for_a_load_begins_one(cook):
    assert typed(cook, "i'm ready to get a load going") == "Which food?"


@pytest.mark.parametrize("said", ["let's do pints today", "i only have pint jars"])
def test_a_size_named_alone_begins_a_load_of_it(cook, said):
    assert typed(cook, said) == "Which food?"
