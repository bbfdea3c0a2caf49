"""What is asked and told once the time is up: the canner may be under pressure, and good jars stay good."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.now import other_numbers

from .conftest import typed

WARNED = ("Leave the lid on", "Leave it on until the pressure is all gone", "Leave it closed until", "Stand back, and")
OUT = (46, "gauge is at zero", 11, "lid is off", "jars are out")
AT_THE_LID = (
    "can i open the carrots", "can i open the beans", "is it okay to open", "i'm going to open it", "i want to open it",
    "i already opened it", "the lid is open", "i removed the lid", "i took the weight off", "weight is off",
    "i opened the petcock", "petcock is open", "i lifted the weight a little", "can i tip the weight", "can i vent it",
    "can i put it under the tap", "can i take it outside", "can i take off the weight", "should i open the petcock",
    "i opened the lid", "can i move it", "can i cool it with water", "i carried it outside", "can i open it",
    "can i unlock it", "i tilted the canner",
)  # fmt: skip


@pytest.fixture
def cooling(holding):
    holding.run(26, "heat is off", 5)
    assert holding.load.stage == "cool"
    return holding


@pytest.mark.parametrize("said", AT_THE_LID)
def test_whatever_is_said_of_opening_it_the_warning_is_said(cooling, said):
    answer = cooling.say(said)
    assert answer.startswith(WARNED)
    assert {doubt.kind for doubt in cooling.load.doubts} <= {"opened"}
    cooling.wait(600)
    assert cooling.load.processed_t is not None


@pytest.mark.parametrize("answer", ["yes", "no", None])
def test_a_lid_that_came_off_under_pressure_spoils_the_load_unless_it_stayed_shut(cooling, answer):
    assert cooling.say("i opened the lid").endswith("Has it stayed shut since the heat went off?")
    if answer is not None:
        cooling.say(answer)
    cooling.wait(600)
    assert bool(cooling.load.unfit) is (answer != "yes")


@pytest.mark.parametrize("said", ["can i open the beans", "should i open the petcock", "i want to open it"])
def test_what_is_not_done_yet_contradicts_no_hold(holding, said):
    holding.run(25.2)
    assert holding.say(said).startswith(WARNED)
    assert holding.load.doubts == ()


@pytest.mark.parametrize("said", ["i opened the petcock", "it's only nine", "we're below"])
def test_just_after_the_end_what_is_told_may_be_of_the_hold(holding, said):
    holding.run(25.2)
    assert holding.say(said).endswith("or the heat off, at any time?")


HEATED = (
    "the heat is still on",
    "i forgot to turn the heat off",
    "i turned the heat back on",
    "the pressure is rising",
)


@pytest.mark.parametrize("said", HEATED)
def test_heat_that_is_on_while_it_cools_is_to_be_turned_off(cooling, said):
    assert "Turn the heat off now, and leave the lid on." in cooling.say(said)
    assert cooling.load.doubts == ()


@pytest.mark.parametrize("thing", ["it", "the burner", "burner", "the heat", "the gas"])
@pytest.mark.parametrize("told", ["was never off", "wasn't off", "was still on low this whole time", "is still on low"])
def test_heat_that_is_not_off_is_no_heat_off(cooling, thing, told):
    told = f"{thing} {told}"
    assert typed(cooling, told).startswith("Then it isn't cooling yet."), told
    assert not (cooling.load.heat_off or cooling.load.doubts or cooling.load.kept)
    assert typed(cooling, "it's off now").startswith("Heat is off.")
    assert cooling.load.heat_off


LOWERED = ("turned it down to low", "i've turned it right down", "i turned it down", "it's on low now", "heat's on low")


@pytest.mark.parametrize("said", LOWERED)
def test_heat_that_is_turned_down_is_not_off_and_no_pressure_that_is_low(cooling, said):
    assert typed(cooling, said).startswith("Then it isn't cooling yet."), said
    assert not (cooling.load.heat_off or cooling.load.doubts)


@pytest.mark.parametrize("said", [*LOWERED, "yes, well I've turned it down to low", "I never turned it off"])
def test_at_the_end_heat_that_is_turned_down_is_to_be_turned_off(holding, said):
    holding.run(25.2)
    assert "The time is up. Turn the heat off." in typed(holding, said)
    assert holding.load.doubts == ()
    assert typed(holding, "it's off now").startswith("Heat is off.")


@pytest.mark.parametrize("said", ["I've switched off", "I switched off", "just switched off", "we switched off"])
def test_heat_that_was_just_switched_off_was_not_off_before(holding, said):
    holding.run(25.2)
    assert typed(holding, said).startswith("Heat is off. Twenty five minutes on record")
    assert holding.load.doubts == ()


@pytest.mark.parametrize("said", ["it switched off by itself", "the burner switched off a while ago"])
def test_heat_that_went_off_by_itself_may_have_been_off_before(holding, said):
    holding.run(25.2)
    assert "all the time" in typed(holding, said) or "at any time" in holding.said[-1]
    assert holding.load.doubts


@pytest.mark.parametrize("said", ["it was ten", "the pressure had dropped"])
def test_what_is_told_of_the_hold_that_just_ended_is_asked_about(cooling, said):
    assert cooling.say(said).endswith("Was the pressure below eleven, or the heat off, at any time?")


def test_a_jar_that_breaks_with_the_heat_off_lets_no_time_go_on(cooling):
    assert cooling.say("a jar broke") == "Leave it closed until it is cold. One broken, six left in the load."


def test_no_reading_that_does_not_fall_is_called_falling(cooling):
    assert cooling.say("pressure is eleven") == "Eleven. It falls by itself, leave it."


@pytest.mark.parametrize("said", ["can i reprocess it", "can i freeze it", "what do i do with the one that failed"])
def test_after_a_day_only_throwing_out_is_offered(cooling, said):
    cooling.run(*OUT, 721, "six sealed one failed", "> yes")
    assert "You have ten hours and fifty six minutes left" in cooling.say(said)
    cooling.wait(60 * 60 * 14)
    assert cooling.say(said) == "The twenty four hours are over. If it failed, throw it out, without tasting."
    assert "refrigerator" not in cooling.say("close the load")


def test_the_hours_of_one_load_are_not_told_where_the_jar_may_be_of_another(cooling):
    cooling.run(*OUT, 721)
    assert "minutes left, counted" in cooling.say("can i reprocess it")
    cooling.run("start seven quarts of peaches hot pack boiling water", "> yes", "clear", "seven jars packed")
    cooling.run("jars are in", "done", "heat is on", "it's boiling", 26, "heat is off", "lid is off", 6, "jars are out")
    assert [each.stage for each in cooling.talk.kitchen.open_loads] == ["count", "rest"]
    assert "within twenty four hours of processing" in cooling.say("can i reprocess it")


def test_a_wish_for_what_may_be_done_for_a_day_is_told_that_it_is_over(cooling):
    cooling.run(*OUT, 721, "six sealed one failed", "> yes", 60 * 14)
    assert typed(cooling, "I'd like to reprocess it").startswith(
        "The twenty four hours are over. If it failed, throw it"
    )


@pytest.mark.parametrize(("said", "asked"), [
    ("one jar lost liquid", ""), ("one jar lost more than half its liquid", "fit for the shelf"),
    ("one jar is half empty", "fit for the shelf"), ("one jar lost half of its liquid", "fit for the shelf"),
])  # fmt: skip
def test_liquid_lost_is_told_again_where_the_jars_go_on_the_shelf(cooling, said, asked):
    cooling.run(*OUT)
    assert "more than half of it isn't one to keep" in cooling.say(said)
    cooling.run(721, "seven sealed none failed")
    assert "One lost liquid. A jar that lost more than half of it isn't for the shelf" in cooling.bare("yes")
    assert (asked or "isn't for the shelf") in cooling.say("close the load")


def test_an_altitude_corrected_while_it_cools_is_told_of_at_once(cooling):
    cooling.run("altitude is five thousand two hundred feet")
    assert "these jars may have had too little" in cooling.bare("yes")


def test_an_altitude_set_back_makes_no_false_claim(holding):
    holding.run("altitude is five thousand feet", "> yes", "altitude is nine hundred feet", "> yes")
    told = holding.wait(60 * 25)
    assert other_numbers(holding.talk, holding.load) == ""
    assert "than your kitchen has now" not in told
    assert "The settings were changed in between, and are back." in told


@pytest.mark.parametrize(
    "said", ["it's still hissing", "why is it still hissing", "steam is coming out", "the weight hisses when i lift it"]
)
def test_steam_told_of_after_a_zero_takes_it_back(cooling, said):
    cooling.run(40, "gauge is at zero")
    assert cooling.load.at_zero
    assert "Taken back: pressure at zero" in cooling.say(said)
    assert not cooling.load.at_zero


@pytest.fixture
def at_zero(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    assert holding.load.at_zero
    return holding


@pytest.mark.parametrize(
    "said",
    [
        "the flame went out while it was holding",
        "the pressure dropped during the hold",
        "it wasn't at eleven the whole time",
        "i forgot the burner died in the hold",
    ],
)
def test_a_confession_about_the_hold_takes_no_zero_back(at_zero, said):
    told = at_zero.bare(said, typed=True)
    assert at_zero.load.at_zero and at_zero.load.doubted("in_question")
    assert "Taken back" not in told


@pytest.mark.parametrize(
    "said", ["it was at four", "the steam was still hissing a moment ago", "no wait, it's on four"]
)
def test_a_sign_of_pressure_takes_the_zero_back(at_zero, said):
    at_zero.bare(said, typed=True)
    assert not at_zero.load.at_zero


@pytest.mark.parametrize(
    "said",
    [
        "the weight is off and it's still hissing",
        "took the weight off and steam shot out",
        "weight is off and there is still pressure",
        "weight is off but the gauge moved up to two",
    ],
)
def test_nobody_is_sent_for_the_lid_by_a_weight_that_came_off_under_pressure(at_zero, said):
    at_zero.wait(601)
    told = at_zero.bare(said, typed=True)
    assert told.endswith("Taken back: pressure at zero. Leave the lid on, and look again: is the gauge at zero?")
    assert "Take it off" not in told and not at_zero.load.at_zero


@pytest.mark.parametrize(
    "said", ["the weight is off and the gauge is still at zero", "weight is off, the burner is off"]
)
def test_a_weight_that_is_off_at_zero_leaves_the_zero(at_zero, said):
    at_zero.wait(601)
    assert "Take it off, and say lid is off." in at_zero.bare(said, typed=True)
    assert at_zero.load.at_zero


@pytest.mark.parametrize("answer", ["yes", "no"])
@pytest.mark.parametrize(
    "said",
    [
        "i took the lid off already and the gauge still showed two",
        "lid is off the gauge said three",
        "lid is off and there was still a bit of pressure",
        "lid's off it hissed a bit when i opened it",
        "lid is off, it wasn't quite at zero",
    ],
)
def test_a_lid_that_came_off_under_pressure_is_off_and_asked_about_before_the_load_is_closed(at_zero, said, answer):
    at_zero.wait(601)
    told = at_zero.bare(said, typed=True)
    assert told.endswith("Was all the pressure gone before it came off?")
    assert at_zero.load.lid_off and at_zero.load.doubted("opened")
    at_zero.run("jars are out", 721, "seven sealed none failed", "> yes")
    assert "still in question" in at_zero.say("close the load")
    at_zero.bare(answer)
    assert at_zero.load.all_unfit is (answer == "no")


def test_a_lid_that_is_off_and_steams_brings_no_question(at_zero):
    at_zero.wait(601)
    assert at_zero.bare("lid is off and it's steaming", typed=True).endswith("Say jars are out.")
    assert at_zero.load.doubts == ()


@pytest.mark.parametrize(
    ("said", "doubted"),
    [
        ("when it was holding the gauge went down to eight once", True),
        ("during the hold the gauge was at twelve", False),
        ("earlier the gauge read eleven the whole time", False),
    ],
)
def test_a_reading_of_the_hold_takes_no_zero_back(at_zero, said, doubted):
    assert "Taken back" not in at_zero.bare(said, typed=True)
    assert at_zero.load.at_zero and bool(at_zero.load.doubts) is doubted
    assert at_zero.load.kept == ()


@pytest.mark.parametrize(("minutes", "later"), [(35, 10.1), (25, 3)])
@pytest.mark.parametrize("answer", ["yes", "no"])
def test_before_anything_is_made_of_a_weight_that_is_off_a_zero_that_was_told_is_asked_for(
    holding, minutes, later, answer
):
    holding.run(26, "heat is off", minutes, "gauge is at zero", later)
    told = holding.bare("the weight is off", typed=True)
    assert told.endswith("Was all the pressure gone before it came off?") and not holding.load.faults
    told = holding.bare(answer)
    assert ("Ten minutes to wait" in told) is holding.load.at_zero is (answer == "yes")
    assert holding.load.all_unfit is (answer == "no")


def test_a_weight_that_is_off_long_before_a_zero_is_a_fault_at_once(cooling):
    assert "none of its jars goes on the shelf" in cooling.bare("the weight is off", typed=True)
    assert cooling.load.all_unfit


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_a_lid_that_is_off_with_no_zero_told_is_asked_about_once(holding, answer):
    holding.run(26, "heat is off", 46)
    holding.bare("the weight is off", typed=True)
    told = holding.say("lid is off")
    assert told.startswith("Leave the lid on.") and told.endswith("Was all the pressure gone before it came off?")
    holding.bare(answer)
    assert holding.say("jars are out").startswith("Seven quarts out.")
    assert holding.load.all_unfit is (answer == "no") and holding.load.doubts == ()


@pytest.mark.parametrize("off", [(), ("heat is off",)])
@pytest.mark.parametrize("answer", ["> yes", 1])
def test_a_zero_just_after_the_end_that_undoes_the_hold_lets_air_in_and_is_asked_once(holding, off, answer):
    asked = holding.run(25.1, *off, "gauge is at zero")
    assert asked == "Was the pressure below eleven before the time was up?"
    holding.run(answer)
    assert (holding.load.step, holding.load.doubts) == ("vent_again", ())
    holding.run("heat is on", 5, "pressure is eleven")
    assert not holding.load.holding


IN_THE_HOLD = (
    "by the way there was that bit where the smoke alarm went and i shut everything off",
    "by the way at one point i shut everything off and then put it on again",
    "the jiggling had died down before you beeped",
    "honestly it kept sinking under the mark",
    "the needle wouldn't stay up where it should",
    "we had it a pound too low most of the way",
    "it wandered below the line a couple of times",
    "i may have cooked them a bit short",
    "i had trouble keeping it up there to be honest",
)  # fmt: skip
SINCE = {
    "over": (25.2,),
    "cooling": (26, "heat is off", 5),
    "at zero": (26, "heat is off", 46, "gauge is at zero"),
    "at rest": (26, "heat is off", *OUT),
    "counted": (26, "heat is off", *OUT, 721, "seven sealed none failed", "> yes"),
}


@pytest.mark.parametrize("since", SINCE)
@pytest.mark.parametrize("said", IN_THE_HOLD)
def test_what_may_have_been_a_loss_in_a_hold_that_is_over_is_named_until_it_is_settled(holding, said, since):
    holding.run(*SINCE[since])
    at_zero = holding.load.at_zero
    told = holding.bare(said, typed=True)
    assert told.endswith("?") and "Taken back" not in told and "emergency" not in told
    assert holding.load.doubts or holding.load.kept
    assert holding.load.at_zero is at_zero
    assert "held its full" not in holding.bare("is the load ok", typed=True)
    assert "Something about this load is still in question." in holding.bare("can i shelve them", typed=True)
    assert "on record, as you" not in holding.run("heat is off")


@pytest.mark.parametrize("said", [said for said in IN_THE_HOLD if "cooked" not in said and "trouble" not in said])
def test_of_words_of_a_loss_it_is_asked_at_once_whether_it_was_one(cooling, said):
    assert cooling.bare(said, typed=True).endswith("Was the pressure below eleven, or the heat off, at any time?")
    cooling.bare("yes", typed=True)
    assert cooling.load.hold.lost_t is not None


@pytest.mark.parametrize(
    "said", ["there's smoke everywhere", "the smoke alarm is going off", "at one point it smoked, and now it's on fire"]
)
def test_an_alarm_of_now_is_one_whatever_else_is_told(cooling, said):
    assert cooling.bare(said, typed=True).startswith(("Look at once", "Get everybody out"))


@pytest.mark.parametrize(
    "asked", ["what now", "what's going on", "what should i do with this batch", "can i eat one", "lovely batch this"]
)
def test_while_a_doubt_is_open_no_answer_leaves_it_out_and_it_is_asked_again(cooling, asked):
    cooling.bare("the pressure had dropped", typed=True)
    cooling.wait(90)
    told = cooling.bare(asked, typed=True)
    assert told.startswith("Something")
    assert "still in question" in told and told.endswith("at any time?")
    cooling.bare("no", typed=True)
    assert "still in question" not in cooling.bare(asked, typed=True)


def test_a_count_that_is_logged_over_a_doubt_asks_about_it(cooling):
    cooling.run(*OUT, 721)
    cooling.bare("i let it sag under eleven for a moment", typed=True)
    cooling.bare("seven sealed none failed", typed=True)
    assert cooling.bare("yes", typed=True).endswith("Was the pressure below eleven, or the heat off, at any time?")


def test_heat_that_went_on_again_in_the_hold_is_no_heat_of_now(at_zero):
    at_zero.bare(IN_THE_HOLD[0], typed=True)
    told = at_zero.bare("and on again after", typed=True)
    assert at_zero.load.at_zero and at_zero.load.doubted("in_question")
    assert "Turn the heat off" not in told
    at_zero.bare("it's on again now", typed=True)
    assert not at_zero.load.at_zero


@pytest.mark.parametrize(
    ("said", "lid_off"),
    [
        ("it was at zero", True), ("yes it was at zero", True), ("all the pressure was gone", True),
        ("it wasn't at zero", False), ("not all the pressure was gone", False), ("it was at two", False),
        ("i think so", False), ("no it's still on", False),
    ],
)  # fmt: skip
def test_a_lid_that_is_off_counts_by_what_the_gauge_was_at(cooling, said, lid_off):
    cooling.wait(60 * 60)
    assert "was all the pressure gone before?" in typed(cooling, "the lid's off")
    typed(cooling, said)
    assert cooling.load.lid_off is lid_off
