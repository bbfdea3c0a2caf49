"""Words that say when or whether: with one of them, nothing is a report with which a load goes on."""

from __future__ import annotations

import pytest

NO_ZERO = (
    "gauge at zero yet", "zero yet", "down to zero yet", "lock dropped yet", "pressure gone yet", "wait for zero",
    "on its way to zero", "wait for the lock to drop", "the lock drops", "tell me at zero", "say zero", "you said zero",
    "by zero", "zero jars", "the gauge says zero but the button is still up", "at zero, lock still up though",
    "gauge is at zero but the weight still rocks", "it's at zero but there's still pressure i think",
    "gauge is at zero because i opened the petcock", "gauge is at zero because i ran water over it",
    "coming down to zero", "falling to zero", "heading for zero", "hopefully zero", "last i looked zero",
    "zero when i last checked", "zero earlier", "zero i made that up", "she says it's zero", "nearing zero",
    "the pressure dropped", "the pressure is down", "it's down a lot", "gauge is down", "the needle went down",
    "it went down", "the pressure fell", "it lost pressure", "the pressure fell for a while", "the lock is going down",
    "the lock is half down", "the pressure sagged briefly", "the needle was at zero for a second", "it's lower",
    "the gauge is near zero", "it touched zero", "zero please", "she's zero", "sort of zero", "next to zero",
)  # fmt: skip
ZERO = (
    "gauge is at zero now", "the gauge is finally at zero", "it's at zero", "lock dropped", "the button's down",
    "needle's on zero now, thank goodness", "pressure is all gone", "well it says zero", "the dial reads zero",
)  # fmt: skip
NO_WEIGHT = (
    "weight on yet", "i put the weight on five minutes ago", "the weight's been on for five minutes",
    "my husband put the weight on ten minutes ago", "weight has been on for a while", "the weight was on already",
    "weight is on but the steam had stopped", "weight is on the steam was gone for a minute",
    "weight is on the counter", "the weight is on the table", "the weight's on the shelf", "weight is on a hook",
    "hopefully the weight is on", "he says the weight is on",
)  # fmt: skip
WEIGHT = ("weight's on", "i put the weight on", "my husband put the weight on", "okay the weight is on now")
NO_PRESSURE = (
    "coming up to eleven", "climbing to eleven", "it's going up to eleven", "heading for eleven",
    "working up to eleven", "getting up to eleven", "on its way to eleven",
    "hopefully eleven", "i hope eleven", "last i looked eleven", "eleven when i looked", "eleven earlier",
    "eleven a while ago", "he says eleven", "my husband says it's at eleven", "eleven i made that up", "nearing eleven",
    "it touched eleven", "she's eleven", "kind of eleven", "the gauge is near eleven",
)  # fmt: skip
FALLING = ("eleven going down", "eleven and falling", "eleven but dropping", "eleven now coming down")
PRESSURE = (
    "eleven", "eleven now", "it's at eleven", "we're at eleven", "the gauge says eleven", "eleven and rising",
    "it went up to eleven", "just checked it's eleven", "still at eleven", "eleven and holding", "it says eleven",
    "it's right at eleven now", "she's sitting at eleven pounds", "we hit eleven and it's holding",
)  # fmt: skip


@pytest.fixture
def venting(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING)
    return cook


@pytest.fixture
def venting_weighted(cook):
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING)
    return cook


@pytest.mark.parametrize("line", NO_ZERO)
def test_nobody_is_sent_to_the_weight_by_a_question_a_wish_or_half_a_sentence(holding, line):
    holding.run(26, "heat is off", 46)
    said = holding.bare(line, typed=True)
    assert "Take the weight off" not in said
    assert not holding.load.at_zero


@pytest.mark.parametrize(
    "line",
    [
        "the flame died for a bit", "the gas quit for a minute", "the burner cut out for a moment",
        "the power failed briefly", "the gas died a few times", "the heat was off twice",
    ],
)  # fmt: skip
def test_heat_that_was_out_for_a_while_does_not_end_a_hold(holding, line):
    holding.run(25.2)
    holding.bare(line, typed=True)
    assert holding.load.step == "off"
    assert holding.load.doubts + holding.load.kept


@pytest.mark.parametrize("line", ["heat is off", "the heat's been off for a minute", "i turned the stove off"])
def test_heat_that_is_off_does(holding, line):
    holding.run(25.2)
    assert "Heat is off" in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", ZERO)
def test_a_zero_in_other_words_is_one(holding, line):
    holding.run(26, "heat is off", 46)
    assert "Pressure at zero" in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", NO_WEIGHT)
def test_a_weight_that_was_on_before_ends_no_vent(venting, line):
    venting.run(10.1)
    assert "Weight is on" not in venting.bare(line, typed=True)


@pytest.mark.parametrize("line", [*NO_PRESSURE, *FALLING, "eleven please", "then eleven"])
def test_a_number_of_another_time_or_mouth_or_still_to_come_starts_no_hold(venting, line):
    venting.run(10.1, "weight is on")
    venting.bare(line, typed=True)
    assert venting.load.holds == ()


@pytest.mark.parametrize("line", NO_PRESSURE)
def test_nor_does_it_keep_one(venting, line):
    venting.run(10.1, "weight is on")
    venting.run("pressure is eleven", 2)
    heard_t = venting.load.heard_t
    venting.bare(line, typed=True)
    assert not venting.load.holding or venting.load.heard_t == heard_t


@pytest.mark.parametrize("line", PRESSURE)
def test_a_number_that_is_read_now_starts_the_hold(venting, line):
    venting.run(10.1, "weight is on")
    venting.bare(line, typed=True)
    assert venting.load.holding


@pytest.mark.parametrize("line", ["six and falling", "it's at six and going down", "coming down to six"])
def test_a_pressure_that_falls_while_it_cools_is_a_reading(holding, line):
    holding.run(26, "heat is off", 20)
    assert "Six. It falls by itself" in holding.bare(line, typed=True)


@pytest.mark.parametrize(
    "line",
    [
        "it's swinging",
        "it's dancing",
        "the weight is spinning",
        "it's rattling",
        "i guess it's rocking",
        "it's bouncing",
    ],
)
def test_what_may_be_no_rocking_is_asked_back(venting_weighted, line):
    venting_weighted.run(10.1, "weight is on")
    assert "is it so" in venting_weighted.bare(line, typed=True)
    assert venting_weighted.load.holds == ()
    venting_weighted.say("yes")
    assert venting_weighted.load.holding


@pytest.mark.parametrize("line", ["boiling i guess", "i hear it boiling", "i hear it boil", "boiling i suppose"])
def test_a_boil_that_nobody_is_sure_of_is_asked_back(cook, line):
    cook.run(*cook.SAUCE, *cook.LOADED, "done", "heat is on")
    assert "is it so" in cook.bare(line, typed=True)
    assert cook.load.holds == ()


@pytest.mark.parametrize(
    "line", ["it's steady now", "now it's steady", "steam is steady now", "steady again", "the steam is back"]
)
def test_steam_that_is_steady_now_was_not_before(venting, line):
    venting.run(3)
    assert "all the time" in venting.bare(line, typed=True)
    venting.say("steam stopped")
    venting.bare("no")
    assert "Ten minutes of venting start now" in venting.bare(line, typed=True)


@pytest.mark.parametrize("line", ["the lid isn't locked", "petcock was closed", "it let up", "it died"])
def test_a_vent_that_is_none_starts_over(venting, line):
    venting.run(3)
    assert "The vent is broken off" in venting.bare(line, typed=True)


@pytest.mark.parametrize(
    "line", ["no", "not yet", "half an inch", "it's up to the bands", "just covering", "can't add any more", ""]
)
def test_no_time_starts_before_the_water_is_over_the_lids(cook, line):
    cook.run(*cook.SAUCE, *cook.LOADED)
    cook.bare(line, typed=True)
    assert "over the lids?" in cook.say("heat is on")
    assert "Then add boiling water first" in cook.bare("no")
    assert "over the lids?" in cook.say("full boil")
    assert cook.load.holds == ()
    cook.bare("yes")
    assert cook.load.holding


def test_no_canner_is_heated_without_water(cook):
    cook.run(*cook.BEANS, "> clear")
    assert "isn't ready" in cook.bare("no")
    assert "Don't heat it" in cook.run("seven jars packed", "jars are in")
    cook.say("done")
    assert cook.load.faults == ()


@pytest.mark.parametrize("line", WEIGHT)
def test_a_weight_that_goes_on_now_does(venting, line):
    venting.run(10.1)
    assert "Weight is on" in venting.bare(line, typed=True)


@pytest.mark.parametrize(
    "food",
    [
        "green beans in oil", "mushrooms in oil", "mashed green beans", "carrot mash", "smashed potatoes",
        "grated potatoes", "thickened beef stew", "creamed spinach", "cheesy potatoes", "green bean casserole",
        "stuffed peppers", "breaded chicken", "unpeeled potatoes", "green beans in my kitchen robot",
    ],
)  # fmt: skip
def test_a_word_beside_a_food_that_may_make_it_another_starts_nothing(cook, food):
    said = cook.bare(f"start seven quarts of {food} hot pack", typed=True)
    assert "no tested process" in said or "I don't know" in said
    assert cook.kitchen.open_loads == ()


@pytest.mark.parametrize(
    "food", ["my fresh green beans", "organic green beans", "cut green beans", "garden green beans"]
)
def test_a_word_that_leaves_it_that_food_is_no_hindrance(cook, food):
    assert "green beans, raw pack" in cook.bare(f"start seven quarts of {food} raw pack", typed=True)


@pytest.mark.parametrize(
    "line",
    ["yes it held", "yes all the time", "yes sure", "yes of course", "it was", "definitely", "yes the whole time"],
)
def test_a_yes_in_other_words_settles_what_was_asked(holding, line):
    holding.bare("my gauge looks odd to me today", typed=True)
    holding.run(26)
    assert "Then the time is up" in holding.bare(line, typed=True)


@pytest.mark.parametrize(
    "line",
    ["yes it held mostly", "yes it held for a bit", "now yes", "i'd say yes", "yes except a minute", "it was at ten"],
)
def test_a_yes_with_a_limit_does_not(holding, line):
    holding.bare("my neighbor saw it flicker and fall", typed=True)
    assert "It counts on" not in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", ["no it doesn't", "not at all", "no just chatting"])
def test_a_no_in_other_words_settles_what_was_asked(holding, line):
    holding.bare("something gave way", typed=True)
    holding.run(25.2)
    assert "Does that change anything" in holding.said[-1]
    holding.bare(line, typed=True)
    holding.run(1)
    assert holding.load.processed_t is not None


@pytest.mark.parametrize(
    "line", ["all sealed but one lid flexes", "all sealed but two buckled", "all sealed but one leaked"]
)
def test_half_a_count_is_no_count(counting, line):
    assert "Seven sealed" not in counting.bare(line, typed=True)


@pytest.mark.parametrize(
    "line", ["the flame was out for a bit earlier", "it did not hold", "we lost a bit of pressure"]
)
def test_a_loss_told_after_the_count_is_asked_about_before_the_load_is_closed(counting, line):
    counting.run("all sealed", "> yes")
    counting.bare(line, typed=True)
    assert "still in question" in counting.say("close the load")


@pytest.mark.parametrize("line", ["are we good", "is everything okay", "everything okay"])
def test_a_hold_that_runs_is_not_said_to_have_failed(holding, line):
    assert "weren't processed" not in holding.bare(line, typed=True)


@pytest.mark.parametrize("line", ["i dropped my towel", "we're running low on sugar"])
def test_a_towel_that_dropped_stops_no_hold(holding, line):
    holding.bare(line, typed=True)
    assert holding.load.holding


MOOT_IN_VENT = (
    "the weight is still off", "i have the weight ready", "no pressure yet", "the gauge is at zero",
    "the gauge is at one", "no it didn't", "the steam never stopped", "no leaks", "seven jars", "the water is boiling",
)  # fmt: skip
MOOT_COMING_UP = (
    "the weight isn't rocking yet", "not rocking yet", "the needle isn't moving yet", "the needle is moving",
    "no pressure yet", "pressure is low", "it's still cold", "the weight is on tight", "we vented ten minutes",
)  # fmt: skip


@pytest.mark.parametrize("line", MOOT_IN_VENT)
def test_what_a_vent_looks_like_puts_none_in_question(venting, line):
    venting.bare(line, typed=True)
    assert venting.load.timer("vent") is not None
    assert not venting.load.doubts and not venting.load.kept


@pytest.mark.parametrize("line", MOOT_COMING_UP)
def test_what_must_be_before_a_time_counts_is_moot(venting, line):
    venting.run(10, "weight is on")
    venting.bare(line, typed=True)
    assert not venting.load.faults and not venting.load.kept


def test_how_many_fell_over_is_no_reading(holding):
    assert "below" not in holding.bare("one jar fell over", typed=True)
    assert holding.load.holding
