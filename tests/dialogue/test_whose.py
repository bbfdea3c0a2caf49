"""Whose report it is: named wrongly and corrected, by a name that several loads have or none, by no name at all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN

from .conftest import Cook, typed

MORE_BEANS = ("start seven quarts of green beans raw pack in canner two", "> yes")
NOBODY = 420
"""Seconds after which silence about a doubt counts as a loss."""


@pytest.fixture
def both_cool(two):
    two.run("green beans seven jars packed", "green beans jars are in", "green beans lid is locked")
    two.run("green beans steam is steady", 10.1, "weight is on", "pressure is eleven")
    two.run("carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady")
    two.run(10.1, "carrots weight is on", "weight is rocking", 16, "green beans heat is off", 10, "carrots heat is off")
    two.wait(46 * 60)
    assert [load.stage for load in two.kitchen.loads] == ["cool", "cool"]
    return two


@pytest.fixture
def both_vent(two):
    for load in ("green beans seven", "carrots nine"):
        name, count = load.rsplit(" ", 1)
        two.run(
            f"{name} {count} jars packed", f"{name} jars are in", f"{name} lid is locked", f"{name} steam is steady"
        )
    two.wait(120)
    assert all(load.timer("vent") for load in two.kitchen.loads)
    return two


@pytest.fixture
def same_food(cook):
    """Two loads of the same food that hold, one by a dial, one by a weight."""
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING)
    cook.run(*MORE_BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on", "weight is rocking", 1)
    assert all(load.holding for load in cook.kitchen.loads)
    return cook


@pytest.fixture
def one_is_lost(same_food):
    same_food.run("load one pressure dropped to nine", 1)
    return same_food


@pytest.mark.parametrize("lost", [(), ("weight stopped rocking",)])
@pytest.mark.parametrize("answer", ["> both", 2, "> load one"])
def test_heat_that_may_be_off_where_a_hold_was_lost_lets_none_start(one_is_lost, lost, answer):
    one_is_lost.run(*lost, "heat is off")
    assert "Which load" in one_is_lost.said[-1]
    one_is_lost.run(answer)
    assert one_is_lost.kitchen.loads[0].heat_off
    one_is_lost.run("load one pressure is eleven")
    assert not one_is_lost.kitchen.loads[0].holding
    one_is_lost.run("load one heat is on", "load one pressure is eleven")
    assert one_is_lost.kitchen.loads[0].holding


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_a_load_named_before_another_one_is_settled_by_its_own_answer(same_food, answer):
    same_food.run("heat is off", "> load one", "load two heat is off", f"> {answer}")
    assert same_food.said[-1].endswith("Is the heat off?")
    assert "load one" in same_food.said[-1]
    assert [load.doubt for load in same_food.kitchen.loads] == [True, False]


@pytest.mark.parametrize(
    ("denied", "asked"),
    [
        ("no", "load two. Did the pressure drop here?"),
        ("scratch that", "Which load: green beans, load one or green beans, load two?"),
    ],
)
def test_a_zero_that_was_named_and_denied_may_be_of_the_other_one_again(one_is_lost, denied, asked):
    one_is_lost.run("gauge is at zero", "> load one", denied)
    assert one_is_lost.said[-1].endswith(asked)
    assert one_is_lost.kitchen.loads[1].doubt


def test_heat_that_was_not_the_other_ones_is_asked_of_where_the_hold_was_lost(one_is_lost):
    one_is_lost.run("heat is off", "> load two", "> no")
    assert one_is_lost.said[-1].endswith("load one. Is the heat off?")
    one_is_lost.run("load one pressure is eleven")
    assert not one_is_lost.kitchen.loads[0].holding
    one_is_lost.run("> no", "load one pressure is eleven")
    assert one_is_lost.kitchen.loads[0].holding
    assert not one_is_lost.kitchen.loads[0].remarks


@pytest.fixture
def one_holds_one_cools(two):
    two.run("green beans seven jars packed", "green beans jars are in", "green beans lid is locked")
    two.run("green beans steam is steady", 10.1, "weight is on", "pressure is eleven")
    two.run("carrots nine jars packed", "carrots jars are in", "carrots lid is locked", "carrots steam is steady")
    two.run(10.1, "carrots weight is on", "weight is rocking", 16, "green beans heat is off", 1)
    beans, carrots = two.kitchen.loads
    assert beans.stage == "cool"
    assert carrots.holding
    return two


@pytest.mark.parametrize(
    "lines",
    [
        ("the green beans gauge is at zero", "no the carrots"),
        ("load one gauge is at zero", "> i meant the carrots"),
        ("load one gauge is at zero", "> the other one"),
        ("load one gauge is at zero", "> no not the green beans"),
        ("gauge is at zero", "> green beans", "> no the carrots"),
    ],
)
def test_a_zero_named_wrongly_is_taken_back_and_taken_for_the_other(both_cool, lines):
    for line in lines:
        answer = both_cool.bare(line.removeprefix("> "), typed=True)
    beans, carrots = both_cool.kitchen.loads
    assert "Taken back: pressure at zero." in answer
    assert "Carrots. Pressure at zero. Ten minutes to wait." in answer
    assert (beans.at_zero, carrots.at_zero) == (False, True)
    told = both_cool.wait(601)
    assert "Carrots. The ten minutes are up." in told
    assert "Green beans. The ten" not in told


def test_a_reading_named_wrongly_is_taken_for_the_other(same_food):
    same_food.run("load one pressure is eleven")
    assert "Taken back: pressure eleven." in same_food.bare("no load two")


@pytest.mark.parametrize(
    "said", ["the beans dropped", "the beans are at nine", "the beans heat is off", "the beans lost pressure"]
)
def test_a_loss_of_a_name_that_both_have_counts_for_both_without_an_answer(same_food, said):
    assert same_food.bare(said, typed=True).startswith("Which load: green beans, load one or green beans, load two?")
    same_food.wait(NOBODY)
    assert not any(load.holding for load in same_food.kitchen.loads)


def test_a_loss_of_a_name_that_both_have_is_of_the_one_that_is_named(same_food):
    same_food.bare("the beans dropped", typed=True)
    same_food.bare("load two", typed=True)
    assert [load.holding for load in same_food.kitchen.loads] == [True, False]


def test_a_zero_of_a_name_that_both_have_lets_air_in(same_food):
    same_food.bare("the beans are at zero", typed=True)
    same_food.wait(NOBODY)
    assert same_food.kitchen.loads[0].step == "vent_again"


@pytest.mark.parametrize("said", ["load three lost pressure", "load three is at nine"])
def test_a_loss_of_a_load_that_isnt_there_is_asked_about(holding, said):
    assert "Was the pressure at eleven or above all the time" in holding.bare(said, typed=True)
    holding.wait(NOBODY)
    assert not holding.load.holding


def test_a_good_report_of_a_load_that_isnt_there_is_nobodys(holding):
    assert holding.bare("load three is at eleven", typed=True) == "I have no such load. I have green beans."
    assert not holding.load.doubt


@pytest.fixture
def cools(holding):
    holding.run(25.2, "heat is off", 46)
    assert holding.load.stage == "cool"
    return holding


EMPTY = "Nothing is in canner two. Is it canner one?"


@pytest.mark.parametrize("right", ["yes", "canner one", "i mean canner one", "i mean canner one is at zero"])
def test_a_zero_of_an_empty_canner_is_that_of_the_one_which_is_named_then(cools, right):
    assert typed(cools, "canner two is at zero") == EMPTY
    assert not cools.load.doubt
    assert "Pressure at zero. Ten minutes to wait." in typed(cools, right)
    assert cools.load.at_zero


def test_a_report_of_an_empty_canner_is_nobodys_after_a_no(cools):
    typed(cools, "canner two is at zero")
    assert typed(cools, "no") == "All right."
    cools.wait(NOBODY)
    assert not (cools.load.doubt or cools.load.at_zero)
    assert cools.load.processed_t is not None
    assert "Pressure at zero." in typed(cools, "i mean canner one is at zero")


def test_a_loss_of_an_empty_canner_is_asked_about_at_the_end_unless_it_is_answered(holding):
    assert typed(holding, "canner two dropped to nine") == EMPTY
    holding.wait(NOBODY)
    assert holding.load.holding
    holding.run(20)
    assert "Was the pressure at eleven or above all the time" in " ".join(holding.said[-2:])


@pytest.mark.parametrize(("answer", "holds"), [("yes", False), ("no", True)])
def test_a_loss_of_an_empty_canner_is_of_the_one_that_holds_only_after_a_yes(holding, answer, holds):
    typed(holding, "canner two dropped to nine")
    typed(holding, answer)
    assert holding.load.holding is holds
    assert not (holding.load.doubt or holding.load.kept)


def test_of_several_on_the_stove_it_is_asked_which_one_an_empty_canner_stands_for(two):
    two.run("green beans seven jars packed", "green beans jars are in", "green beans lid is locked")
    two.run("green beans steam is steady", 10.1, "weight is on", "pressure is eleven")
    assert typed(two, "canner three is at nine").startswith("Nothing is in canner three.")
    assert two.kitchen.loads[0].holding


def test_heat_that_was_of_something_else_is_taken_back(same_food):
    typed(same_food, "heat is off on canner one", "no i mean i turned off the oven")
    same_food.wait(NOBODY)
    assert all(load.holding for load in same_food.kitchen.loads)


def test_what_was_meant_instead_of_heat_off_and_isnt_known_leaves_the_hold_in_question(same_food):
    typed(same_food, "heat is off on canner two")
    assert "Was the weight rocking all the time, with the heat on?" in typed(same_food, "no, the oven, i mean")
    same_food.bare("yes")
    assert same_food.kitchen.loads[1].holding


@pytest.mark.parametrize("said", ["weight is on", "steam stopped", "i turned it down"])
def test_what_ends_a_vent_ends_each_that_it_may_be_of_without_an_answer(both_vent, said):
    assert both_vent.bare(said, typed=True).endswith("Which load: green beans or carrots?")
    both_vent.wait(NOBODY)
    assert not any(load.timer("vent") for load in both_vent.kitchen.loads)


def test_a_weight_put_on_too_early_breaks_the_vent_that_is_named(both_vent):
    both_vent.run("weight is on", "> carrots")
    assert [bool(load.timer("vent")) for load in both_vent.kitchen.loads] == [True, False]
    assert both_vent.kitchen.loads[1].step == "weight_early"


def test_a_weight_on_neither_breaks_no_vent(both_vent):
    both_vent.run("weight is on", "> neither", 9)
    assert both_vent.kinds().count("vent_done") == 2


def test_a_weight_that_is_off_can_be_of_the_one_that_holds(one_holds_one_cools):
    answer = one_holds_one_cools.bare("i took the weight off", typed=True)
    assert "Leave it on until the pressure is all gone" in answer
    assert answer.endswith("Which load: green beans or carrots?")
    one_holds_one_cools.wait(NOBODY)
    assert not one_holds_one_cools.kitchen.loads[1].holding
    assert one_holds_one_cools.kitchen.loads[0].processed_t is not None


def test_a_weight_that_is_off_of_the_one_that_cools_leaves_the_hold_alone(one_holds_one_cools):
    one_holds_one_cools.bare("i took the weight off", typed=True)
    assert "Leave it on" in one_holds_one_cools.bare("green beans", typed=True)
    one_holds_one_cools.wait(NOBODY)
    assert one_holds_one_cools.kitchen.loads[1].holding


def test_steam_that_comes_out_puts_the_one_that_holds_in_question(one_holds_one_cools):
    answer = one_holds_one_cools.bare("steam is coming out", typed=True)
    assert answer.endswith("Carrots. Was the weight rocking all the time, with the heat on?")
    one_holds_one_cools.wait(NOBODY)
    beans, carrots = one_holds_one_cools.kitchen.loads
    assert not carrots.holding
    assert beans.processed_t is not None


@pytest.mark.parametrize(
    "said",
    ["pressure is five", "weight is rocking", "it's at eleven", "weight is on and it's at eleven", "it's rising"],
)
def test_pressure_in_a_vent_tells_that_its_weight_is_on(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 3)
    answer = cook.bare(said, typed=True)
    assert answer.startswith("The vent ran only three minutes, and needs its full time in one piece. Heat off.")
    assert cook.load.step == "under_pressure"
    cook.wait(600)
    assert "vent_done" not in cook.kinds()


def test_pressure_after_the_vent_is_the_weight_that_was_called_for(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 11)
    assert cook.say("pressure is five").startswith("Weight is on.")
    assert cook.load.stage == "come_up"


@pytest.mark.parametrize("told", ["the lock has dropped", "I never put the weight on"])
@pytest.mark.parametrize("between", [(), ("heat is on",), ("can I open it",)])
def test_no_hold_starts_before_it_is_known_whose_air_or_fault_it_was(one_is_lost, told, between):
    one_is_lost.run(told)
    assert "Which load" in one_is_lost.said[-1]
    one_is_lost.run(*between, "load one pressure is eleven")
    assert not one_is_lost.kitchen.loads[0].holding
    assert "Which load" in one_is_lost.said[-1]


def test_both_of_a_fault_is_also_of_the_load_whose_hold_was_lost_before(one_is_lost):
    one_is_lost.run("I never put the weight on", "> both", "load one pressure is eleven")
    assert not any(load.holding for load in one_is_lost.kitchen.loads)


def test_an_answer_to_something_else_asks_again_whose_reading_it_was(one_is_lost):
    one_is_lost.run("pressure is eleven", "can I open it")
    assert "Leave the lid on." in one_is_lost.said[-1]
    assert one_is_lost.said[-1].endswith("Which load: green beans, load one or green beans, load two?")


@pytest.fixture
def two_hold(two):
    for name, count in (("green beans", "seven"), ("carrots", "nine")):
        two.run(f"{name} {count} jars packed", f"{name} jars are in", f"{name} lid is locked")
        two.run(f"{name} steam is steady", 10.1, f"{name} weight is on")
        two.run("weight is rocking" if name == "carrots" else "green beans pressure is eleven")
    assert all(load.holding for load in two.kitchen.loads)
    return two


@pytest.fixture
def one_cools(two_hold):
    """Green beans cool for two minutes; carrots hold."""
    two_hold.run(14.9, "green beans heat is off", 2)
    assert [load.stage for load in two_hold.kitchen.loads] == ["cool", "hold"]
    return two_hold


@pytest.mark.parametrize("told", ["gauge is at zero", "the lid is off"])
@pytest.mark.parametrize("answer", ["that's the carrots", "no the carrots", "that was the carrots"])
def test_another_name_over_a_question_takes_the_report_for_that_load(one_cools, told, answer):
    one_cools.run(told)
    assert "Green beans." in one_cools.said[-1]
    one_cools.bare(answer, typed=True)
    beans, carrots = one_cools.kitchen.loads
    assert not (beans.at_zero or beans.doubt)
    assert carrots.doubt or not carrots.holding


def test_a_bare_name_over_a_question_is_asked_about(two_hold):
    two_hold.run("carrots heat is off")
    assert two_hold.bare("the beans", typed=True) == "Which load: green beans or carrots?"
    assert two_hold.kitchen.loads[1].doubt
    assert two_hold.bare("the beans", typed=True).startswith("Green beans.")
    beans, carrots = two_hold.kitchen.loads
    assert (beans.doubted("heat_off") is not None, carrots.doubt) == (True, False)


@pytest.mark.parametrize("answer", ["no the beans", "that was the beans", "not the carrots"])
def test_heat_that_was_another_ones_is_asked_about_there(two_hold, answer):
    two_hold.run("carrots heat is off")
    assert two_hold.bare(answer, typed=True).startswith("Green beans.")
    beans, carrots = two_hold.kitchen.loads
    assert (beans.doubted("heat_off") is not None, carrots.doubt) == (True, False)


@pytest.mark.parametrize(
    "told", ["the carrots are at zero", "the carrots lid is off", "carrots jars are out", "i opened the carrots"]
)
def test_what_a_load_that_holds_cannot_be_is_a_doubt_of_it_however_far_another_is(one_cools, told):
    one_cools.bare(told, typed=True)
    assert one_cools.kitchen.loads[1].doubt or not one_cools.kitchen.loads[1].holding


@pytest.mark.parametrize("answer", ["the beans", "both", "not the carrots"])
def test_a_drop_told_of_a_load_that_is_over_is_asked_about_there(one_cools, answer):
    one_cools.bare("it did drop earlier", typed=True)
    one_cools.bare(answer, typed=True)
    beans, carrots = one_cools.kitchen.loads
    assert beans.doubted("in_question")
    assert carrots.holding is (answer != "both")


@pytest.fixture
def two_dials(make):
    """Two loads that hold by dials."""
    dial = PRACTICE_KITCHEN.canners[0]
    cook = make(canners=(dial, replace(dial, number=2)))
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING)
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "carrots weight is on")
    cook.run("carrots pressure is eleven", 1)
    assert [load.holding for load in cook.kitchen.loads] == [True, True]
    return cook


@pytest.mark.parametrize(
    ("said", "holding"),
    [
        ("they're both at eleven", [True, True]),
        ("eleven on both", [True, True]),
        ("both at eleven", [True, True]),
        ("eleven and eleven", [True, True]),
        ("green beans and carrots are at eleven and nine respectively", [True, False]),
        ("both gauges read eleven", [True, True]),
        ("they're both at ten", [False, False]),
        ("both dropped", [False, False]),
        ("the other one is at nine", [True, False]),
    ],
)
def test_what_is_said_of_both_or_of_the_other_one_is_said_of_each(two_dials, said, holding):
    two_dials.run("load one pressure is eleven")
    two_dials.bare(said, typed=True)
    assert [load.holding for load in two_dials.kitchen.loads] == holding
    assert not any(load.doubt for load in two_dials.kitchen.loads)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("weight's on the carrots", [False, True]),
        ("weight's on the green beans", [True, False]),
        ("weight is on carrots", [False, True]),
        ("the steam stopped on the carrots", [False, True]),
    ],
)
def test_a_name_behind_a_report_says_whose_it_is(both_vent, said, meant):
    both_vent.bare(said, typed=True)
    assert [load.timer("vent") is None for load in both_vent.kitchen.loads] == meant


def test_what_is_asked_back_is_of_the_load_that_was_named(both_vent):
    assert "Did you say weight is on?" in both_vent.bare("weight is on snug carrots", typed=True)
    both_vent.bare("yes", typed=True)
    assert [load.timer("vent") is None for load in both_vent.kitchen.loads] == [False, True]


@pytest.mark.parametrize(
    "said", ["same for the other", "so are the carrots", "carrots too", "the other one's the same"]
)
@pytest.mark.parametrize(("told", "holds"), [("it's at ten", False), ("it's at twelve", True)])
def test_what_was_just_told_is_so_of_another_load_too_in_a_few_words(two_dials, told, holds, said):
    two_dials.bare(f"green beans {told}", typed=True)
    two_dials.bare(said, typed=True)
    assert [load.holding for load in two_dials.kitchen.loads] == [holds, holds]
    assert two_dials.kitchen.loads[1].last_psi_t == (two_dials.t if holds else two_dials.kitchen.loads[1].last_psi_t)


@pytest.mark.parametrize("said", ["carrots too", "so are the carrots"])
def test_what_is_asked_about_one_load_is_asked_about_the_other_too(two_dials, said):
    two_dials.bare("green beans heat is off", typed=True)
    two_dials.bare(said, typed=True)
    assert all(load.doubted("heat_off") for load in two_dials.kitchen.loads)


def test_the_other_one_alone_after_a_loss_is_asked_about(two_dials):
    two_dials.bare("green beans at ten", typed=True)
    assert two_dials.bare("and the other one", typed=True).startswith("Carrots. Was the pressure at eleven or above")
    beans, carrots = two_dials.kitchen.loads
    assert not beans.holding and carrots.doubt


def test_what_is_so_of_another_load_too_needs_something_told_just_before(two_dials):
    two_dials.wait(70)
    two_dials.bare("so are the carrots", typed=True)
    assert all(load.holding and not load.doubt for load in two_dials.kitchen.loads)


def test_a_zero_that_may_be_of_the_load_that_holds_is_lost_without_an_answer(one_cools):
    one_cools.run("gauge is at zero")
    assert one_cools.bare("the carrots", typed=True) == "Which load: green beans or carrots?"
    assert one_cools.kitchen.loads[1].doubt
    one_cools.wait(NOBODY)
    assert not one_cools.kitchen.loads[1].holding


@pytest.mark.parametrize("said", ["carrots stopped rocking", "i added cold water to the carrots because it was low"])
def test_a_sentence_that_names_one_load_touches_no_other(two_hold, said):
    two_hold.bare(said, typed=True)
    beans, carrots = two_hold.kitchen.loads
    assert beans.holding and not (beans.doubt or beans.kept)
    assert carrots.doubt or not carrots.holding


@pytest.mark.parametrize("said", ["one's at ten and the other's at twelve", "the left one's slipped to nine"])
def test_a_reading_too_low_of_one_of_two_is_a_doubt_on_both(two_dials, said):
    two_dials.bare(said, typed=True)
    assert all(load.doubted("in_question") for load in two_dials.kitchen.loads)


@pytest.fixture
def weight_and_dial(holding):
    """Green beans that hold by a dial, carrots by a weight."""
    holding.run(*holding.CARROTS, "carrots nine jars are in", "carrots lid is locked", "carrots steam is steady")
    holding.run(10.1, "carrots weight is on", "carrots weight is rocking", "green beans pressure is eleven")
    assert [load.holding for load in holding.kitchen.loads] == [True, True]
    return holding


MOVED = ("no not the carrots the beans", "wrong one the beans", "it was the beans", "make that the beans",
         "not the carrots", "it was load one", "not the carrots but the beans", "no, the beans",
         "sorry I meant the beans", "the other one")  # fmt: skip


@pytest.mark.parametrize("said", MOVED)
def test_a_loss_that_is_moved_puts_the_other_load_in_question(weight_and_dial, said):
    typed(weight_and_dial, "carrots weight stopped rocking", said)
    beans, carrots = weight_and_dial.kitchen.loads
    assert carrots.holding and carrots.doubt and beans.doubt
    weight_and_dial.wait(30 * 60)
    assert not any(load.processed_t for load in weight_and_dial.kitchen.loads)


@pytest.mark.parametrize("said", ["no not carrots beans", "sorry, the beans", "it was the beans", "not the carrots"])
def test_heat_that_was_of_another_load_is_asked_of_that_one(weight_and_dial, said):
    asked = typed(weight_and_dial, "carrots heat is off", said)
    assert asked.startswith("Green beans.") and asked.endswith("Is the heat off?")
    assert [load.doubt for load in weight_and_dial.kitchen.loads] == [True, False]


@pytest.mark.parametrize("said", ["it was the carrots", "it was load two"])
def test_a_loss_stands_whose_own_load_is_named(weight_and_dial, said):
    typed(weight_and_dial, "carrots weight stopped rocking", said)
    beans, carrots = weight_and_dial.kitchen.loads
    assert not carrots.holding and beans.holding and not beans.doubt


@pytest.mark.parametrize(
    ("told", "holds"),
    [("the pressure dropped", False), ("the pressure dropped to nine", False), ("the gauge is at eleven", True)],
)
def test_what_a_gauge_tells_beside_a_weight_that_rocks_is_of_the_dial(weight_and_dial, told, holds):
    assert "Which load" not in typed(weight_and_dial, f"carrots are rocking and {told}")
    assert [load.holding for load in weight_and_dial.kitchen.loads] == [holds, True]


@pytest.mark.parametrize(("told", "holds"), [("the weight is rocking", True), ("the weight stopped", False)])
def test_what_a_weight_tells_beside_a_reading_is_of_the_load_with_a_weight(weight_and_dial, told, holds):
    typed(weight_and_dial, f"beans are at eleven and {told}")
    last = [(event.load, event.kind) for event in weight_and_dial.events if event.kind.startswith("weight_")][-1]
    assert last == (2, "weight_rocking" if holds else "weight_quiet")
    assert [load.holding for load in weight_and_dial.kitchen.loads] == [True, holds]


def test_heat_that_is_on_again_is_of_the_load_whose_heat_was_off(weight_and_dial):
    weight_and_dial.run("green beans heat is off", "> yes", "heat is on")
    assert [load.heat_off for load in weight_and_dial.kitchen.loads] == [False, False]
    assert weight_and_dial.talk.question is None or weight_and_dial.talk.question.kind != "which"


@pytest.mark.parametrize("answer", ["the one in canner two", "the one in the second canner", "canner two"])
def test_which_load_is_answered_by_the_canner_that_it_is_in(weight_and_dial, answer):
    asked = typed(weight_and_dial, "heat is off", answer)
    assert asked.startswith("Carrots.") and asked.endswith("Is the heat off?")


BEANS = ("the beans", "the beans one", "the one with the dial", "the dial one", "canner one")
CARROTS = ("the carrots", "the carrots one", "the one with the weight", "the jiggly one", "the one in canner two")


@pytest.mark.parametrize("frame", ["{}", "it's {}", "sorry, {} I mean", "{} dear", "oh it was {} that did it"])
@pytest.mark.parametrize("named", [*BEANS, *CARROTS])
def test_which_load_is_answered_by_any_name_of_it_in_any_words(weight_and_dial, named, frame):
    typed(weight_and_dial, "it's dropped", frame.format(named))
    assert [load.holding for load in weight_and_dial.kitchen.loads] == [named in CARROTS, named in BEANS]


@pytest.mark.parametrize(
    "frame",
    [
        "{} not {}",
        "not {1}, {0}",
        "{1} isn't it, {0} is",
        "{1} is fine, it's {0}",
        "it's not {1} that dropped, it's {0}",
    ],
)
@pytest.mark.parametrize(("named", "denied"), [*zip(BEANS, CARROTS, strict=True), *zip(CARROTS, BEANS, strict=True)])
def test_which_load_is_answered_by_a_name_beside_one_that_is_denied(weight_and_dial, named, denied, frame):
    frame = frame.replace("{}", "{0}", 1).replace("{}", "{1}")
    typed(weight_and_dial, "it's dropped", frame.format(named, denied))
    assert [load.holding for load in weight_and_dial.kitchen.loads] == [named in CARROTS, named in BEANS]


@pytest.mark.parametrize("told", ["didn't hold", "never came back up", "weren't steady", "didn't get back up"])
def test_h01_a_load_named_with_what_it_did_not_do_is_not_cleared(weight_and_dial, told):
    typed(weight_and_dial, "it's dropped", f"the carrots {told}")
    weight_and_dial.wait(NOBODY)
    assert not weight_and_dial.kitchen.loads[1].holding


@pytest.mark.parametrize("denied", [*BEANS, *CARROTS])
@pytest.mark.parametrize("frame", ["not {}", "it isn't {}", "it wasn't {}"])
def test_h01_a_load_denied_by_any_name_leaves_the_other_open(weight_and_dial, denied, frame):
    typed(weight_and_dial, "it's dropped", frame.format(denied))
    (doubt,) = weight_and_dial.kitchen.doubts
    left = [load.number for load in weight_and_dial.kitchen.in_doubt(doubt.id)]
    assert left == [2 if denied in BEANS else 1]


@pytest.mark.parametrize(
    "said",
    [
        "neither, sorry, I was looking at the clock",
        "neither, I meant the oven",
        "none of them, I misread the dial",
        "neither of the two, it was the kettle",
        "neither the beans nor the carrots",
        "neither one, my mistake",
    ],
)
def test_h01_neither_with_what_it_was_instead_is_neither(weight_and_dial, said):
    typed(weight_and_dial, "pressure's low")
    assert typed(weight_and_dial, said) == "Left as it was."
    assert all(load.holding and not load.doubt for load in weight_and_dial.kitchen.loads)


@pytest.mark.parametrize(
    "said",
    [
        "neither is at eleven",
        "neither of them is at eleven",
        "neither, they went quiet",
        "neither, the stove was off",
        "neither, it was at nine though",
        "neither I think",
        "I'm not sure, the beans?",
        "the beans or the carrots",
        "neither, but the beans didn't hold",
        "it isn't the beans that held",
        "the beans have not held",
        "the carrots won't rock",
    ],
)
def test_h01_no_load_is_cleared_by_words_that_leave_it_open(weight_and_dial, said):
    typed(weight_and_dial, "it's dropped", said)
    assert all(load.doubt for load in weight_and_dial.kitchen.loads if load.holding)
    weight_and_dial.wait(NOBODY)
    assert not any(load.holding for load in weight_and_dial.kitchen.loads)


@pytest.mark.parametrize(
    ("said", "lost"),
    [
        ("it's not the carrots that dropped, it's the beans", 1),
        ("it's the beans that dropped, not the carrots", 1),
        ("it isn't the beans that have stopped rocking, it's the carrots", 2),
    ],
)
def test_a_loss_told_of_one_load_and_denied_of_the_other_is_of_that_one(weight_and_dial, said, lost):
    typed(weight_and_dial, said)
    assert [load.number for load in weight_and_dial.kitchen.loads if not load.holding] == [lost]
    assert not weight_and_dial.kitchen.doubts


@pytest.fixture
def one_is_done(weight_and_dial):
    """Green beans that are done, and carrots that still hold; their heat went off, as was told of none by name."""
    weight_and_dial.wait(15 * 60)
    assert typed(weight_and_dial, "turned it off now").startswith("Green beans. Heat is off.")
    assert [load.claims for load in weight_and_dial.kitchen.loads] == [False, True]
    return weight_and_dial


@pytest.mark.parametrize("named", ["the carrots", "canner two"])
@pytest.mark.parametrize("answer", ["yes", None])
def test_h02_a_load_named_after_heat_off_without_a_name_is_asked_about(one_is_done, named, answer):
    asked = typed(one_is_done, named)
    assert asked.startswith("Carrots.") and asked.endswith("Is the heat off?")
    typed(one_is_done, *([answer] if answer else ()))
    one_is_done.wait(120)
    beans, carrots = one_is_done.kitchen.loads
    assert not (carrots.holding or beans.heat_off)


def test_h02_a_no_to_it_leaves_the_heat_off_where_it_was(one_is_done):
    typed(one_is_done, "the carrots", "no")
    beans, carrots = one_is_done.kitchen.loads
    assert beans.heat_off and carrots.holding and not carrots.doubt


@pytest.mark.parametrize(
    "said", ["that was the carrots I turned off", "I meant the carrots", "not the beans", "it was the carrots"]
)
def test_h02_heat_off_that_is_moved_is_of_the_load_it_was_moved_to(one_is_done, said):
    asked = typed(one_is_done, said)
    assert asked.startswith("Taken back: heat off.") and asked.endswith("Is the heat off?")
    assert [load.heat_off for load in one_is_done.kitchen.loads] == [False, False]
    typed(one_is_done, "yes")
    assert not one_is_done.kitchen.loads[1].holding


@pytest.mark.parametrize("before", [("beans heat is off",), ("the beans", "heat is off")])
def test_a_load_named_after_heat_off_of_another_by_name_is_only_turned_to(weight_and_dial, before):
    weight_and_dial.wait(15 * 60)
    typed(weight_and_dial, *before)
    assert typed(weight_and_dial, "the carrots").startswith("Carrots. Holding")
    assert not weight_and_dial.kitchen.loads[1].doubt


@pytest.mark.parametrize("said", ["the beans are at eleven", "beans at eleven"])
def test_a_report_of_another_load_moves_no_doubt_to_it(weight_and_dial, said):
    typed(weight_and_dial, "carrots weight stopped rocking", "no", said)
    assert [load.doubt for load in weight_and_dial.kitchen.loads] == [False, True]


@pytest.mark.parametrize(
    ("said", "jars"), [("put the jars in canner two", None), ("the nine jars went in canner two", 9)]
)
def test_the_number_of_a_canner_counts_no_jars(two, said, jars):
    two.run("carrots nine jars packed")
    two.bare(said, typed=True)
    (event,) = [each for each in two.events if each.kind == "jars_in"]
    assert (event.load, event.data.get("count")) == (2, jars)


@pytest.mark.parametrize(
    "said", ["steam is steady on canner one", "weight is on canner one", "canner one is at eleven"]
)
@pytest.mark.parametrize("loaded", [(), ("jars are in", "lid is locked")])
def test_a_report_of_an_empty_canner_is_of_no_load_in_another(begun, said, loaded):
    cook = begun(*Cook.CARROTS, "nine jars packed", *loaded)
    before = cook.load
    assert cook.bare(said, typed=True).startswith(("I have no such load", "Nothing is in canner one."))
    assert (cook.load.stage, cook.load.step) == (before.stage, before.step)
    assert not {"steam_steady", "weight_on", "pressure_is"} & set(cook.kinds())
