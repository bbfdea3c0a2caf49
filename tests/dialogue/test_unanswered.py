"""What is no answer to a doubt, what silence makes of it, and whose it is when only one load was asked about."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from tests.dialogue.conftest import typed

UP = (
    "the carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady", 10.1,
    "carrots weight is on",
)  # fmt: skip
NOT_UNDERSTOOD = ("wibble wobble", "wubble wabble")
GAUGE = "What does the gauge read?"
ALL = "Was the pressure at eleven or above all the time, with the heat on?"
OFF = "With the heat off it starts over in full. Is the heat off?"
ANY = "Does that change anything about the food, the jars or the pressure?"


@pytest.fixture
def both(holding):
    """Green beans on a dial with fifteen minutes to go, and carrots on a weight with twenty five."""
    holding.run(*holding.CARROTS, *UP, "carrots weight is rocking", 1)
    return holding


def state(cook):
    return [(load.holding, [doubt.kind for doubt in load.doubts]) for load in cook.kitchen.open_loads]


def test_a_no_to_what_the_gauge_reads_is_no_number_and_it_is_asked_again(holding):
    holding.run(5, *NOT_UNDERSTOOD)
    assert holding.bare("no") == f"Then I can't tell that it holds. {GAUGE}"
    assert state(holding) == [(True, ["unheard"])]


@pytest.mark.parametrize("said", ["eleven", "pressure is eleven"])
def test_a_number_answers_what_was_not_understood_and_silence_does_not(holding, said):
    """A reading of later doesn't tell of what was said before: whether all held is asked then."""
    holding.run(5, *NOT_UNDERSTOOD, f"> {said}")
    assert state(holding) == [(True, [])]
    holding.run(1, *NOT_UNDERSTOOD, 2)
    assert holding.said[-1] == ALL
    holding.say("pressure is eleven")
    assert state(holding) == [(True, ["in_question"])]


def test_a_weight_that_rocks_answers_for_the_canner_that_was_asked_about_and_is_one_report(make):
    weighted = PRACTICE_KITCHEN.canners[1]
    cook = make(canners=(replace(weighted, number=1), weighted))
    cook.run("start seven quarts of green beans raw pack", "> yes", *cook.LOADED, *cook.VENTING, 10.1)
    cook.run("weight is on", "weight is rocking", *cook.CARROTS, *UP, "carrots weight is rocking", *NOT_UNDERSTOOD)
    assert state(cook) == [(True, ["unheard"])] * 2
    before = cook.kinds().count("weight_rocking")
    assert cook.bare("weight is rocking").endswith("Is the weight still rocking?")
    assert sorted(state(cook)) == [(True, []), (True, ["unheard"])]
    assert cook.kinds().count("weight_rocking") == before + 1


@pytest.mark.parametrize(
    ("before", "asked"),
    [(NOT_UNDERSTOOD, GAUGE), (("heat is off",), OFF), (("the pressure dropped to nine", "> no"), "")],
)
def test_nobody_knows_whether_it_held_is_a_loss_and_else_no_answer(holding, before, asked):
    """What can still be looked at is asked again."""
    holding.run(5, *before)
    answer = holding.bare("i don't know")
    assert (answer.endswith(asked), holding.load.holding) == (True, bool(asked))
    assert asked or answer.startswith("Green beans. Nobody knows that it held")


@pytest.mark.parametrize("answer", ["no it wasn't", "no it isn't"])
def test_a_no_in_the_words_of_another_question_does_not_say_that_nothing_changed(holding, answer):
    holding.bare("something gave way", typed=True)
    assert holding.wait(1510).endswith(ANY)
    assert holding.bare(answer, typed=True).endswith(ANY)
    assert holding.load.doubts


def test_heat_off_that_nobody_denies_is_of_the_one_that_was_named_and_asked_of_the_other(both):
    both.run("heat is off", "> carrots", 2)
    assert state(both) == [(True, ["in_question"]), (False, [])]


def test_the_time_that_heat_would_end_in_a_vent_is_called_the_vent(holding):
    holding.run(*holding.CARROTS, *UP[:4], 2, "heat is off")
    assert holding.bare("carrots") == f"Carrots. Eight minutes of the vent still to go. {OFF}"
    assert holding.bare("no").startswith("Carrots. Then it goes on. Eight minutes of the vent left.")


def test_a_name_and_a_quiet_weight_answer_for_that_load_alone(both):
    both.run("the pressure dropped to nine", "> carrots", "> no")
    assert state(both) == [(True, []), (False, [])]


def test_a_loss_that_was_of_neither_is_left_as_it_was(both):
    both.run("we lost pressure", "> carrots", "> no")
    assert both.bare("no").startswith("Left as it was. Carrots. Was the weight rocking all the time")
    both.bare("yes")
    assert state(both) == [(True, []), (True, [])]


def test_silence_after_a_cut_is_of_each_load_by_itself(both):
    both.cut(120)
    both.wait(70)
    assert sorted(state(both)) == [(False, []), (True, ["gap"])]


@pytest.mark.parametrize("said", ["weight is rocking", "carrots weight is rocking"])
def test_a_weight_that_rocks_does_not_say_that_the_heat_is_on(weighted, said):
    weighted.run(2, "heat is off", said)
    assert state(weighted) == [(True, ["heat_off"])]


@pytest.mark.parametrize("before", [("heat is off",), ("the pressure dropped to nine", "> no")])
def test_an_answer_by_which_it_held_is_taken_back_by_a_no_just_after_it(holding, before):
    holding.run(5, *before, "> yes" if len(before) > 1 else "> no")
    assert state(holding) == [(True, [])]
    assert holding.bare("no") == f"Taken back: your answer. {ALL}"
    assert state(holding) == [(True, ["in_question"])]


@pytest.mark.parametrize(
    ("minutes", "said"), [(5, "heat is off"), (24, "scratch that"), (25.2, "the pressure dropped to nine")]
)
def test_what_was_told_and_nobody_denies_counts_and_is_said_to(holding, minutes, said):
    holding.run(minutes, said)
    assert "Without a clear no it counts." in holding.wait(120)
    assert (holding.load.holding, holding.load.processed_t) == (False, None)


@pytest.mark.parametrize("said", ["steam is steady", "the green beans steam is steady"])
def test_steam_that_is_steady_again_starts_the_vent_over_by_name_and_without(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.CARROTS, 4, "no steady steam")
    assert [doubt.kind for doubt in cook.kitchen.doubts] == ["steam_stopped"]
    cook.say(said)
    assert cook.kitchen.doubts == ()
    assert cook.kitchen.open_loads[0].timer("vent").left_s(cook.t) == 600
    assert cook.kinds().count("steam_steady") == 2


@pytest.mark.parametrize("how", ["carrots", "canner two"])
def test_a_load_that_was_named_is_denied_by_a_no_just_after_it(both, how):
    both.run("we lost pressure", f"> {how}")
    assert both.said[-1] == "If I heard that wrong, say no."
    assert both.bare("no").startswith("Taken back: pressure dropped.")


@pytest.mark.parametrize(
    ("minutes", "said", "asked"),
    [
        (24, "scratch that", "Take it back?"),
        (25.2, "the pressure dropped to nine", "below eleven before the time was up?"),
    ],
)
def test_never_mind_is_no_answer_to_what_may_take_a_hold_back(holding, minutes, said, asked):
    holding.run(minutes, said)
    assert holding.say("never mind").endswith(asked)
    assert holding.load.doubt


def test_never_mind_settles_no_fault_that_may_be_of_either(both):
    assert both.say("steam is leaking").endswith("Which load: green beans or carrots?")
    assert both.say("never mind") == "Which load: green beans or carrots?"
    assert state(both) == [(True, ["fault"])] * 2


def test_what_a_hold_counts_from_is_gone_after_a_yes(holding):
    holding.run(24, "scratch that")
    assert holding.bare("yes").startswith("Taken back: pressure eleven. Coming up.")
    assert not holding.load.holding


def test_what_may_change_something_is_asked_again_after_ever_longer_silence(holding):
    holding.bare("something gave way", typed=True)
    holding.wait(1495)
    asked_t = []
    while holding.load.holding:
        asked_t += [holding.t] if holding.wait(5).endswith(ANY) else []
    pauses = [later - before for before, later in pairwise(asked_t)]
    assert [pause for pause in pauses if pause > 60] == pytest.approx([120, 240, 510], abs=20)


def test_a_check_that_is_taken_back_takes_with_it_that_the_canner_was_put_right(cook):
    cook.run(*cook.BEANS, "the gasket is cracked", "done")
    assert cook.load.fault("gear") is None
    assert cook.say("scratch that").startswith("Taken back: the last step. Packing. Don't heat it like that.")
    assert cook.load.fault("gear") is not None


def test_a_zero_that_is_denied_is_the_one_that_waits_and_none_that_was_told_in_a_hold(holding):
    holding.run(5, "gauge is at zero", "gauge is at zero", "steam is steady", 10.1, "weight is on")
    holding.run("pressure is eleven", 25.5, "heat is off", 45, "gauge is at zero", 1, "gauge is not at zero")
    zero = [event for event in holding.events if event.kind in ("gauge_zero", "pressure_is")]
    told = [event.seq for event in zero if event.data.get("pressure", 0) == 0]
    assert len(told) == 3
    assert [event.data["seq"] for event in holding.events if event.kind == "scratched"] == told[-1:]
    assert holding.load.stage == "cool"


def test_what_is_left_after_a_gap_of_unknown_length_is_told_as_the_most_it_can_be_when_the_heat_is_off(holding):
    holding.run(5)
    holding.cut(None)
    assert holding.say("heat is off").startswith("At most twenty minutes of the hold still to go.")


@pytest.mark.parametrize(
    "said", ["hello this is mary", "the plumber is here", "billy you may have a cookie", "come on in"]
)
def test_a_yes_with_words_for_somebody_else_is_no_answer(holding, said):
    holding.bare("the stove flickered", typed=True)
    holding.bare(f"yes {said}", typed=True)
    assert holding.load.doubted("in_question") is not None
    assert "counts on" in holding.bare("yes dear, the whole time", typed=True)


@pytest.mark.parametrize(
    "said", ["it wasn't at eleven the whole time", "it never reached eleven", "the heat wasn't on"]
)
@pytest.mark.parametrize("minutes", [(5,), (26, "heat is off", 2)])
def test_who_denies_the_hold_is_asked_whether_it_was_lost_and_a_yes_says_so(holding, minutes, said):
    holding.run(*minutes)
    assert holding.bare(said, typed=True).endswith("Was the pressure below eleven, or the heat off, at any time?")
    assert "Then it didn't hold the whole time" in holding.bare("yes", typed=True)


def test_a_report_beside_a_question_that_rests_has_an_answer(both):
    both.talk.record("doubt", None, "", {"kind": "in_question", "loads": (2,)})
    while not any(each.rests(both.t) for each in (both.talk.question, *both.talk.parked) if each):
        both.wait(5)
    assert both.say("carrots weight is rocking").endswith("Was the weight rocking all the time, with the heat on?")


@pytest.mark.parametrize(("said", "first"), [("carrots lost their rock", 2), ("the beans won't stay at eleven", 1)])
def test_the_load_that_is_named_is_asked_about_first_and_then_the_other(both, said, first):
    both.run("carrots weight is rocking", "green beans pressure is eleven")
    both.bare(said, typed=True)
    assert both.talk.question.load == first
    both.wait(60)
    assert both.talk.question.load == 3 - first


@pytest.mark.parametrize("said", ["carrots stopped rocking", "the carrots quit rocking", "the carrots' weight quit"])
def test_a_load_told_by_its_food_alone_is_the_one_that_lost_it(both, said):
    assert both.bare(said, typed=True).startswith("Carrots. A quiet weight means the pressure has dropped.")


def test_a_question_that_rests_is_asked_again_once_another_one_is_answered(holding):
    """Somebody is there again: what hangs on the other answer isn't left in silence."""
    for kind in ("of_vent", "in_question"):
        holding.talk.record("doubt", None, "", {"kind": kind, "loads": (1,)})
    for _ in range(40):
        if any(each.rests(holding.t) for each in holding.talk.parked):
            break
        holding.wait(5)
    assert holding.talk.parked
    assert holding.bare("yes", typed=True).endswith("?")


@pytest.mark.parametrize("said", ["the flame went out for a minute", "something went clunk in there"])
def test_what_is_asked_about_is_quoted_instead_of_not_understood(holding, said):
    answer = typed(holding, said)
    assert answer.startswith(f"You said: {said}. ") and answer.endswith("?")
    assert answer.count("You said") == 1


def test_what_nothing_is_asked_about_is_not_quoted(two):
    assert "You said" not in typed(two, "how does the radio work")


@pytest.mark.parametrize("said", ["it died down for a second", "it's kinda coming and going"])
def test_what_may_end_a_vent_in_the_words_of_another_stage_is_asked_about(begun, said):
    venting = begun(*begun.BEANS, *begun.LOADED, *begun.VENTING)
    assert typed(venting, said).startswith(f"You said: {said}. ")
    assert venting.load.doubt or venting.load.kept


def test_a_question_that_the_help_repeats_waits_for_its_answer_again(cook):
    cook.run(*cook.BEANS, "seven jars packed", "lid is locked")
    assert cook.said[-1].endswith("Is that so?")
    cook.say("the moon is made of cheese")
    cook.wait(180)
    assert "Is that so?" in cook.say("the moon is made of cheese")
    assert cook.bare("yes")
