"""What was just told and is then denied or corrected: nothing that a no contradicts is believed for good."""

from __future__ import annotations

import pytest

from .conftest import typed

UP = (
    "the carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady", 10.1,
    "carrots weight is on",
)  # fmt: skip
ALL = "all the time, with the heat on?"
FELL = "or the heat off, at any time?"
COLD = (26, "heat is off", 46, "gauge is at zero")


@pytest.fixture
def both(holding):
    """Green beans on a dial with fifteen minutes to go, and carrots on a weight with twenty five."""
    holding.run(*holding.CARROTS, *UP, "carrots weight is rocking", 1)
    return holding


def holds(cook):
    return [load.holding for load in cook.kitchen.loads]


@pytest.mark.parametrize("no", ["no the carrots", "no it was the carrots", "no not the beans", "not the green beans"])
@pytest.mark.parametrize("how", ["", "> "])
def test_a_no_that_names_a_load_gives_the_loss_to_the_other(both, how, no):
    both.run("pressure is nine", "> green beans")
    assert holds(both) == [False, True]
    answer = both.run(how + no)
    assert answer.startswith("Taken back: pressure dropped.")
    assert answer.endswith("Carrots. Did the pressure drop here?")
    both.wait(420)
    assert not holds(both)[1]


def test_another_name_after_a_loss_puts_that_load_in_question_too(both):
    both.run("pressure is nine", "> green beans")
    assert both.bare("the carrots").startswith("Carrots. Was the weight rocking all the time")
    both.wait(420)
    assert holds(both) == [False, False]


def test_no_with_a_name_answers_which_load(both):
    both.run("pressure is nine")
    assert both.bare("no the carrots").startswith("Carrots. Is the weight still rocking?")


def test_heat_named_as_one_loads_and_unanswered_is_not_told_of_the_other(both):
    both.run("heat is off", "> green beans", 2)
    assert not any("Carrots. The heat is off" in text for text in both.said)
    assert any(text.startswith("Carrots. Was the weight rocking all the time") or
               " Carrots. Was the weight rocking all the time" in text for text in both.said)  # fmt: skip
    both.wait(420)
    assert holds(both) == [False, False]


def test_a_loss_taken_back_past_the_end_is_asked_about(holding):
    holding.run(24.95, "it's dropping", 0.2)
    assert holding.bare("no").endswith(ALL)
    assert "in full" not in holding.wait(60).replace("starts over in full", "")
    assert holding.load.processed_t is None


def test_a_no_after_a_yes_to_the_check_opens_it_again(weighted):
    weighted.run(2, "> yes")
    assert weighted.bare("no") == "Taken back: weight rocking. Is the weight still rocking?"
    weighted.wait(420)
    assert not weighted.load.holding


@pytest.mark.parametrize("hedge", ["not really", "a bit under", "i can't see", "not sure", "sometimes", "barely"])
def test_one_unsure_answer_to_the_check_is_a_doubt(weighted, hedge):
    weighted.run(2)
    assert weighted.bare(hedge) == "Then I can't tell that it holds. Is the weight still rocking?"
    weighted.wait(420)
    assert not weighted.load.holding


@pytest.mark.parametrize("no", ["no", "no it isn't", "that's wrong"])
def test_a_no_to_nothing_in_a_hold_is_a_doubt(holding, no):
    holding.run(23)
    assert holding.say(no).endswith("What does the gauge read?")
    holding.wait(200)
    assert holding.load.processed_t is None


@pytest.mark.parametrize(
    ("said", "asked"),
    [("the lid is off", ALL), ("jars are out", ALL), ("the steam stopped", FELL), ("it stopped boiling", FELL)],
)
def test_what_fits_no_hold_contradicts_it(holding, said, asked):
    holding.run(5)
    assert holding.say(said).endswith(asked)
    holding.wait(320)
    assert not holding.load.holding


LOSSES = (
    "it lost pressure", "the pressure is gone", "it was ten", "pressure was nine", "it dropped but it's back",
    "it was at ten for a minute", "it's only nine", "just under eleven", "we're below", "the needle is sinking",
    "it's dropping what do i do", "power went out for a second", "the burner went out a minute ago",
    "somebody turned the stove off", "i turned it off by accident", "i moved the canner off the burner",
    "i opened the petcock", "why is the needle below eleven", "why did the pressure drop",
    "does it matter that the pressure went to ten", "what happens if the pressure dropped below eleven for a minute",
)  # fmt: skip
OF_A_WEIGHT = (
    "weight is off", "i took the weight off", "it's quiet", "it's silent", "the weight is barely moving",
    "i used the five pound weight", "i put the wrong weight on",
)  # fmt: skip
OF_A_BOIL = (
    "it's only simmering", "no more bubbles", "it's not rolling", "it went off the boil", "jars are sticking out",
    "i added cold water", "the bubbles stopped for a bit", "no bubbles for a minute there",
    "the bubbles have kind of died down", "there weren't any bubbles when I looked", "the bubbles are barely there",
)  # fmt: skip


@pytest.mark.parametrize(
    ("day", "left_min", "said"),
    [
        *(("holding", 21, said) for said in LOSSES),
        *(("weighted", 21, said) for said in OF_A_WEIGHT),
        *(("boiling", 11, said) for said in OF_A_BOIL),
    ],
)
def test_a_loss_in_everyday_words_said_once_never_ends_in_full(request, day, left_min, said):
    cook = request.getfixturevalue(day)
    cook.run(5, said)
    cook.wait(60 * left_min)
    assert cook.load.processed_t is None


def test_what_may_be_a_loss_is_kept_while_nobody_listens(holding):
    holding.run(1, "go to sleep")
    assert "took nothing" in holding.say("it dipped")
    holding.wait(60 * 26)
    assert holding.load.processed_t is None


@pytest.mark.parametrize("no", ["no", "> no", "no it isn't", "it hisses", "it's still under pressure"])
def test_a_zero_that_is_denied_calls_nobody_to_the_lid(holding, no):
    holding.run(*COLD)
    assert "Taken back: pressure at zero." in holding.run(no)
    assert "Take it off" not in holding.wait(60 * 15)


def test_zero_sooner_than_a_canner_cools_is_asked_about_once(holding):
    holding.run(26, "heat is off", 30)
    assert holding.say("gauge is at zero").startswith("Zero after thirty minutes?")
    assert holding.bare("yes").startswith("Pressure at zero. Ten minutes to wait.")


@pytest.mark.parametrize("again", ["gauge is at zero", "pressure is zero"])
def test_zero_said_again_by_who_has_looked_is_a_yes(holding, again):
    holding.run(26, "heat is off", 30, "gauge is at zero", 0.2)
    assert holding.run(again).startswith("Pressure at zero. Ten minutes to wait.")


def test_a_lock_that_dropped_in_a_hold_lets_air_in(weighted):
    weighted.run(5)
    assert "it vents again" in weighted.say("the lock has dropped")
    weighted.run("weight is rocking", 1)
    assert not weighted.load.holding


def test_a_loss_in_answer_to_a_cut_asks_about_the_heat_too(holding):
    holding.run(20)
    holding.cut(60)
    assert holding.bare("the power was out") == "I didn't get that."
    assert holding.bare("yes").endswith(FELL)
    holding.wait(600)
    assert holding.load.processed_t is None


def test_the_age_of_the_last_report_is_told_as_it_is_by_then(holding):
    holding.run(20)
    holding.cut(3 * 3600.0)
    holding.bare("yes")
    assert "the last report is three hours and twenty minutes old" in holding.wait(20)


@pytest.mark.parametrize("told", ["i think two didn't seal", "maybe two failed"])
@pytest.mark.parametrize(
    ("said", "failed"),
    [
        ("no three", 3), ("three", 3), ("make it three", 3), ("i mean three", 3), ("yes three", 3), ("yes two", 2),
        ("two", 2), ("yes", 2),
    ],
)  # fmt: skip
def test_a_bare_number_puts_right_the_one_that_waits_whatever_it_would_count_by_itself(counting, told, said, failed):
    typed(counting, told)
    typed(counting, said)
    assert counting.load.tally == (0, failed)


@pytest.mark.parametrize("said", ["this one says eight", "it says eight", "no it says eight", "i said eight"])
def test_a_reading_below_the_target_takes_no_loss_back(both, said):
    both.run("beans pressure dropped")
    typed(both, said)
    assert not holds(both)[0]


@pytest.mark.parametrize("said", ["the beans", "the first one", "canner one"])
def test_a_name_that_nobody_asked_for_turns_to_its_load(both, said):
    both.run("beans pressure dropped")
    assert typed(both, said) == "Green beans. The time is stopped. Tell me when it's back at eleven."


@pytest.mark.parametrize("said", ["no it stayed at eleven", "no it never dropped"])
def test_no_it_held_takes_a_loss_back_and_asks_of_all_the_time(holding, said):
    holding.run("pressure dropped")
    assert typed(holding, said).endswith(ALL)


@pytest.mark.parametrize("said", ["it held the whole time", "no wait, it never dropped", "no sorry, at eleven"])
def test_a_loss_that_is_denied_in_everyday_words_is_asked_about(holding, said):
    holding.run("pressure dropped")
    assert typed(holding, said).endswith(ALL)
    assert not holding.load.holding or holding.load.doubts


@pytest.mark.parametrize("said", ["it dropped the whole time", "no it dropped to nine", "no it held for a while"])
def test_a_loss_that_is_told_again_stays_one(holding, said):
    holding.run("pressure dropped")
    assert not typed(holding, said).endswith(ALL)
    assert not holding.load.claims


def test_heat_that_went_off_under_another_pot_leaves_nothing_to_ask(both):
    typed(both, "i turned the heat off")
    typed(both, "green beans")
    assert "at any time?" not in typed(both, "no wait, that was under the potatoes for lunch")
    assert holds(both) == [True, True]


def test_a_pressure_that_a_named_load_has_been_at_is_asked_about_before_anything_near_to_it(both):
    answer = typed(both, "the beans have been at nine i don't know how long")
    assert answer.endswith("Green beans. Was the pressure below eleven, or the heat off, at any time?")


def test_an_unsure_answer_to_a_loss_is_asked_for_again_and_its_yes_counts(holding):
    typed(holding, "somebody fiddled with the burner")
    assert typed(holding, "i think it has been all along").startswith(("Yes or no?", "I need to know"))
    typed(holding, "no")
    assert holding.load.claims
    assert not holding.load.doubts
