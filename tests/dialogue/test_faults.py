"""What no gauge shows: it ends what counts until it is mended, and told after the end it keeps jars off the shelf."""

from __future__ import annotations

import pytest

from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.report.labels import label_lines
from kitchenvoice.logbook.report.lines import list_line
from kitchenvoice.logbook.report.records import open_logbook
from kitchenvoice.ports import Moment

from .conftest import typed

FAULTS = (
    "i never put the weight on", "the weight isn't on", "the lid isn't locked", "steam is leaking", "i never vented",
    "i forgot to vent", "the canner boiled dry", "i forgot the water", "the gauge is stuck",
    "the safety plug blew", "the weight fell off", "i put the weight on too soon",
)  # fmt: skip
MENDED = ("heat is on", "steam is steady", 10.1, "weight is on")


@pytest.fixture
def tomatoes(make):
    """Crushed tomatoes in boiling water, the acid confirmed, and the hold over."""
    cook = make()
    cook.run("start seven quarts of crushed tomatoes hot pack in boiling water", "> yes", "seven jars packed")
    cook.run("jars are in", "> yes", "done", "heat is on", "full boil")
    assert cook.load.holding
    return cook


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_a_hold_is_not_settled_by_the_gauge(holding, fault):
    holding.run(5)
    assert "Heat off" in holding.say(fault)
    assert not holding.load.holding
    holding.run("pressure is eleven", "> eleven", 60, "pressure is eleven", 60)
    assert holding.load.processed_t is None
    assert not any("in full" in text and "done" in text for text in holding.said)


@pytest.mark.parametrize("fault", FAULTS)
def test_no_call_to_turn_the_heat_up_follows_a_fault(holding, fault):
    holding.run(5, fault, 1, "> never mind", "never mind", 30)
    assert not any("Turn the heat up" in text for text in holding.said[-8:])


def test_mended_it_vents_again_and_runs_the_whole_time(holding):
    holding.run(5, "i forgot to vent", *MENDED, "pressure is eleven")
    assert holding.load.holding
    holding.wait(1501)
    assert holding.load.processed_t is not None
    assert not holding.load.unfit


@pytest.mark.parametrize(
    "fault",
    [
        "i forgot to vent", "the weight fell off", "steam comes out of the lid", "the gasket is hanging out",
        "the gasket blew out", "the gasket slipped", "the relief valve went", "it's leaking water",
        "there's not enough water", "the vent was closed during the vent", "the lid isn't locked",
    ],
)  # fmt: skip
def test_a_fault_while_the_pressure_comes_up_starts_no_hold(cook, fault):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on", fault, "pressure is eleven")
    assert not cook.load.holding
    cook.run(*MENDED, "pressure is eleven")
    assert cook.load.holding


@pytest.mark.parametrize(("answer", "runs"), [("yes", True), ("no", False), (None, False)])
def test_no_vent_starts_before_it_is_said_that_a_fault_is_put_right(holding, answer, runs):
    holding.run("the canner boiled dry", 1)
    assert holding.say("steam is steady").endswith("Has it been?")
    holding.run(3 if answer is None else f"> {answer}")
    assert (holding.load.timer("vent") is not None) == runs


@pytest.mark.parametrize("between", ["steam stopped", "weight is on", "the gauge is at zero", "pressure is four"])
def test_what_else_is_told_of_a_canner_with_a_fault_puts_nothing_right(holding, between):
    holding.run("the canner boiled dry", 1, between)
    assert holding.load.step == "mend"
    assert holding.say("where are we").startswith("The vent starts over.")
    assert holding.say("steam is steady").endswith("Has it been?")


def test_a_yes_after_a_fault_that_fits_nowhere_is_none_to_what_was_asked_before(cook):
    cook.run(*cook.SAUCE, "seven jars packed")
    assert cook.say("full boil").endswith("Is that so?")
    cook.run("the canner boiled dry", "> yes")
    assert cook.load.stage == "pack"


@pytest.mark.parametrize(("answer", "runs"), [("yes", True), ("no", False), (None, False)])
def test_no_boil_starts_before_it_is_said_that_a_fault_is_put_right(boiling, answer, runs):
    boiling.run("the canner boiled dry", 1)
    assert boiling.say("full boil").endswith("Has it been?")
    boiling.run(3 if answer is None else f"> {answer}")
    assert boiling.load.holding == runs


@pytest.mark.parametrize("fault", [each for each in FAULTS if "stuck" not in each])
def test_a_fault_told_while_it_cools_keeps_every_jar_off_the_shelf(holding, fault):
    holding.run(26, "heat is off", 5, fault)
    assert holding.load.unfit == 7
    holding.run(46, "the pressure is down", "> yes", 11, "lid is off", "jars are out", 721)
    holding.run("seven sealed none failed", "> yes")
    assert "aren't for the shelf" in holding.say("close the load")
    assert "Zero on the shelf." in holding.run("throw them out", "close the load")


@pytest.mark.parametrize("told", ["i poured water over it", "i cooled it with water", "i took the weight off",
                                  "the weight isn't on", "i took the weight off too early"])  # fmt: skip
def test_a_canner_cooled_by_force_keeps_every_jar_off_the_shelf(holding, told):
    holding.run(26, "heat is off", 5)
    assert "none of its jars goes on the shelf" in holding.bare(f"kitchen voice {told}", typed=True)
    assert holding.load.unfit == 7
    holding.bare("no")
    assert holding.load.unfit == 0


def test_heat_that_is_not_off_while_it_cools_is_to_be_turned_off(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    told = "Then it isn't cooling yet. Leave the lid on. Turn the heat off. Say heat is off."
    assert holding.say("the heat isn't off") == told
    assert not holding.load.at_zero
    assert "Turn the heat off." in holding.wait(600)
    holding.run("heat is off", 20)
    assert "Zero after twenty minutes?" in holding.say("gauge is at zero")


def test_a_weight_that_is_not_on_yet_in_a_vent_is_no_fault(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, "the weight isn't on")
    assert cook.load.timer("vent") is not None


LATE = ("it dropped in the middle", "the heat went out halfway", "it was at ten for a while", "i read the gauge wrong")


@pytest.mark.parametrize("told", LATE)
def test_a_loss_told_at_the_count_waits_for_an_answer(counting, told):
    told_so = counting.say(told).endswith("Was the pressure below eleven, or the heat off, at any time?")
    assert told_so is (told != LATE[-1])
    counting.run(30, "seven sealed none failed", "> yes", 30)
    assert "still in question" in counting.say("close the load")
    assert "none of its jars goes on the shelf" in counting.bare("yes" if told_so else "no")
    counting.run("close the load")
    assert counting.load.shelved == 0
    assert counting.load.stage != "closed"


def test_a_loss_told_at_the_count_that_was_none_leaves_a_remark(counting):
    counting.run(LATE[0], "> no", "seven sealed none failed", "> yes")
    assert "Seven on the shelf." in counting.say("close the load")
    assert [remark.kind for remark in counting.load.remarks] == ["in_question"]


def test_in_the_wait_at_zero_a_loss_takes_back_the_zero_and_the_hold(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 5)
    assert "at any time" in holding.say("it was at nine for a bit")
    holding.bare("yes")
    assert (holding.load.processed_t, holding.load.at_zero) == (None, False)


@pytest.mark.parametrize("after", [("lid is off", 6, "jars are out"), ("lid is off", 2)])
def test_a_doubt_about_a_boil_outlives_the_lid(boiling, after):
    boiling.run(16, "heat is off", "it was only simmering", *after, 721)
    assert boiling.load.doubt
    assert not any("label" in text for text in boiling.said)


def test_a_fault_told_at_the_count_is_kept_too(counting):
    counting.run("seven sealed none failed", "> yes", "i forgot to vent")
    assert counting.load.unfit == 7
    counting.run("close the load")
    assert counting.load.stage != "closed"


@pytest.mark.parametrize("stage", [(), ("heat is off",), ("heat is off", 6, "lid is off"),
                                   ("heat is off", 6, "lid is off", 6, "jars are out"),
                                   ("heat is off", 6, "lid is off", 6, "jars are out", 721)])  # fmt: skip
def test_acid_forgotten_is_kept_whenever_it_is_told(tomatoes, stage):
    tomatoes.run(46, *stage)
    assert tomatoes.load.processed_t is not None
    assert tomatoes.say("i forgot the lemon juice").endswith("How many jars are without it?")
    assert tomatoes.load.unfit == 7
    tomatoes.bare("two")
    assert tomatoes.load.unfit == 2


def test_acid_forgotten_in_two_jars_ends_the_hold(tomatoes):
    tomatoes.run(5, "i forgot the lemon juice in two jars")
    assert not tomatoes.load.holding
    tomatoes.run("full boil", 60)
    assert tomatoes.load.processed_t is None


def test_the_gauge_of_a_fault_needs_no_test_where_the_weight_tells(make):
    cook = make()
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "weight is on", "weight is rocking")
    cook.run(26, "heat is off", 5, "the gauge is stuck")
    assert "stuck" in cook.run(5, "gauge is at zero")
    assert not cook.load.at_zero


@pytest.mark.parametrize(("answer", "unfit"), [("yes", 0), ("no", 7), ("i don't know", 7), (None, 7)])
def test_a_gauge_that_is_stuck_while_it_cools_is_asked_about_in_the_hold(holding, answer, unfit):
    holding.run(26, "heat is off", 5)
    assert holding.say("the gauge is stuck").endswith("Did it still move as it should all through the hold?")
    assert holding.cut(3).endswith("Did it still move as it should all through the hold?")
    holding.run(6 if answer is None else f"> {answer}", 6)
    assert holding.load.unfit == unfit
    assert "its zero tells nothing" in holding.say("gauge is at zero")


def test_a_stuck_gauge_tells_no_zero(holding):
    holding.run(26, "heat is off", "the gauge is stuck", 10)
    assert "its zero tells nothing" in holding.say("gauge is at zero")
    assert not holding.load.at_zero
    holding.run(40, "gauge is at zero")
    assert holding.load.at_zero


@pytest.mark.parametrize(("jars", "shelved", "doubted"), [
    ("two", 5, "not all of it processed as tested"), ("seven", 0, "not processed as tested"),
])  # fmt: skip
def test_jars_without_acid_are_on_no_shelf_list(tomatoes, tmp_path, jars, shelved, doubted):
    tomatoes.run(46, "heat is off", 6, "lid is off", 6, "jars are out", "i forgot the lemon juice", f"> {jars}", 721)
    tomatoes.run("seven sealed none failed", "> yes", "throw them out", "close the load")
    assert tomatoes.load.stage == "closed"
    with SqliteLog(tmp_path) as log:
        log.append(tomatoes.events, Moment(utc=tomatoes.t, elapsed=tomatoes.t, boot="a"))
        assert sum(row[2] for row in log.on_shelf()) == shelved
        book = open_logbook(tmp_path)
        assert book is not None
        with book:
            on_shelf, (record,) = list(book.shelf()), book.loads()
    assert [each.on_shelf for each in on_shelf] == ([shelved] if shelved else [])
    assert (record.sealed, record.on_shelf) == (7, shelved)
    assert doubted in label_lines(record, 12)[-1]
    assert doubted in list_line(record, tomatoes.t, 12)


# ---------------------------------------------------------------- before it is heated

GEAR = ("it's clogged", "the gasket is torn", "clear except the gasket", "it isn't clear", "not clear", "rack isn't in")


@pytest.mark.parametrize("told", (*GEAR, "> no"))
def test_a_canner_whose_check_failed_is_not_heated_before_it_is_clear(cook, told):
    cook.run(*cook.BEANS)
    text = told.removeprefix("> ")
    said = cook.bare(text) if told.startswith(">") else cook.bare(f"kitchen voice {text}", typed=True)
    assert "the canner isn't ready" in said
    assert "Lock the lid" not in cook.run("seven jars packed", "jars are in")
    assert cook.load.stage == "pack"
    cook.say("clear")
    assert "Lock the lid" in cook.say("jars are in")
    assert not any("Not yet checked: the canner check" in text for text in cook.said)


def test_told_once_the_jars_are_in_the_lid_is_not_locked(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    cook.bare("kitchen voice the gasket is torn", typed=True)
    assert "Don't heat it like that" in cook.say("lid is locked")
    assert "Don't heat it like that" in cook.say("steam is steady")
    cook.run("clear", "lid is locked")
    assert cook.load.step == "heat"


@pytest.mark.parametrize(("between", "stands"), [((), False), (("heat is on",), True), (("how long is left",), False)])
def test_a_no_takes_a_fault_back_unless_something_else_was_told_since(holding, between, stands):
    holding.run(26, "they are half gallons", *between, "no")
    assert (holding.load.fault("numbers") is not None) == stands


@pytest.mark.parametrize("said", [
    "clear, well the gasket's got a little crack in it but it holds", "the vent pipe's a bit clogged",
    "the gasket has a nick in it but it still holds", "pipe's clear, seal has a small split though",
    "vent's clear and the gasket's a little worn on one side", "the gasket's kind of crumbly along the edge",
    "the rack is in but the vent pipe has a seed stuck in it", "it's clear, but the gasket feels stiff",
    "the rubber ring is dried out some",
])  # fmt: skip
def test_a_flaw_told_beside_a_check_is_put_right_before_it_is_passed(cook, said):
    cook.run(*cook.BEANS)
    assert typed(cook, said) == "Then the canner isn't ready. Put it right, and say clear."
    assert typed(cook, "it's fine").startswith("Don't heat it like that. Put it right")
    assert typed(cook, "clear").startswith("Clear. Are two to three inches of hot water")


@pytest.mark.parametrize("said", [
    "no cracks in the gasket", "the vent isn't plugged", "my hands are dry", "there's no hole in the pot",
    "i cleaned the gunk out of the vent pipe", "it's not cracked", "what if the gasket is cracked",
    "gasket has no nicks and the pipe is clear", "the gasket looks brand new",
])  # fmt: skip
def test_a_check_that_finds_nothing_is_no_flaw(cook, said):
    cook.run(*cook.BEANS)
    typed(cook, said)
    assert not cook.load.faults


def test_a_fault_told_of_a_load_given_up_is_asked_about_once_it_isnt(holding):
    holding.run("give up the load", "> yes", "the gauge is stuck", "scratch that")
    assert holding.load.given_up_t is None
    assert "fault" in {doubt.kind for doubt in holding.load.doubts}
    assert "The hold is done" not in holding.wait(1800)
