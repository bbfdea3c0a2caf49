"""What isn't so: nothing is noted of it, and nothing that was said before goes on as if it were."""

from __future__ import annotations

import pytest

COOLED = (26, "heat is off", 46, "gauge is at zero")


def test_in_a_hold_what_is_so_is_asked_for(holding):
    assert holding.say("pressure isn't at eleven") == "Nothing is noted. What does the gauge read?"
    assert holding.load.holding
    assert "Nine is below eleven" in holding.bare("nine")
    assert not holding.load.holding


def test_a_no_to_a_check_may_deny_what_was_told_of_the_other_load_just_before(holding):
    loaded = ("nine jars packed", "jars are in", "lid is locked", "steam is steady", 10.1, "weight is on")
    holding.run(*holding.CARROTS, *(f"carrots {each}" if isinstance(each, str) else each for each in loaded))
    holding.run("carrots weight is rocking", 2.01, "green beans pressure is eleven")
    assert holding.bare("no").endswith("Green beans. What does the gauge read?")
    assert [load.doubt for load in holding.kitchen.loads] == [True, False]


def test_a_no_after_a_check_ran_out_denies_what_was_told_of_the_other_load_meanwhile(holding):
    loaded = ("nine jars packed", "jars are in", "lid is locked", "steam is steady", 10.1, "weight is on")
    holding.run(*holding.CARROTS, *(f"carrots {each}" if isinstance(each, str) else each for each in loaded))
    holding.run("carrots weight is rocking", 2.01, 0.6, "green beans pressure is eleven")
    assert holding.talk.question.kind == "check"
    holding.wait(14)
    assert "Taken back: " in holding.bare("no")


@pytest.mark.parametrize("said", ["it should be rocking", "it should be rocking by now", "i hope so", "probably"])
def test_what_should_be_is_no_answer_to_what_is(weighted, said):
    weighted.run(2.01)
    told = "Then I can't tell that it holds. Is the weight still rocking?"
    assert weighted.bare(said, typed=True) == told
    assert weighted.load.doubt
    assert "starts over in full" in weighted.bare("no")


@pytest.fixture
def venting(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "steam is steady", 4)
    return cook


def test_in_a_vent_she_is_asked_for_the_steam_and_a_no_starts_it_over(venting):
    assert venting.say("no steady steam") == "Nothing is noted. Is the steam steady?"
    assert venting.load.timer("vent") is not None
    assert venting.bare("no").startswith("The vent is broken off after four minutes. It starts over in full.")
    assert venting.load.timer("vent") is None


def test_steam_that_is_steady_after_all_counts_on(venting):
    venting.say("no steady steam")
    assert venting.bare("yes") == "The vent is counting. Six minutes to go."
    assert "Put the weight on" in venting.wait(360)


def test_steam_that_is_steady_again_starts_the_vent_over(venting):
    venting.say("no steady steam")
    assert "Ten minutes of venting start now." in venting.say("steam is steady")


def test_steam_that_is_denied_and_not_vouched_for_starts_over(venting):
    venting.say("no steady steam")
    assert venting.wait(30) == "Is the steam steady?"
    assert venting.wait(60).startswith("The vent is broken off")
    assert venting.load.timer("vent") is None


def test_steam_that_was_not_steady_at_the_end_of_the_vent_starts_over_too(venting):
    venting.run(5.9)
    venting.say("no steady steam")
    assert venting.wait(7) == "", "it isn't called done while that is open"
    assert venting.bare("no").startswith("The vent is broken off after ten minutes.")


def test_of_two_loads_it_is_the_one_that_vents_whose_steam_is_asked_for(venting):
    venting.run(*venting.SAUCE)
    assert venting.say("no steady steam") == "Nothing is noted. Green beans. Is the steam steady?"
    assert venting.bare("yes") == "Green beans. The vent is counting. Six minutes to go."


def test_what_is_not_of_the_steam_is_not_asked_for_in_a_vent(venting):
    assert venting.say("the weight is not on").startswith("Nothing is noted. Let it vent. Leave the weight off")


def test_a_no_takes_back_every_zero_also_one_told_again(holding):
    holding.run(*COOLED, 5, "the pressure is down")
    assert holding.said[-1] == "At zero already. Five minutes to wait."
    assert holding.bare("no").endswith("look again: is the gauge at zero?")
    assert not holding.load.at_zero


def test_the_question_that_a_denial_brings_is_no_check_like_any_other_silence_loses_the_hold(holding):
    holding.say("the burner is not on")
    assert holding.wait(30) == "What does the gauge read?"
    assert "starts over in full" in holding.wait(400)


def test_of_two_loads_it_is_the_one_under_pressure_that_is_asked_about(holding):
    holding.run(*holding.SAUCE)
    assert holding.say("pressure isn't at eleven") == "Nothing is noted. Green beans. What does the gauge read?"
    assert "Rack in the canner" in holding.say("the jars aren't in yet")


@pytest.mark.parametrize(
    "denial", ["the gauge is not at zero", "the pressure isn't down", "the lock hasn't dropped yet"]
)
@pytest.mark.parametrize("minutes", [0, 5, 11])
def test_a_zero_that_is_none_is_taken_back_and_the_lid_waits(holding, denial, minutes):
    holding.run(*COOLED, minutes)
    assert holding.say(denial).startswith("Taken back: pressure at zero. Cooling. Leave it to cool by itself.")
    assert holding.load.timers == tuple(timer for timer in holding.load.timers if timer.name != "settle")
    assert not holding.kitchen.calls
    assert holding.say("lid is off").startswith("Leave the lid on.")
    assert "Tilt the lid" not in holding.wait(1200)
    assert holding.say("gauge is at zero").startswith("Pressure at zero. Ten minutes to wait.")
    assert holding.replayed() == holding.kitchen


def test_what_isnt_off_or_out_yet_takes_no_zero_back(holding):
    holding.run(*COOLED, 11)
    assert holding.say("the lid is not off").startswith("Nothing is noted. The steam under the lid burns.")
    assert holding.load.at_zero
    holding.say("lid is off")
    assert holding.say("the gauge is not at zero").startswith("Nothing is noted. Lift the jars")


@pytest.mark.parametrize(
    "denial", ["the pressure didn't drop", "the pressure is not at eleven", "the weight is not on"]
)
def test_to_a_question_it_may_be_a_yes_or_a_no_so_she_is_asked_which(holding, denial):
    """Was the pressure there all the time? It didn't drop: a yes. It is not there: a no."""
    holding.wait(300)
    asked = holding.cut(400).split(". ")[-1]
    assert holding.say(denial) == f"Yes or no? Green beans. {asked}"
    assert holding.load.doubt
    assert "It counts on." in holding.bare("yes")


def test_the_heat_is_off_only_by_a_yes(holding):
    holding.run(28)
    assert holding.say("gauge is at zero") == "Green beans. Is the heat off?"
    assert holding.say("the heat is not off") == "Yes or no? Green beans. Is the heat off?"
    holding.bare("no")
    assert "heat_off" not in holding.kinds()


@pytest.mark.parametrize(
    "line",
    [
        "no steady steam",
        "no jar broke",
        "nothing sealed",
    ],
)
def test_nothing_is_noted_in_any_stage(cook, line):
    _nothing_is_noted(cook, line, COOLED)


def test_nothing_is_noted_of_a_question_whether_there_is_pressure(cook):
    _nothing_is_noted(cook, "is the pressure eleven")


def test_a_question_whether_there_is_pressure_takes_a_zero_back(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING, *COOLED)
    assert cook.say("is the pressure eleven").startswith("Taken back: pressure at zero.")


def _nothing_is_noted(cook, line, *more):
    for lines in (cook.BEANS, cook.LOADED, ("lid is locked",), ("steam is steady",), cook.HOLDING, *more):
        cook.run(*lines)
        kinds = cook.kinds()
        assert cook.say(line).startswith("Nothing is noted.")
        assert [kind for kind in cook.kinds() if kind != "doubt"] == [kind for kind in kinds if kind != "doubt"]


DISOWNED = [
    "that was the radio", "it was just the tv", "my son said that", "the kids were playing", "i never said that",
    "that wasn't me", "that wasn't for you", "you heard wrong", "no you misheard me", "just kidding", "i was joking",
    "that was a test", "no that's not right", "sorry i was wrong", "my mistake", "oops my mistake", "i misread it",
    "i said that too soon", "i was talking to my daughter", "that can't be right",
]  # fmt: skip


@pytest.mark.parametrize("said", DISOWNED)
def test_a_report_that_nobody_wants_to_have_made_is_taken_back(cook, said):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked", "steam is steady", 10.1, "weight is on", 3)
    cook.say("pressure is eleven")
    assert cook.load.holding
    assert cook.bare(said, typed=True).startswith("Taken back: pressure eleven.")
    assert not cook.load.holding


def test_of_what_was_told_long_ago_it_is_asked_and_silence_leaves_it_open(holding):
    holding.run(3, "pressure is eleven", 2)
    assert holding.bare("my son said that", typed=True) == "Shall I take back: pressure eleven?"
    assert holding.bare("no", typed=True) == "Left as it was."
    assert holding.bare("oops", typed=True).startswith("The last I have is pressure eleven.")
    holding.wait(120)
    assert not holding.load.doubts
    holding.run("pressure is eleven")
    assert holding.bare("oops", typed=True) == "Shall I take back: pressure eleven?"
    holding.wait(70)
    assert holding.load.doubted("in_question")


def test_an_answer_that_nobody_wants_to_have_given_is_open_again(holding):
    holding.bare("is eleven pounds enough", typed=True)
    assert "counts on" in holding.bare("yes", typed=True)
    assert holding.bare("that was the radio", typed=True).startswith("Taken back:")
    assert holding.load.doubted("in_question")


NOTHING_LOST = [
    "no it didn't drop", "it never dropped", "it didn't go below eleven", "no drops", "not once did it fall",
    "the pressure never fell", "it didn't stop", "the heat never went off", "i never left it", "i didn't touch it",
    "nothing happened", "it stayed up the whole time", "still right where it should be", "no problems at all",
    "no drop", "no it hasn't", "it has not gone under", "the needle hasn't moved", "the flame is steady", "no leaks",
    "never under eleven", "the weight is on", "the weight hasn't come off", "it's not low",
]  # fmt: skip


@pytest.mark.parametrize("said", NOTHING_LOST)
def test_that_nothing_was_lost_is_no_loss_and_no_reading(holding, said):
    holding.run(2)
    assert holding.bare(said, typed=True) in ("What does the gauge read?", "I need the number.")
    holding.run("> eleven", 23, "heat is off")
    assert not holding.load.doubts
    assert "twenty five minutes" in holding.bare("did it hold", typed=True)


@pytest.mark.parametrize(
    "said", ["it never went below nine", "it didn't drop much", "the flame never went out for long"]
)
def test_that_little_was_lost_is_a_loss_until_it_is_answered(holding, said):
    holding.run(3)
    holding.bare(said, typed=True)
    assert holding.load.doubted("in_question")


def test_a_loss_taken_back_while_the_heat_is_asked_for_is_asked_about(holding):
    holding.run(5, "heat is off")
    holding.say("pressure is nine")
    assert holding.bare("no").endswith("Is the heat off?")
    assert "all the time, with the heat on?" in holding.bare("no")


@pytest.mark.parametrize(("later", "asked"), [(5, [2]), (20, [1, 2]), (30, [1, 2])])
def test_a_no_a_while_after_a_report_may_be_about_any_load_that_holds(two, later, asked):
    for name, count in (("green beans", "seven"), ("carrots", "nine")):
        two.run(f"{name} {count} jars packed", f"{name} jars are in", f"{name} lid is locked")
        two.run(f"{name} steam is steady", 10.1, f"{name} weight is on")
        two.run("weight is rocking" if name == "carrots" else "green beans pressure is eleven")
    two.run(1, "weight is rocking")
    two.wait(later)
    two.run("no")
    assert [load.id for load in two.kitchen.loads if load.doubted("unheard")] == asked
