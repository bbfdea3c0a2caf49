"""Short words for what is awaited are taken for it; with any word beside its own and small ones they aren't."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.awaited import as_awaited
from kitchenvoice.dialogue.understand import Understanding
from tests.dialogue.conftest import typed

BEANS = ("start seven quarts of green beans raw pack", "> yes")
CARROTS = ("start nine pints of carrots hot pack in canner two", "> yes", "nine jars packed", "jars are in")
SAUCE = ("start seven pints of apple sauce hot pack", "> boiling water", "> yes", "seven jars packed", "jars are in")
LOCKED = (*BEANS, "seven jars packed", "jars are in", "lid is locked")
VENTED = (*LOCKED, "steam is steady", 10.1)
OVER = (*VENTED, "weight is on", "pressure is eleven", *(5, "pressure is eleven") * 4, 5.1)
OPEN = (*OVER, "heat is off", 46, "gauge is at zero", 11)
ROCKING = (*CARROTS, "lid is locked", "steam is steady", 10.1, "weight is on")
BOILING = (*SAUCE, "done", "heat is on")

TAKEN = {
    BEANS: ("step_done", "yes ma'am", "yep all good", "yeah I checked all that last night", "everything's fine"),
    (*BEANS, "clear"): ("step_done", "yep it's in", "yes, hot"),
    (*BEANS, *("clear",) * 3): ("step_done", "salted", "yes it's in", "all set"),
    (*BEANS, *("clear",) * 4): ("step_done", "they're all full", "all filled up now"),
    SAUCE[:3]: ("step_done", "yeah its all good", "rack's in", "it's all in and hot", "half full and hot"),
    LOCKED[:-1]: ("lid_locked", "it's locked", "okay it's locked down", "locked and tight"),
    LOCKED: ("steam_steady", "it's steady", "yep, steady", "nice and steady now", "a good strong steady stream"),
    (*LOCKED, "steam is steady", 3, "steam stopped"): ("steam_steady", "okay steady again", "it's back to steady"),
    VENTED: ("weight_on", "it's on now", "okay, got it on"),
    OVER: ("heat_off", "it's off", "off", "turned it off"),
    OPEN: ("lid_off", "it's off", "got it off", "it's open now"),
    (*OPEN, "lid is off"): ("jars_out", "all out", "all seven out on the towel", "they're out, all seven"),
    ROCKING: ("weight_rocking", "it's jiggling now", "rocking away", "a nice steady rock"),
    (*ROCKING, "weight is rocking", 2.1): ("yes", "yes ma'am", "yep, still going", "it sure is"),
    (*ROCKING, "weight is rocking", 2.2): ("weight_rocking", "rocking away", "a nice steady rock"),
    (*OPEN, "lid is off", "jars are out", 721, "seven sealed none failed", "> yes"): ("load_close", "all put away"),
    BOILING: ("boiling", "it's a full rolling boil", "rolling boil", "full and rolling", "yes it's boiling hard"),
    (*BOILING, "full boil", 2.1): ("yes", "yep still at it", "yes it is", "still going strong"),
    (*BOILING, "full boil", 1): ("fine", "still at it"),
}
NOT_TAKEN = {
    BEANS: ("no ma'am", "not yet", "i think so", "the gasket's a little cracked", "gasket good", "was it clear"),
    LOCKED: (
        *("it's not steady", "almost steady", "steady in a minute", "is it steady", "when it's steady"),
        *("it was steady", "sort of steady", "pretty steady", "steady then it quit", "should be steady soon"),
        *("all good", "yep done", "all put away"),
    ),
    VENTED: ("it's not on", "still on", "i'll put it on", "on it", "come on", "the heat's on", "we're on"),
    OVER: ("it's not off", "off please", "should i turn it off", "back off", "we're off", "almost off"),
    OPEN: ("the weight's off", "open it", "half off", "can i take it off"),
    (*OPEN, "lid is off"): ("six out", "all but one out", "not out yet", "they were out"),
    ROCKING: ("not jiggling", "about to jiggle", "it jiggled once", "rocking chair"),
    BOILING: ("not a rolling boil", "almost a rolling boil", "if it's a full boil", "a gentle boil", "is it boiling"),
    (*BOILING, "full boil", 2.1): ("no", "it was", "sort of", "i think so", "barely", "huh", "not any more"),
    (*SAUCE[:3], "clear", *SAUCE[3:4]): ("still rolling",),
    ("start seven pints of crushed tomatoes hot pack", "> boiling water", "> yes", *("clear",) * 5): ("yep all good",),
}


@pytest.mark.parametrize("before", TAKEN)
def test_the_words_of_what_is_awaited_are_enough(cook, before):
    cook.run(*before)
    awaited, *said = TAKEN[before]
    found = {each: as_awaited(cook.talk, Understanding(each, None), each) for each in said}
    assert {each: told and told.intent for each, told in found.items()} == dict.fromkeys(said, awaited)


@pytest.mark.parametrize("before", NOT_TAKEN)
def test_a_denial_a_hedge_a_question_or_another_word_is_none(cook, before):
    cook.run(*before)
    assert [each for each in NOT_TAKEN[before] if as_awaited(cook.talk, Understanding(each, None), each)] == []


def test_with_two_loads_at_the_stove_short_words_are_of_neither(two):
    two.run("green beans, seven jars packed", "green beans, jars are in", "green beans, lid is locked")
    assert as_awaited(two.talk, Understanding("it's steady", None), "it's steady") is None


def test_a_question_about_what_was_said_leaves_room_for_what_is_awaited(cook):
    cook.run(*LOCKED)
    assert cook.bare("steam's coming but it comes and goes", typed=True) == "Did you say steam is coming?"
    assert "Ten minutes of venting start now" in cook.bare("nice and steady now", typed=True)


def test_the_report_is_recorded_as_it_was_said(cook):
    cook.run(*LOCKED)
    assert "Ten minutes of venting start now" in cook.bare("nice and steady now", typed=True)
    assert cook.events[-2].kind == "steam_steady"
    assert cook.events[-2].heard == "nice and steady now"


@pytest.mark.parametrize(
    ("before", "said"),
    [
        ((*ROCKING, "weight is rocking", 2.1), "the weight quit rocking"),
        ((*ROCKING, "weight is rocking", 3), "it quit rocking for a minute"),
        ((*BOILING, "full boil", 2.1), "it quit boiling for a minute"),
        ((*BOILING, "full boil", 3), "i had to add some water and it stopped boiling"),
    ],
)
def test_a_loss_that_is_told_over_a_question_about_the_stove_is_a_loss_and_no_bare_no(cook, before, said):
    cook.run(*before)
    typed(cook, said)
    assert cook.load.hold.lost_t is not None
