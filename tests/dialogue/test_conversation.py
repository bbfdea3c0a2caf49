"""Who is listened to, what an open question may be answered with, and what silence means."""

from __future__ import annotations

import re

import pytest

from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.process import step_of

AGAIN = "Say that again?"


def test_without_the_wake_phrase_nothing_happens(holding):
    before = holding.kitchen
    for line in ("pressure dropped", "heat is off", "scratch that", "yes", "eleven", "start seven quarts of carrots"):
        assert holding.bare(line) == ""
    assert holding.kitchen == before
    assert [note.data["reason"] for note in holding.turn.notes if note.kind == "ignored"] == ["no_attention"]


def test_the_wake_phrase_alone_opens_eight_seconds(holding):
    assert holding.bare("kitchen voice") == "Yes?"
    holding.wait(7)
    assert "of hold left" in holding.bare("how long is left")
    assert holding.bare("how long is left") == ""
    holding.bare("kitchen voice")
    holding.wait(9)
    assert holding.bare("how long is left") == ""


def test_typed_words_are_always_meant_for_us(holding):
    assert "of hold left" in holding.bare("how long is left", typed=True)


def test_an_open_question_takes_bare_answers_only(cook):
    cook.say("start seven quarts of green beans raw pack")
    assert cook.bare("what should we eat first") == ""
    assert cook.bare("start nine pints of carrots") == ""
    assert "is started" in cook.bare("yes")


def test_a_question_is_repeated_once_and_then_waits_to_be_called(cook):
    asked = cook.say("start seven quarts of green beans raw pack")
    assert cook.wait(60) == asked
    assert cook.wait(300) == ""
    assert cook.bare("yes") == ""
    assert "is started" in cook.say("yes")


def test_a_question_is_dropped_after_ten_minutes(cook):
    cook.say("start seven quarts of green beans raw pack")
    cook.wait(900)
    assert cook.say("yes") == "I haven't asked anything."
    assert cook.bare("sure", typed=True) == "I haven't asked anything."
    assert not cook.kitchen.loads


def test_no_match_tapers_and_starts_over_after_a_match(holding):
    assert holding.say("wibble wobble") == AGAIN
    assert "You can say: pressure is twelve" in holding.say("wibble wobble")
    assert holding.say("wibble wobble") == "I don't know that one. Say kitchen voice, help."
    assert holding.bare("wibble wobble") == ""
    holding.say("time left")
    assert holding.say("wibble wobble") == AGAIN


def test_no_match_inside_a_question_keeps_it_open(cook):
    asked = cook.say("start seven quarts of green beans raw pack")
    cook.wait(15)
    assert cook.bare("wibble") == AGAIN
    cook.wait(15)
    assert f"{asked}" in cook.bare("wibble")
    assert cook.bare("wibble") == ""
    assert "is started" in cook.bare("yes")


def test_talk_across_the_kitchen_is_no_answer(cook):
    cook.say("start seven quarts of green beans raw pack")
    assert cook.bare("put the chairs out in the yard before the rain comes") == ""
    assert "is started" in cook.bare("yes")


@pytest.mark.parametrize(
    ("trouble", "told"),
    [
        ("too_soft", "I hear you too softly. Come nearer, or speak up."),
        ("too_loud", "You are too loud for the microphone. Step back a little, and say it again."),
    ],
)
def test_a_voice_too_soft_or_too_loud_to_be_understood_is_told_so_when_it_called(holding, trouble, told):
    turn = holding.conversation.hear(Utterance(("kitchen voice the the",), trouble=trouble), holding.t)
    assert [each.text for each in turn.announcements] == [told]


def test_silence_is_not_answered(holding):
    turn = holding.conversation.hear(Utterance(()), holding.t)
    assert not turn.announcements
    assert not turn.events


@pytest.mark.parametrize("line", ["all sealed", "seven jars packed", "steam is steady", "freeze it"])
def test_a_sentence_of_another_stage_is_told_where_the_load_is(holding, line):
    answer = holding.say(line)
    assert answer.startswith("That doesn't fit here. Holding, twenty five minutes left. Keep it at eleven")
    assert holding.talk.misses == 0


def test_without_a_load_the_sentence_of_a_stage_is_told_so(cook):
    assert cook.say("pressure is eleven") == "There is no load to do that with. Say start a load."


def test_a_challenge_of_a_step_is_answered_without_calling(cook):
    cook.run(*cook.BEANS)
    assert "inches of hot water" in cook.bare("clear")
    assert "Jar check" in cook.bare("done")
    assert cook.bare("no") == "When it is, say clear or done."
    assert cook.load.checked == ("canner_check", "water")
    cook.wait(60)
    assert cook.bare("clear") == ""
    assert cook.say("yes") == "When it is, say clear or done."  # a yes to nothing that was asked just now
    assert "one teaspoon" in cook.say("clear")


def test_yes_is_clear_while_it_is_asked(cook):
    cook.run(*cook.BEANS, "> yes", "> yes", "> yes")
    assert cook.load.checked == ("canner_check", "water", "jar_check")
    assert cook.load.step == "salt"


def test_next_does_not_go_round_a_check(cook):
    cook.run(*cook.BEANS)
    said = [cook.say("next"), cook.say("next")]
    assert said[0].startswith("Not yet checked. Canner check.")
    assert said[1].startswith("I don't pass over the canner check: vent pipe, gasket and rack. Look, and say clear")
    assert cook.load.checked == ()
    cook.bare("yes")
    assert cook.load.checked == ("canner_check",)


@pytest.mark.parametrize("load", ["BEANS", "CARROTS", "SAUCE"])
@pytest.mark.parametrize("speech_level", ["full", "brief"])
def test_a_check_asks_what_yes_would_answer_and_says_what_is_wanted(make, speech_level, load):
    cook = make(speech_level=speech_level)
    said = cook.run(*getattr(cook, load))
    checked = 0
    while cook.load.stage == "pack" and cook.load.step != "packing":
        step = step_of(cook.load)
        if step.check:
            checked += 1
            assert "?" in said
            assert re.search(r"[Ss]ay (clear|done)\.$", said.strip()), said
        said = cook.say("clear")
    assert checked


@pytest.mark.parametrize(
    ("lines", "first"),
    [
        ((), "clear"),
        (("clear", "clear", "clear", "next", "next", "next"), "jars are in"),
        (("jars are in",), "lid is locked"),
        (("jars are in", "lid is locked"), "steam is steady"),
        (("jars are in", "steam is steady", 10.1), "weight is on"),
    ],
)
def test_help_names_first_what_ends_the_step(cook, lines, first):
    cook.run(*cook.BEANS, *lines)
    assert cook.say("help").startswith(f"You can say: {first}, ")


def test_a_challenge_is_never_repeated(cook):
    cook.run(*cook.BEANS)
    assert cook.wait(600) == ""


def test_two_checks_are_asked_one_after_the_other(two):
    two.run("the green beans", "seven jars packed", "jars are in", "lid is locked", "steam is steady", 2)
    two.run("the carrots", "nine jars packed", "jars are in", "lid is locked", "steam is steady", 11)
    two.run("the green beans", "weight is on", "weight is on")
    two.run("green beans pressure is eleven", "carrots weight is rocking")
    assert all(load.holding for load in two.kitchen.open_loads)
    assert two.wait(121) == "Green beans. What does the gauge read?"
    assert two.bare("eleven").endswith("Carrots. Is the weight still rocking?")
    assert "Rocking" in two.bare("yes")
    assert two.talk.question.passive


def test_a_check_nobody_answers_is_asked_twice_and_no_more(holding):
    asked = [holding.wait(30) for _ in range(9)]
    assert [text for text in asked if text] == ["What does the gauge read?"] * 2


def test_in_a_long_silence_it_is_asked_less_often_and_said_once_since_when(holding):
    asked = [text for _ in range(42) if "gauge" in (text := holding.wait(30))]
    question = "What does the gauge read?"
    assert asked == [question, question, f"No report for seven minutes. {question}", question]
    assert "No report" not in holding.bare("eleven")


def test_the_closing_sentence_tells_that_nobody_answered_and_how_old_the_last_report_is(holding):
    said = holding.wait(1501)
    assert "The hold is done, twenty five minutes in full. Three checks had no answer" in said
    assert "and the last report is twenty five minutes old." in said
    assert "as you reported it. Three checks had no answer." in holding.say("heat is off")


def test_the_closing_sentence_says_nothing_of_it_where_every_question_was_answered(holding):
    for _ in range(25):
        if "gauge" in holding.wait(60):
            holding.bare("eleven")
    said = holding.said[-1]
    assert said.startswith("Green beans. The hold is done, twenty five minutes in full.")
    assert "had no answer" not in said
    assert "had no answer" not in holding.say("heat is off")


def test_an_old_hand_is_asked_once(make):
    cook = make(speech_level="brief")
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *cook.HOLDING)
    asked = [cook.wait(30) for _ in range(9)]
    assert [text for text in asked if text] == ["What does the gauge read?"]


def test_a_check_that_a_form_pushed_aside_comes_again_once(holding):
    assert holding.wait(125) == "What does the gauge read?"
    holding.say("start nine pints of carrots in canner two")
    holding.bare("hot pack")
    assert "What does the gauge read?" in holding.bare("yes")
    assert holding.bare("twelve").startswith("Green beans. Twelve.")


def test_a_check_that_a_report_answered_is_not_asked_again(holding):
    holding.wait(125)
    holding.say("start nine pints of carrots in canner two")
    assert "Raw pack or hot pack?" in holding.say("pressure is twelve")
    holding.bare("hot pack")
    assert "gauge read" not in holding.bare("yes")


def test_a_report_on_the_way_does_not_end_the_form(holding):
    holding.say("start nine pints of carrots in canner two")
    answer = holding.say("pressure is twelve")
    assert answer.startswith("Twelve.")
    assert answer.endswith("Raw pack or hot pack?")
    assert "Nine pints of carrots" in holding.bare("hot pack")


def test_a_new_command_ends_a_question_about_a_report(holding):
    holding.wait(200)
    assert "?" in holding.say("pressure is twenty five")
    holding.say("pressure is twelve")
    assert holding.say("yes") == "I haven't asked anything."
    assert holding.load.holding


def test_asleep_it_hears_only_the_word_that_wakes_it_and_asks_nothing(holding):
    holding.say("stop listening")
    before = holding.kitchen
    assert holding.say("heat is on").startswith("I'm not listening, and took nothing.")
    assert holding.say("help") == ""
    assert holding.kitchen == before
    assert "gauge read" not in holding.wait(600)
    assert holding.say("start listening").startswith("Listening.")
    assert "of hold left" in holding.say("time left")


def test_a_loss_that_is_said_while_nobody_listens_is_asked_about_after_it(holding):
    holding.say("stop listening")
    assert holding.say("pressure dropped").startswith("I'm not listening, and took nothing.")
    assert holding.load.doubt
    assert "Did the pressure drop here?" in holding.say("start listening")
    holding.bare("no")
    assert holding.load.holding
    assert not holding.load.doubt


def test_asleep_it_still_calls_and_tells_what_waits_when_woken(holding):
    holding.say("stop listening")
    assert "The hold is done" in holding.wait(1600)
    assert "The hold ended" in holding.say("start listening")


def test_a_call_is_an_alarm_with_the_name_of_its_load(holding):
    holding.wait(1500 - (holding.t - holding.load.hold.started_t) - 1)
    holding.t += 2
    turn = holding.conversation.tick(holding.t)
    (call,) = turn.announcements
    assert (call.urgency, call.key, call.load) == (Urgency.ALARM, "hold_done:1", 1)
    assert call.text.startswith("Green beans.")


def test_two_calls_of_the_same_second_are_both_heard(two):
    two.run("the green beans", "seven jars packed", "jars are in", "lid is locked")
    two.run("the carrots", "nine jars packed", "jars are in", "lid is locked")
    two.run("the green beans", "steam is steady", "the carrots", "steam is steady")
    two.wait(599)
    two.t += 2
    texts = [each.text for each in two.conversation.tick(two.t).announcements]
    assert [text.split(".")[0] for text in texts] == ["Green beans", "Carrots"]


# ---------------------------------------------------------------- start and recovery


def test_the_first_hello_explains_and_the_next_is_short(cook):
    assert "Say kitchen voice, then what you need" in cook.cut(0)
    cook.run(*cook.BEANS, "scratch that")
    assert cook.cut(0) == "Listening."


def test_a_restart_with_open_loads_tells_where_they_are(holding):
    assert holding.cut(0) == "Listening again. Green beans: holding, twenty five minutes left."


@pytest.mark.parametrize("off_s", [0, 0.5, 9.9])
def test_a_gap_too_short_to_matter_is_neither_asked_about_nor_spoken(holding, off_s):
    answer = holding.cut(off_s)
    assert "I was off" not in answer
    assert "all the time" not in answer
    assert not holding.load.doubt


def test_after_a_longer_gap_only_a_yes_lets_the_hold_go_on(holding):
    answer = holding.cut(240)
    assert "I was off for four minutes. I couldn't hear any report." in answer
    assert "Green beans. Was the pressure at eleven or above all the time?" in answer
    assert holding.bare("yes") == "It counts on. Twenty one minutes to go."
    assert holding.load.holding
    assert not holding.load.doubt


def test_after_a_longer_gap_a_no_starts_the_hold_over(holding):
    holding.cut(240)
    assert "starts over in full" in holding.bare("no")
    assert not holding.load.holding
    assert holding.load.restarts == 1


def test_no_answer_about_the_gap_is_no_yes(holding):
    holding.cut(240)
    assert "starts over in full" in holding.wait(120)
    assert holding.load.hold.why == "gap"
    assert next(x for x in holding.events if x.kind == "doubt_settled").data["by"] == "silence"


def test_each_load_in_doubt_is_asked_about(two):
    two.run("the green beans", "seven jars packed", "jars are in", "lid is locked", "steam is steady", 2)
    two.run("the carrots", "nine jars packed", "jars are in", "lid is locked", "steam is steady", 2)
    assert "Green beans. Was the steam steady all the time?" in two.cut(60)
    assert "Carrots. Was the steam steady all the time?" in two.bare("yes")
    assert "vent starts over" in two.bare("no")
    assert [bool(load.timer("vent")) for load in two.kitchen.open_loads] == [True, False]


def test_time_left_is_not_told_while_nobody_knows_whether_it_held(holding):
    holding.cut(240)
    assert holding.say("time left") == "I was off, and nobody has told me whether it held."
