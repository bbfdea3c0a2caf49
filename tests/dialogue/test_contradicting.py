"""What isn't known to be harmless: every claim is contradicted by it, and asked about by what was named."""

from __future__ import annotations

import pytest

from kitchenvoice.ports import Urgency

ALL = "Was the pressure at eleven or above all the time, with the heat on?"
FELL = "Was the pressure below eleven, or the heat off, at any time?"
STEAM = "Is the steam steady?"
STEAM_OR_SHUT = "Did the steam stop or weaken, was the lid or the heat off, or the vent shut, at any time?"
VENT = "Did it vent ten minutes in full, in steady steam, with the weight off?"
FOOD = "Is it green beans, raw pack, as the recipe says?"
JARS = "Are they all quarts of green beans, whole and with their lids on, and was the canner shut the whole time?"
JARS_OUT = "Is every sealed jar fit for the shelf, with nothing spoiled in it?"
ACID = "Is that in every jar?"
ALTITUDE = "Is your altitude nine hundred feet?"
MENDED = "Is that put right, from before the steam was steady?"
ANY = "Does that change anything about the food, the jars or the pressure?"

TO = {
    "locked": ("lid is locked",),
    "vent": ("lid is locked", "steam is steady", 3),
    "come up": ("lid is locked", "steam is steady", 10.1, "weight is on", 1),
    "hold": ("lid is locked", "steam is steady", 10.1, "weight is on", "pressure is eleven", 3),
}
TO["over"] = (*TO["hold"], 22.2)
TO["cool"] = (*TO["over"], "heat is off", 10)
TO["count"] = (*TO["cool"], 46, "gauge is at zero", 11, "lid is off", "jars are out", 721, "all sealed", "> yes")
ON = {
    "locked": ("steam is steady", 10.1),
    "vent": (7.1,),
    "come up": ("pressure is eleven", 25.1),
    "hold": (22.1,),
    "over": (1.5,),
    "cool": (46, "gauge is at zero", 11, "lid is off", "jars are out", 721, "all sealed", "> yes", "close the load"),
    "count": ("close the load",),
}
"""How a load of green beans comes to where it is said, and on to where it is asked about."""
TABLE = [
    ("hold", "my niece doubled the salt", FOOD, "no"),
    ("hold", "it's all white beans not green", FOOD, "no"),
    ("hold", "the vinegar ran out", FOOD, "no"),
    ("hold", "one of the jars looked funny to me", JARS, "no"),
    ("hold", "the lid was crooked i reckon", JARS, "no"),
    ("hold", "i vented it like three minutes", VENT, "no"),
    ("hold", "my gauge looks odd to me today", ALL, "no"),
    ("hold", "something gave way", ANY, "yes"),
    ("cool", "it spent a while in the nines", ANY, "yes"),
    ("hold", "my son played with the weight", ALL, "no"),
    ("over", "heat is off, i think it dipped", FELL, "yes"),
    ("hold", "wait a minute it dropped", FELL, "yes"),
    ("hold", "it stopped a second", FELL, "yes"),
    ("hold", "the flame is out say that again", FELL, "yes"),
    ("hold", "it got to eleven", ALL, "no"),
    ("hold", "altitude is five thousand feet", ALTITUDE, "no"),
    ("hold", "is it bad that i opened the petcock", ALL, "no"),
    ("hold", "why is the needle falling", FELL, "yes"),
    ("come up", "i vented it like three minutes", VENT, "no"),
    ("come up", "there was hardly any steam", VENT, "no"),
    ("come up", "those are bigger jars than quarts", JARS, "no"),
    ("come up", "i pureed the beans", FOOD, "no"),
    ("vent", "eleven pounds", VENT, "no"),
    ("vent", "eleven", VENT, "no"),
    ("vent", "nine pounds", STEAM_OR_SHUT, "yes"),
    ("locked", "it's the wrong regulator", MENDED, "no"),
    ("over", "i turned it off five minutes ago", ALL, "no"),
    ("over", "the flame's already out", ALL, "no"),
    ("cool", "it wasn't at eleven the whole time", FELL, "yes"),
    ("cool", "i misjudged the lids", JARS_OUT, "no"),
    ("count", "one jar is mouldy", JARS_OUT, "no"),
    ("count", "one looks cloudy", JARS_OUT, "no"),
    ("count", "one is cracked", ANY, "yes"),
]  # fmt: skip
"""Where it is said, what, what is asked in the end, and the answer by which it isn't so."""


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize(("where", "said", "asked", "answer"), TABLE)
def test_it_is_asked_about_by_what_was_named_and_nothing_is_in_full_before(cook, where, said, asked, answer):
    cook.run(*cook.BEANS, *cook.LOADED, *TO[where])
    before = len(cook.said)
    typed(cook, said)
    cook.run(*ON[where])
    told = " ".join(cook.said[before:])
    assert asked in told
    assert "twenty five minutes in full" not in told
    assert "on the shelf" not in told
    cook.bare(answer)
    cook.run(30)
    load = cook.load
    assert load.processed_t is None or load.unfit or load.doubt
    cook.run("close the load")
    assert load.shelved == 0 or load.stage != "closed"


@pytest.mark.parametrize(("where", "said", "asked", "answer"), [row for row in TABLE if row[0] == "hold"])
def test_by_the_other_answer_it_holds(cook, where, said, asked, answer):
    cook.run(*cook.BEANS, *cook.LOADED, *TO[where])
    typed(cook, said)
    held = "no" if asked in (ANY, FELL) else "yes"
    for answer in (held, held)[: {ALL: 2, FELL: 1, VENT: 1}.get(asked, 0)]:
        cook.bare(answer)
    cook.run(*ON[where])
    cook.bare("yes" if asked is FELL else held)
    cook.run(1)
    assert cook.load.processed_t is not None
    assert not cook.load.faults


@pytest.mark.parametrize("said", ["it's chicken in pints", "those carrots are quarts"])
def test_what_sounds_like_a_look_up_but_tells_of_these_jars_is_asked_about(holding, said):
    typed(holding, said)
    holding.run(25.2)
    assert FOOD in holding.said[-1]
    assert holding.load.processed_t is None


@pytest.mark.parametrize(
    ("said", "asked"),
    [("it crept up to thirteen", ""), ("it's up to twelve and a half", ""), ("it finally got up to thirteen", ALL)],
)
def test_what_rises_well_above_the_target_was_not_below_it(holding, said, asked):
    assert typed(holding, said).endswith(asked or "to go.")


@pytest.mark.parametrize(
    ("said", "doubted"), [("is it okay if i go out for a minute", False), ("is it okay if it fell to nine", True)]
)
def test_who_asks_for_leave_supposes_nothing(holding, said, doubted):
    typed(holding, said)
    assert bool(holding.load.doubts) is doubted


def test_a_true_answer_about_the_pressure_settles_nothing_else(holding):
    for said in ("my gauge looks odd to me today", "my niece doubled the salt", "something gave way"):
        typed(holding, said)
        typed(holding, "eleven")
    assert holding.wait(1510).endswith(ALL)
    assert holding.bare("yes").endswith(FOOD)
    assert [each.kind for each in holding.load.doubts] == ["of_food", "unexplained"]
    assert holding.say("pressure is eleven").endswith(FOOD)
    assert holding.bare("yes").endswith(ANY)
    assert holding.load.processed_t is None
    holding.bare("no")
    holding.wait(1)
    assert holding.load.processed_t is not None


def test_what_changes_something_is_asked_one_by_one(holding):
    typed(holding, "something gave way")
    holding.wait(1510)
    for asked in (ALL, FOOD, JARS):
        assert holding.bare("yes").endswith(asked)
    holding.bare("no")
    assert not holding.load.holding


def test_the_acid_is_asked_about_where_there_is_some_and_how_many_jars_lack_it(make):
    cook = make()
    cook.run("start seven quarts of crushed tomatoes hot pack in boiling water", "> yes", "seven jars packed")
    cook.run(
        "jars are in", "> yes", "done", "heat is on", "full boil", 46, "heat is off", 6, "lid is off", 6, "jars are out"
    )
    typed(cook, "the vinegar ran out")
    cook.run(721, "all sealed", "> yes")
    assert cook.say("close the load").endswith(ACID)
    assert cook.bare("no").endswith("How many jars are without it?")
    cook.bare("two")
    assert cook.load.unfit == 2


def test_spoiled_jars_are_thrown_out_and_the_others_kept(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["count"])
    typed(cook, "one jar is mouldy")
    cook.run("close the load", "> no", "> two")
    assert "without tasting" in cook.say("freeze them")
    assert "Five on the shelf." in cook.run("throw it out", "close the load")


def test_words_that_were_confirmed_to_mean_a_report_are_asked_about_no_more(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["vent"], 7.1)
    typed(cook, "my boy has set the weight on")
    assert cook.load.kept
    cook.bare("yes")
    assert (cook.load.step, cook.load.kept) == ("dial_up", ())


def test_another_food_that_nobody_confirmed_is_asked_about_before_the_vent_counts(cook):
    cook.run(*cook.BEANS)
    typed(cook, "they're actually lima beans")
    cook.wait(120)
    assert FOOD in cook.run(*cook.LOADED, "lid is locked", "steam is steady", 10.1)
    cook.bare("no")
    assert cook.load.faults


def test_a_food_that_isnt_changed_is_asked_about_no_more(cook):
    cook.run(*cook.BEANS)
    typed(cook, "they're actually lima beans")
    cook.bare("no")
    assert not cook.load.kept


def test_a_boil_that_only_begins_starts_no_time(cook):
    cook.run(*cook.SAUCE, *cook.LOADED, "done", "heat is on")
    typed(cook, "it's starting to boil")
    assert not cook.load.holding


def test_an_altitude_that_is_confirmed_is_asked_about_no_more(holding):
    typed(holding, "altitude is five thousand feet")
    assert holding.load.kept
    holding.bare("yes")
    assert not holding.load.kept
    assert holding.load.faults


def test_an_altitude_that_isnt_confirmed_is_asked_again_before_a_load_is_started(cook):
    cook.run("altitude is five thousand feet", 2)
    assert cook.say("start seven quarts of green beans raw pack").endswith("Five zero zero zero. Is that right?")
    assert "at five thousand feet" in cook.bare("yes")


def test_a_hold_that_is_asked_about_is_neither_stopped_nor_cleared_by_a_misreading(holding):
    holding.run(5, "the pressure dropped", "> no")
    assert typed(holding, "no it's fine i read it wrong").endswith(ALL)
    assert (holding.load.holding, holding.load.doubt) == (True, True)


def test_steam_that_is_denied_leaves_a_doubt_of_the_vent(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["vent"])
    cook.run("steam is steady", "never mind")
    assert cook.say("no").endswith(STEAM)


def test_steam_that_is_denied_over_another_question_is_asked_about(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["vent"], "scratch that", "no steady steam", "> no")
    assert cook.load.doubt


def test_a_hold_that_is_lost_after_a_zero_vents_again(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    typed(holding, "the pressure dropped before it was done")
    assert "it vents again" in holding.bare("yes")
    assert holding.load.stage == "vent"


@pytest.mark.parametrize("canner", ["holding", "weighted"])
def test_a_hold_that_is_lost_by_a_zero_just_after_its_end_vents_again(request, canner):
    cook = request.getfixturevalue(canner)
    cook.run(25.2, "heat is off", "gauge is at zero" if canner == "holding" else "the lock has dropped")
    assert "it vents again" in cook.bare("yes")
    cook.run("heat is on", 6, "pressure is eleven" if canner == "holding" else "weight is rocking")
    assert cook.load.stage == "vent" and not cook.load.holding


def test_a_weight_that_was_on_before_is_asked_about(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["vent"], 7.1)
    typed(cook, "i put the weight on five minutes ago")
    assert VENT in cook.run("weight is on", "pressure is eleven", 25.1)


@pytest.mark.parametrize("said", ["okay", "okay then", "alright", "hm okay good"])
@pytest.mark.parametrize("where", ["hold", "zero"])
def test_words_that_say_nothing_contradict_nothing(cook, where, said):
    cook.run(*cook.BEANS, *cook.LOADED, *TO["hold"])
    if where == "zero":
        cook.run(23, "heat is off", 46, "gauge is at zero")
    typed(cook, said)
    assert not cook.load.kept
    assert cook.load.at_zero is (where == "zero")


LOST_IN_WORDS = [
    "we had a brownout a minute ago", "the kid turned the knob", "i switched burners", "it got away from me",
    "i can't swear it stayed up", "my son saw it at nine", "i don't trust this gauge", "i relit it",
    "it's been wobbling around ten and eleven", "it hovers between ten and twelve", "between ten and eleven",
    "do i need to start over if it dropped", "what if it dropped below eleven while i was out", "how bad is nine",
    "is ten okay", "it's back up", "it's eleven again", "pressure is back", "i put the weight back on",
    "pressure is eleven and falling", "eleven now that i turned it up", "it's eleven most of the time",
    "it came close to ten", "the needle is in the red", "the weight stopped rocking",
    "no it isn't", "i never put the weight on", "it's nine, i was out feeding the chickens",
    "i said eleven but i meant nine", "i misread it, make that nine", "slid down to about ten there",
    "i topped up the water", "it isn't at eleven yet", "make that ten",
]  # fmt: skip
HARMLESS = [
    "it's eleven", "still at eleven", "right at eleven", "twelve", "how long is left", "thank you",
    "set a timer for ten minutes", "what do i do after this", "how many jars", "can i go sit down",
    "where are we", "how do i store them", "what is headspace", "repeat that", "i heard glass break",
    "is it still counting", "is the bean timer still running", "why do i have to let it blow off",
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


KITCHEN_TALK = [
    "i set the table", "we have a green chair", "the mailman was early", "it's nearly noon", "supper is at seven",
    "my nephew turned nine", "somebody pass me that rag", "we need more sugar", "i hope it doesn't drop",
    "they won by ten points", "it's half past eight", "put the tea on", "hush now", "yep that's fine by me",
    "there are eight of us for lunch", "these beans are from the garden", "she's coming at ten",
    "the cat got out the back door",
]  # fmt: skip


def test_kitchen_talk_brings_a_no_or_two_and_leaves_nothing_on_record(make):
    for said in KITCHEN_TALK:
        cook = make()
        cook.run(*cook.BEANS, *cook.LOADED, *TO["hold"])
        answer = typed(cook, said)
        if answer == "Did you say the gauge reads ten?":
            answer = typed(cook, "no")
        if answer.endswith("Was that about this load?"):
            typed(cook, "no")
        assert "The hold is done, twenty five minutes in full." in cook.wait(1510), said
        assert "On record" not in cook.said[-1]


def test_words_that_may_have_told_of_something_cost_no_time_and_are_asked_about_at_the_end(holding):
    typed(holding, "something gave way")
    assert not holding.load.doubts
    end = holding.wait(1510)
    assert "The time is up by the clock, but you said: something gave way. Does that change" in end
    assert "in full" not in end
    typed(holding, "no")
    assert "The hold is done, twenty five minutes in full." in holding.wait(1)


def test_at_the_end_an_answer_is_waited_for_less_and_less_often_and_after_half_an_hour_nobody_knows(holding):
    typed(holding, "something gave way")
    end = holding.wait(1500 + 1700)
    assert 5 <= end.count("you said: something gave way.") <= 9
    assert holding.load.hold.lost_t is None
    assert "starts over in full" in holding.wait(200)


@pytest.mark.parametrize(
    ("told", "line"),
    [
        ("my niece doubled the salt", "yes, they're green beans"), ("my niece doubled the salt", "yes raw pack"),
        ("one of the jars looked funny to me", "yes, shut the whole time"),
    ],
)  # fmt: skip
def test_a_yes_may_repeat_the_question(holding, told, line):
    typed(holding, told)
    holding.wait(1510)
    assert "Then the time is up." in typed(holding, line)
    assert "in full" in holding.wait(1)


def test_a_yes_with_words_of_its_own_is_none(holding):
    typed(holding, "my neighbor saw it flicker and fall")
    assert "It counts on" not in typed(holding, "yes but not all the time")
    assert holding.load.doubts


def test_a_late_answer_is_still_one(holding):
    typed(holding, "my neighbor saw it flicker and fall")
    holding.wait(100)
    assert "It counts on" in typed(holding, "no")
    assert not holding.load.doubts


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
    counting.bare("i painted those readings", typed=True)
    counting.run("all sealed", "> yes")
    asked = counting.say("close the load")
    assert "You said: i painted those readings." in asked
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


# ---------------------------------------------------------------- from zero to the lid

AGAIN = "Taken back: pressure at zero. Leave the lid on, and look again: is the gauge at zero?"
CONTRADICTIONS = (
    "no it's at two", "it's back at two", "it's rising", "i tapped it and it jumped to four", "the needle moved",
    "the gauge reads zero but the lock is up", "the lock is still up", "the lock went up again",
    "it hissed when i took the weight off", "the lid won't budge", "the lid is stuck", "the gauge is stuck",
    "i was looking at the wrong gauge", "wrong canner", "i misread it", "it was the timer not the gauge",
    "i'm not sure it was zero", "maybe not", "oops", "the heat is still on", "the burner is on",
    "i forgot to turn off the heat", "i turned the heat back on", "four", "the weight is still on",
    "i never took the weight off", "pressure is dropping", "the weight is rocking",
    "never mind", "why is the gauge stuck",
)  # fmt: skip
HARMLESS_AT_ZERO = (
    "how long is left", "can i open it", "can i open it now", "the weight is off", "got it", "why", "help", "done",
    "set a timer for ten minutes", "gauge is at zero", "it's zero", "can i use old lids", "lid is off", "repeat",
    "is the pressure gone", "the lid is not off", "why are the jars pinging", "green beans", "louder", "thank you",
)  # fmt: skip


@pytest.fixture
def at_zero(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    return holding


@pytest.mark.parametrize("line", CONTRADICTIONS)
@pytest.mark.parametrize("minutes", [2, 10.2])
def test_nobody_is_called_to_the_lid_over_what_may_contradict_the_zero(at_zero, line, minutes):
    at_zero.wait(60 * minutes)
    answer = typed(at_zero, line)
    assert "Taken back: pressure" in answer or "isn't cooling yet" in answer
    assert answer.endswith(
        (
            FELL,
            "Say heat is off.",
            "is the gauge at zero?",
            "is all the pressure gone?",
            "is at zero.",
            "the heat on?",
            "all through the hold?",
        )
    )
    assert not any(words in answer for words in ("Take the weight off", "Take it off", "doesn't fit"))
    assert not at_zero.load.at_zero
    told = at_zero.wait(1200)
    assert "Take it off" not in told
    assert "Open the lid" not in told
    assert at_zero.say("can i open it").startswith("Leave the lid on.")


@pytest.mark.parametrize("line", HARMLESS_AT_ZERO)
@pytest.mark.parametrize("minutes", [2, 8])
def test_what_is_harmless_leaves_the_wait_alone(at_zero, line, minutes):
    at_zero.wait(60 * minutes)
    assert "Taken back" not in typed(at_zero, line)
    assert "Take it off, and say lid is off." in at_zero.wait(60 * (10.2 - minutes))


@pytest.mark.parametrize("again", ["> yes", "gauge is at zero", "it's zero"])
def test_after_a_zero_that_is_confirmed_anew_the_ten_minutes_start_anew(at_zero, again):
    at_zero.wait(480)
    assert typed(at_zero, "the needle moved").endswith(AGAIN)
    assert "Pressure at zero. Ten minutes to wait." in at_zero.run(again)
    assert "Take it off" not in at_zero.wait(590)
    assert "Take it off" in at_zero.wait(15)


def test_a_no_to_the_look_again_leaves_it_to_cool(at_zero):
    typed(at_zero, "the needle moved")
    assert at_zero.bare("no") == "Then leave it to cool. Say gauge is at zero when it is."
    assert not at_zero.load.at_zero


@pytest.mark.parametrize("said", ["the needle moved to the left in the sewing machine", "pressure is four"])
def test_talk_that_wasnt_said_to_it_takes_nothing_back(at_zero, said):
    at_zero.bare(said)
    assert at_zero.load.at_zero


def test_over_a_question_about_a_loss_another_is_told_without_a_name(holding):
    holding.run(2, "heat is off", "> the needle was at nine")
    assert [doubt.kind for doubt in holding.load.doubts] == ["heat_off", "pressure_low"]


@pytest.mark.parametrize("minutes", [5, 10.2])
def test_after_the_wait_an_answer_and_the_call_agree(at_zero, minutes):
    at_zero.wait(60 * minutes)
    answer = typed(at_zero, "can i open it now")
    assert ("Take it off" in answer) is (minutes > 10)
    assert ("still to wait" in answer) is (minutes < 10)


def test_what_is_told_of_another_load_takes_no_zero_back(two):
    two.run("green beans seven jars packed", "green beans jars are in", "green beans lid is locked")
    two.run("green beans steam is steady", 10.1, "weight is on", "pressure is eleven", 26, "heat is off")
    two.run("carrots nine jars packed", "carrots jars are in", "carrots lid is locked")
    two.run(40, "carrots steam is steady", 6, "green beans gauge is at zero")
    assert two.kitchen.loads[0].at_zero
    two.run("carrots steam stopped", "carrots steam is steady", "steam is steady")
    assert two.kitchen.loads[0].at_zero
    two.run("pressure is four")
    assert not two.kitchen.loads[0].at_zero


def test_what_was_said_in_its_sleep_takes_it_back_too(at_zero):
    at_zero.run("stop listening", "pressure is four")
    assert not at_zero.load.at_zero


def test_a_caution_is_said_with_it_and_nothing_else(at_zero):
    typed(at_zero, "the lid is stuck")
    assert at_zero.turn.announcements[-1].urgency is Urgency.CAUTION


@pytest.mark.parametrize("said", ["water's cloudy", "smells good", "the kids are home", "the moon is made of cheese"])
def test_what_is_said_of_something_else_leaves_a_zero(holding, said):
    holding.run(26, "heat is off", 46, "gauge is at zero", 2)
    assert "Taken back" not in holding.bare(said, typed=True)
    assert holding.load.at_zero


@pytest.mark.parametrize("said", [
    "one of the kids bumped the knob just now", "my husband messed with the stove", "i hit the knob by accident",
    "does it matter if it went under eleven just for a second",
])  # fmt: skip
def test_what_may_have_lowered_the_heat_is_asked_about_and_no_pressure_that_fell(holding, said):
    answer = typed(holding, said)
    assert "Below the target" not in answer
    assert answer.endswith("Was the pressure at eleven or above all the time, with the heat on?")
    holding.wait(60 * 26)
    assert holding.load.processed_t is None


@pytest.mark.parametrize("said", [
    "it stayed down after that", "I stood it up again", "I'm going to push the failed one down till it clicks",
    "I put it in the freezer, or was it the fridge",
])  # fmt: skip
def test_what_is_told_of_jars_that_are_out_asks_of_no_pressure(counting, said):
    assert typed(counting, said).endswith("Was that about this load?")


@pytest.mark.parametrize("said", ["the pressure dropped for a minute", "it was under eleven once", "it sagged a while"])
def test_what_is_told_of_the_hold_is_asked_about_when_its_jars_are_out(counting, said):
    assert "Was that about this load?" not in typed(counting, said)
    assert counting.load.doubted("in_question")


def test_talk_of_the_laundry_opens_no_question(holding):
    assert "Was that about this load?" not in typed(holding, "sorry, I was hanging laundry")
