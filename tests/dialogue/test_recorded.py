"""What happened to a load is told from what was reported, in every state, and asking it changes nothing."""

from __future__ import annotations

import pytest

from kitchenvoice.logbook.report.entry_words import entry_words

ASKED = [
    "how long did it hold",
    "how long was the hold",
    "did it hold the whole time",
    "was it in full",
    "is the load ok",
    "what went wrong",
    "what was the pressure",
    "how many pounds is it at",
    "is the pressure gone",
    "has the pressure dropped",
    "is the gauge at zero",
    "did they seal",
    "is the lid locked",
    "how much acid did i put in",
    "how much water did i put in",
    "did it process",
    "is it at pressure",
    "is it holding",
    "does it hold",
    "did it ever drop",
    "is the hold done",
    "was the pressure okay",
    "did i vent",
    "is the heat off",
]


@pytest.mark.parametrize("said", ASKED)
def test_before_anything_has_run_nothing_is_told_as_if_it_had(cook, said):
    cook.run(*cook.BEANS)
    answer = cook.bare(said, typed=True)
    assert any(
        words in answer
        for words in ("hasn't started", "I can't see it", "I don't know", "None goes in", "No vent", "wasn't reported")
    )
    assert "eleven" not in answer
    assert "twenty five" not in answer


@pytest.mark.parametrize("said", ASKED)
def test_asking_puts_no_hold_in_doubt(holding, said):
    holding.bare(said, typed=True)
    holding.run(1.5)
    assert not holding.load.doubts
    assert holding.load.holding


def test_a_hold_is_told_as_it_stands(holding):
    holding.run(3)
    assert "held for three minutes, with twenty two minutes to go" in holding.bare("did it hold", typed=True)
    holding.bare("is eleven pounds enough", typed=True)
    assert "isn't settled" in holding.bare("did it hold", typed=True)
    holding.bare("no", typed=True)
    assert "counts for nothing" in holding.bare("how long did it hold", typed=True)


def test_a_full_hold_is_told_with_all_that_speaks_against_it(holding):
    holding.run(26, "heat is off")
    said = holding.bare("how long did it hold", typed=True)
    assert "By your reports it held its full twenty five minutes." in said
    assert "went unanswered" in said
    holding.bare("i forgot to vent", typed=True)
    assert "wasn't processed as tested" in holding.bare("is the load ok", typed=True)


def test_a_pressure_is_told_with_its_time_and_no_target_while_it_cools(holding):
    holding.run(26, "heat is off", 5)
    for said in ("what is the pressure", "is the pressure gone", "has it cooled"):
        answer = holding.bare(said, typed=True)
        assert "I can't see it." in answer
        assert "you reported eleven" in answer
        assert "Leave the lid and the weight on." in answer
        assert "target" not in answer


def test_a_zero_is_told_as_a_report(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    assert "By your report it is at zero" in holding.bare("is it at zero", typed=True)
    assert "full minutes" in holding.bare("is five minutes enough", typed=True)


def test_seals_that_were_counted_are_told(counting):
    assert "weren't counted" in counting.bare("did they seal", typed=True)
    counting.run("six sealed one failed", "> yes")
    assert "Six sealed, one failed." in counting.bare("did they seal", typed=True)


@pytest.mark.parametrize("said", ["can i eat it", "can i shelve them", "will they keep", "should i boil it first"])
def test_what_is_not_processed_as_tested_is_neither_kept_nor_tasted(counting, said):
    good = counting.bare(said, typed=True)
    assert "weren't processed" not in good
    counting.bare("i forgot to vent", typed=True)
    assert "don't taste" in counting.bare(said, typed=True)
    counting.run("all sealed", "> yes", "put it in the refrigerator", "close the load")
    assert not counting.kitchen.open_loads
    assert "don't taste" in counting.bare(said, typed=True)
    assert "wasn't processed as tested" in counting.bare("did it hold", typed=True)


def test_a_hold_that_was_lost_leaves_nothing_to_eat(holding):
    holding.say("pressure is nine")
    assert "don't taste" in holding.bare("can i eat it", typed=True)


def test_of_a_hold_that_was_lost_nothing_is_told_that_its_process_wants_or_that_was_read_before(holding):
    holding.run(2, "pressure is eleven", 1, "pressure dropped", 3)
    for said in ("did it process", "is it at pressure", "is it holding", "did it drop", "was the pressure okay"):
        assert holding.bare(said, typed=True).startswith("It was lost after three minutes"), said
    assert "vented for ten minutes" in holding.bare("did i vent long enough", typed=True)
    assert "wasn't reported" in holding.bare("is the heat off", typed=True)


def test_of_a_hold_whose_time_was_up_it_is_not_told_how_long_it_ran(holding):
    asked = "what's the record of this load"
    holding.run(25.2, "heat is off", 10)
    holding.bare("the truth is i shut the heat off early", typed=True)
    told = holding.bare(asked, typed=True)
    assert told.startswith("That isn't settled, and depends on your answer."), told
    holding.wait(1800)
    told = holding.bare(asked, typed=True)
    assert told.startswith("Nobody knows how long it held, so it counts for nothing."), told
    lost = next(event for event in holding.events if event.kind == "hold_lost")
    assert lost.data["ran_s"] is None
    assert "minute" not in entry_words(lost.kind, lost.data, {})


def test_of_a_hold_in_doubt_it_is_told_how_long_it_runs(holding):
    holding.run(4, "heat is off")
    told = holding.bare("what's the record of this load", typed=True)
    assert told.startswith("That isn't settled. It has run four minutes"), told
