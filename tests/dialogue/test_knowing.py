"""General questions are answered in the reference's own sentences, in the numbers of the load where there is one."""

from __future__ import annotations

import pytest

from kitchenvoice.reference.knowledge import family

from .conftest import typed


def test_a_question_before_any_load_is_answered(cook):
    assert cook.bare("what does fingertip tight mean", typed=True) == family("fingertip_tight_meaning").answer


def test_a_load_fills_in_its_numbers(holding):
    assert "eleven" in holding.bare("what should the needle show", typed=True).lower()


def test_a_question_that_may_imply_a_loss_puts_the_hold_in_doubt(holding):
    holding.bare("is eleven pounds enough", typed=True)
    assert holding.load.doubts


def test_a_question_that_implies_a_loss_is_that_loss(holding):
    holding.bare("it only dropped for a second", typed=True)
    assert holding.load.hold.lost_t is not None


def test_what_is_no_question_of_the_kind_is_still_a_miss(cook):
    assert "didn't get that" in cook.bare("the moon is made of plaster", typed=True)


def test_nothing_is_answered_that_was_not_said_to_us(holding):
    assert holding.bare("can i reuse lids") == ""


@pytest.mark.parametrize(
    "said", ["i forgot to vent", "the weight fell off", "the canner boiled dry", "the gauge is stuck", "the plug blew"]
)
def test_what_no_gauge_can_show_ends_the_hold_whatever_the_gauge_reads(holding, said):
    holding.bare(said, typed=True)
    assert holding.load.hold.lost_t is not None
    holding.say("pressure is eleven")
    holding.run(30)
    assert "hold_done" not in [event.kind for event in holding.events]


@pytest.mark.parametrize("said", ["the lid is off", "jars are out", "steam stopped"])
def test_a_report_that_fits_nowhere_and_contradicts_the_hold_puts_it_in_doubt(holding, said):
    holding.say(said)
    assert holding.load.doubts or holding.load.hold.lost_t is not None


def test_a_question_after_a_statement_is_answered_and_the_hold_asked(holding):
    said = holding.bare("too hot should i turn it down", typed=True)
    assert "A little at a time" in said
    assert holding.load.kept


def test_a_question_of_a_pressure_while_it_vents_is_answered(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "steam is steady")
    said = cook.bare("why is there pressure during the vent", typed=True)
    assert family("pressure_in_vent").answer in said
    assert cook.load.step == "venting"


def test_jars_to_fill_are_told_in_printed_pounds(cook):
    assert "fourteen to twenty one pounds" in cook.bare("how many pounds of carrots fill seven quarts", typed=True)


def test_which_canner_a_food_takes_is_told_by_its_tables(cook):
    assert cook.bare("which canner should i use for corn", typed=True) == "Corn: tested in a pressure canner only."


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("i have a jar that leaks", "Boil thirty minutes"),
        ("one of my jars on the shelf is leaking", "Boil thirty minutes"),
        ("how do i open a jar", "don't taste"),
        ("how do i know a jar is good before i open it", "don't taste"),
        ("how hot do i keep the jars", "one hundred eighty degrees"),
        ("i have a jar that smells", "taste"),
        ("my canner holds two quart jars", "at least four quart jars"),
        ("i have a canner that leaks", "let it go to zero"),
        ("what fruit can you help me with", "apricots"),
        ("my grandmother always used paraffin on her jelly, is that all right", "Wax isn't used any more"),
        ("somebody told me to turn the jars over", "doesn't process the food"),
        ("i've got nine pints of carrots and six pints of peas, can they go in together", "two foods in one load"),
        ("what if i live at five thousand feet", "the cooler water boils"),
        ("can zucchini be canned at all", "no tested process"),
        ("what pressure do i want for okra in pints", "eleven pounds pressure on a dial gauge"),
    ],
)
def test_suspect_and_empty_jars_by_the_words_of_cooks(cook, said, told):
    assert told in cook.bare(said, typed=True)


@pytest.mark.parametrize("asked", ["what does the gauge read", "what is it reading", "where's the needle"])
@pytest.mark.parametrize("later", [1, 5])
def test_what_the_gauge_reads_is_not_known_but_what_was_reported(holding, asked, later):
    holding.wait(60 * later)
    told = holding.bare(asked, typed=True)
    assert told.startswith("I can't see it.") and "you reported eleven" in told


@pytest.mark.parametrize(
    ("said", "told", "doubted"),
    [
        ("is ten pounds okay", "lower_pressure_longer_time", True),
        ("is eleven pounds okay", "pressure_high", False),
        ("is thirteen too high", "pressure_high", False),
    ],
)
def test_a_pressure_is_too_low_or_high_by_the_target_of_the_load(holding, said, told, doubted):
    assert family(told).answer in holding.bare(said, typed=True)
    assert bool(holding.load.doubts) is doubted


@pytest.mark.parametrize(
    ("said", "told", "doubted"),
    [("is twelve okay", "lower_pressure_longer_time", True), ("is thirteen okay", "pressure_high", False)],
)
def test_it_is_so_at_another_altitude(make, said, told, doubted):
    cook = make(altitude_ft=4500)
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on", "pressure is thirteen")
    assert cook.load.holding and cook.load.process.target_psi == 13
    assert family(told).answer in cook.bare(said, typed=True)
    assert bool(cook.load.doubts) is doubted


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("how much water goes in a water bath canner", "over the jar tops"),
        ("how deep is the water in a water bath", "over the jar tops"),
        ("how much water goes in the canner", "two to three inches"),
        ("what pressure for green beans in a weighted canner", "ten pounds pressure on a weighted gauge"),
    ],
)
def test_of_another_canner_than_the_loads_own_its_figures_are_told(holding, said, told):
    assert told in holding.bare(said, typed=True).lower()


def test_a_rattling_weight_tells_nothing_on_a_dial(holding):
    assert "closes the vent" in holding.bare("why does the weight rattle", typed=True)


def test_a_jar_takes_so_many_pounds_of_the_food_of_the_load(cook):
    cook.run(*cook.BEANS)
    assert "One quart of green beans: one to three pounds" in cook.bare("how many beans go in a jar", typed=True)


@pytest.mark.parametrize("said", ["can i can wine", "could i can maple syrup"])
def test_a_thing_to_be_canned_that_is_no_food_on_board_gets_no_other_answer(cook, said):
    heard = cook.bare(said, typed=True)
    assert "I don't know" in heard or "no tested process" in heard


def test_a_pack_before_a_food_is_no_part_of_its_name(cook):
    assert "Which one: chicken with bones" in cook.bare("can i can raw chicken", typed=True)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("should i taste a suspect jar", "Never taste to find out"),
        ("can i skip soaking", "Dry beans: soak twelve to eighteen hours"),
        ("can i use table salt for kraut", "Table salt works too"),
        ("can i use reduced sodium salt in the crock", "ferment"),
    ],
)
def test_what_the_guide_says_of_salt_beans_and_suspect_jars_is_answered(cook, asked, told):
    assert told in cook.bare(asked, typed=True)


@pytest.mark.parametrize(
    "said",
    [
        "what about leaking jars",
        "what about rotten tomatoes",
        "suspect jars",
        "can i can spoiled meat",
    ],
)
def test_nobody_is_told_to_freeze_what_may_be_spoiled(cook, said):
    answer = typed(cook, said)
    assert "reeze" not in answer and "trash" in answer.lower()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("do i need to remove bubbles from jam", "Jam and juice don't need it"),
        ("the lid came off with a hiss and smells fine can i eat it", "gas means spoilage. Don't taste it"),
        ("can i taste a jar that is bulging", "Never taste to find out"),
        ("can i taste a suspect jar", "Never taste to find out"),
        ("how do i open a jar safely", "A loose, bulging or leaking lid"),
        ("how should i open a jar of beans", "A loose, bulging or leaking lid"),
        ("it's still sealed but i don't trust it", "in a heavy garbage bag"),
        ("do i need gloves to handle a bad jar", "Gloves on."),
        ("i touched the food from a bad jar", "It can enter through skin"),
    ],
)
def test_a_jar_from_the_shelf_that_may_be_bad_is_answered_as_printed(cook, asked, told):
    assert told in cook.bare(asked, typed=True)
