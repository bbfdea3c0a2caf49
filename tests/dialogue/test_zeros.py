"""From zero to the lid: whatever isn't known to be harmless takes the zero back, and the gauge has to be read again."""

from __future__ import annotations

import pytest

from kitchenvoice.ports import Urgency

AGAIN = "Taken back: pressure at zero. Leave the lid on, and look again: is the gauge at zero?"
CONTRADICTIONS = (
    "no it's at two", "it's back at two", "it's rising", "i tapped it and it jumped to four", "the needle moved",
    "the gauge reads zero but the lock is up", "the lock is still up", "the lock went up again",
    "it hissed when i took the weight off", "the lid won't budge", "the lid is stuck", "the gauge is stuck",
    "i was looking at the wrong gauge", "wrong canner", "i misread it", "it was the timer not the gauge",
    "i'm not sure it was zero", "maybe not", "oops", "the heat is still on", "the burner is on",
    "i forgot to turn off the heat", "i turned the heat back on", "four", "the weight is still on",
    "i never took the weight off", "can i hit it with a hammer", "pressure is dropping", "the weight is rocking",
    "never mind", "why is the gauge stuck", "the moon is made of cheese", "heat is off",
)  # fmt: skip
HARMLESS = (
    "how long is left", "can i open it", "can i open it now", "the weight is off", "got it", "why", "help", "done",
    "set a timer for ten minutes", "gauge is at zero", "it's zero", "can i use old lids", "lid is off", "repeat",
    "is the pressure gone", "the lid is not off", "why are the jars pinging", "green beans", "louder", "thank you",
)  # fmt: skip


@pytest.fixture
def at_zero(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    return holding


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("line", CONTRADICTIONS)
@pytest.mark.parametrize("minutes", [2, 10.2])
def test_nobody_is_called_to_the_lid_over_what_may_contradict_the_zero(at_zero, line, minutes):
    at_zero.wait(60 * minutes)
    answer = typed(at_zero, line)
    assert "Taken back: pressure" in answer
    assert answer.endswith(("is the gauge at zero?", "is all the pressure gone?", "is at zero.", "the heat on?"))
    assert not any(words in answer for words in ("Take the weight off", "Take it off", "doesn't fit"))
    assert not at_zero.load.at_zero
    told = at_zero.wait(1200)
    assert "Take it off" not in told
    assert "Open the lid" not in told
    assert at_zero.say("can i open it").startswith("Leave the lid on.")


@pytest.mark.parametrize("line", HARMLESS)
@pytest.mark.parametrize("minutes", [2, 8])
def test_what_is_harmless_leaves_the_wait_alone(at_zero, line, minutes):
    at_zero.wait(60 * minutes)
    assert "Taken back" not in typed(at_zero, line)
    assert "Take it off, and say lid is off." in at_zero.wait(60 * (10.2 - minutes))


@pytest.mark.parametrize("again", ["> yes", "gauge is at zero", "it's zero"])
def test_after_a_zero_that_is_confirmed_anew_the_ten_minutes_start_anew(at_zero, again):
    at_zero.wait(480)
    assert typed(at_zero, "the needle moved").endswith(AGAIN)
    assert "Pressure at zero. Ten minutes to wait." in at_zero.run(again)
    assert "Take it off" not in at_zero.wait(590)
    assert "Take it off" in at_zero.wait(15)


def test_a_no_to_the_look_again_leaves_it_to_cool(at_zero):
    typed(at_zero, "the needle moved")
    assert at_zero.bare("no") == "Then leave it to cool. Say gauge is at zero when it is."
    assert not at_zero.load.at_zero


def test_talk_that_wasnt_said_to_it_takes_nothing_back(at_zero):
    at_zero.bare("the needle moved to the left in the sewing machine")
    assert at_zero.load.at_zero


@pytest.mark.parametrize("minutes", [5, 10.2])
def test_after_the_wait_an_answer_and_the_call_agree(at_zero, minutes):
    at_zero.wait(60 * minutes)
    answer = typed(at_zero, "can i open it now")
    assert ("Take it off" in answer) is (minutes > 10)
    assert ("still to wait" in answer) is (minutes < 10)


def test_what_is_told_of_another_load_takes_no_zero_back(two):
    two.run("green beans seven jars packed", "green beans jars are in", "green beans lid is locked")
    two.run("green beans steam is steady", 10.1, "weight is on", "pressure is eleven", 26, "heat is off")
    two.run("carrots nine jars packed", "carrots jars are in", "carrots lid is locked")
    two.run(40, "carrots steam is steady", 6, "green beans gauge is at zero")
    assert two.kitchen.loads[0].at_zero
    two.run("carrots steam stopped", "carrots steam is steady", "steam is steady")
    assert two.kitchen.loads[0].at_zero
    two.run("pressure is four")
    assert not two.kitchen.loads[0].at_zero


def test_what_was_said_in_its_sleep_takes_it_back_too(at_zero):
    at_zero.run("stop listening", "pressure is four")
    assert not at_zero.load.at_zero


def test_a_caution_is_said_with_it_and_nothing_else(at_zero):
    typed(at_zero, "the lid is stuck")
    assert at_zero.turn.announcements[-1].urgency is Urgency.CAUTION
