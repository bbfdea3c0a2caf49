"""While a hold counts, nothing said to it stays without a trace: what explains nothing is asked about."""

from __future__ import annotations

import pytest

LOST_IN_WORDS = [
    "we had a brownout a minute ago", "the kid turned the knob", "i switched burners", "it got away from me",
    "i can't swear it stayed up", "my son saw it at nine", "i don't trust this gauge", "i relit it",
    "it's been wobbling around ten and eleven", "it hovers between ten and twelve", "between ten and eleven",
    "do i need to start over if it dropped", "what if it dropped below eleven while i was out", "how bad is nine",
    "is ten okay", "it's back up", "it's eleven again", "pressure is back", "i put the weight back on",
    "pressure is eleven and falling", "eleven now that i turned it up", "it's eleven most of the time",
    "it came close to ten", "the needle is in the red", "i burned myself", "the weight stopped rocking",
    "no it isn't", "i never put the weight on", "i topped up the water", "it isn't at eleven yet", "make that ten",
]  # fmt: skip
HARMLESS = [
    "it's eleven", "still at eleven", "right at eleven", "twelve", "how long is left", "thank you",
    "set a timer for ten minutes", "what do i do after this", "how many jars", "can i go sit down",
    "where are we", "how do i store them", "what is headspace", "repeat that", "i heard glass break",
]  # fmt: skip


@pytest.mark.parametrize("said", LOST_IN_WORDS)
def test_a_hold_isnt_called_done_over_words_that_may_have_told_of_a_loss(holding, said):
    holding.bare("eleven", typed=True)
    holding.bare(said, typed=True)
    told = holding.wait(1500)
    assert "in full" not in told.split("starts over in full")[0], told


@pytest.mark.parametrize("said", HARMLESS)
def test_what_is_harmless_brings_no_question_of_the_hold(holding, said):
    holding.bare(said, typed=True)
    assert holding.load.holding
    assert not holding.load.doubts
    assert not holding.load.kept


@pytest.mark.parametrize("said", ["i set the table", "we have a green chair", "the mailman was early"])
def test_what_tells_of_nothing_here_costs_no_time_and_is_asked_about_at_the_end(holding, said):
    holding.bare(said, typed=True)
    assert not holding.load.doubts
    end = holding.wait(1510)
    assert f"You said: {said}. Does that change anything about the food, the jars or the pressure?" in end
    assert "in full" not in end
    holding.bare("no", typed=True)
    assert "The hold is done, twenty five minutes in full." in holding.wait(1)


def test_at_the_end_an_answer_is_waited_for_minute_by_minute_and_then_nobody_knows(holding):
    holding.bare("i set the table", typed=True)
    end = holding.wait(1500 + 200)
    assert end.count("You said: i set the table.") >= 3
    assert holding.load.hold.lost_t is None
    assert "starts over in full" in holding.wait(200)


def test_it_did_doesnt_answer_whether_it_was(holding):
    """The drop is denied, then told again: "it did" is of the drop."""
    holding.say("pressure dropped")
    holding.bare("no")
    asked = holding.bare("yes it did")
    assert asked.endswith("with the heat on?")
    assert holding.load.doubts


def test_of_a_load_that_is_packed_nothing_is_asked(cook):
    cook.run(*cook.BEANS)
    cook.bare("my back hurts", typed=True)
    assert not cook.load.doubts


def test_by_ear_one_sentence_without_such_words_isnt_enough(holding):
    holding.bare("kitchen voice my feet are purple")
    assert not holding.load.doubts


def test_after_the_hold_what_explains_nothing_is_asked_about_before_the_load_is_closed(counting):
    counting.bare("i made those readings up", typed=True)
    counting.run("all sealed", "> yes")
    asked = counting.say("close the load")
    assert "You said: i made those readings up." in asked
    assert counting.load.stage.value != "closed"
    counting.bare("no")
    counting.say("close the load")
    assert counting.load.shelved == 0


def test_a_low_number_in_other_words_is_asked_about_as_a_loss(holding):
    said = holding.bare("when i got back from the mailbox it read nine", typed=True)
    assert said.endswith("Did the pressure drop here?")
    holding.bare("yes")
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["the pressure has gone down a bit", "it's off zero by a hair"])
def test_down_a_bit_is_no_zero(holding, said):
    holding.run(26, "heat is off", 46)
    holding.bare(said, typed=True)
    assert not holding.load.at_zero


def test_a_question_whether_it_was_told_counts_nothing(cook):
    cook.run(*cook.BEANS, "two jars packed")
    cook.bare("hey did i already tell you five", typed=True)
    assert cook.load.packed == 2
