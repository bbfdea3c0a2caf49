from __future__ import annotations

import pytest

from kitchenvoice.ports import Utterance


def test_taking_back_leads_to_the_state_before_at_any_depth(cook):
    lines = ["clear", "three more", "two more", "two more", "jars are in", "lid is locked", "steam is steady"]
    cook.run(*cook.BEANS)
    states = [cook.kitchen.loads]
    for line in lines:
        cook.say(line)
        states.append(cook.kitchen.loads)
    for before in reversed(states[:-1]):
        assert cook.say("scratch that").startswith("Taken back:")
        assert cook.kitchen.loads == before


def test_taking_back_says_what_and_what_is_left(cook):
    cook.run(*cook.BEANS, "three more", "two more")
    assert cook.say("scratch that") == "Taken back: two packed. Three packed."
    cook.say("scratch that")
    assert cook.say("scratch that") == "Taken back: the start of load one, green beans. No load is open."
    assert cook.say("scratch that") == "There is nothing to take back."


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (("set a timer for five minutes",), "Taken back: the timer of five minutes"),
        (("start seven quarts of green beans raw pack", "> yes", "a jar broke"), "Taken back: one broken"),
    ],
)
def test_what_is_taken_back_is_named(cook, lines, said):
    cook.run(*lines)
    assert cook.say("scratch that").startswith(said)


def test_inside_the_form_of_a_load_nothing_of_another_one_is_taken_back(holding):
    before = holding.kitchen
    holding.say("start nine pints of carrots in canner two")
    assert holding.say("scratch that") == "No load started."
    assert holding.kitchen == before


def test_where_we_are_is_also_the_question_that_is_open(cook):
    cook.say("start a load of carrots in pints")
    assert cook.say("where are we") == "Raw pack or hot pack?"
    assert "How many pints?" in cook.bare("hot pack")


def test_nothing_dangles_after_the_start_was_taken_back(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.5)
    assert cook.kitchen.calls
    for _ in range(5):
        cook.run("scratch that", "> yes")
    assert not cook.kitchen.calls
    assert not cook.kitchen.open_loads
    assert cook.talk.question is None
    keys = [key for each in cook.turn.controls for key in each.data.get("keys", ())]
    answered = [x for x in cook.turn.controls if x.name == "answered"]
    assert not answered or keys
    assert cook.wait(3600) == ""


def test_the_call_of_a_report_taken_back_stops(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.5)
    cook.run("scratch that", "> yes")
    assert [(x.name, x.data["keys"]) for x in cook.turn.controls] == [("answered", ("vent_done:1",))]


def test_taking_back_drops_the_question_about_the_load(cook):
    cook.run(*cook.BEANS, "six jars packed", "jars are in")
    assert cook.talk.question is not None
    cook.say("scratch that")
    assert cook.talk.question is None or cook.talk.question.passive
    assert cook.bare("yes") in ("", "When it is, say clear or done.")
    assert cook.load.loaded is None


def test_cancel_without_a_question_says_so(cook):
    assert cook.say("cancel") == "I haven't asked anything."


def test_cancel_leaves_an_objection_as_it_was(holding):
    holding.say("heat is off")
    assert holding.bare("cancel").startswith("Was the pressure at eleven or above all the time")
    holding.bare("yes")
    assert holding.load.holding
    assert not holding.load.doubt


def test_cancel_drops_the_question_about_the_gauge(holding):
    holding.wait(125)
    assert holding.bare("never mind") == "Left as it was."
    assert holding.wait(100) == ""


def test_help_tells_what_can_be_said_at_each_stage(cook):
    assert "start a load" in cook.say("help")
    cook.run(*cook.BEANS)
    assert "another jar" in cook.say("help")
    cook.run(*cook.LOADED)
    assert "lid is locked" in cook.say("help")


def test_help_at_the_stove_goes_by_the_canner(holding, make):
    assert "pressure dropped" in holding.say("help")
    cook = make()
    cook.run(*cook.SAUCE, *cook.LOADED, "done", "heat is on", "full boil")
    assert "we lost the boil" in cook.say("help")
    assert "pressure" not in cook.said[-1]


@pytest.mark.parametrize(
    ("lines", "answers"),
    [
        (("start seven quarts of green beans raw pack",), "Say yes, or no, or cancel."),
        (("start a load of carrots in pints", "> hot pack"), "Say the number, or cancel."),
        (("start a load",), "Say the name, or cancel."),
    ],
)
def test_help_in_a_question_tells_how_it_is_answered(cook, lines, answers):
    cook.run(*lines)
    assert cook.bare("help").endswith(answers)


def test_repeat_says_the_last_answer_again(holding):
    assert holding.say("repeat that") == holding.said[-2]
    said = holding.say("time left")
    assert holding.say("say again") == said
    assert holding.say("say again") == said


def test_repeat_after_a_no_match_says_what_was_said_before_it(holding):
    told = holding.said[-1]
    assert holding.say("the cat wants steam") == "Say that again?"
    assert holding.say("repeat that") == told


def test_nothing_said_yet(cook):
    assert cook.say("repeat that") == "I haven't said anything yet."


def test_quiet_stops_speech_and_says_nothing(holding):
    assert holding.say("stop talking") == ""
    assert [control.name for control in holding.turn.controls] == ["stop"]


@pytest.mark.parametrize(
    ("line", "name", "data"),
    [
        ("keep it short", "level", {"brief": True}),
        ("tell me everything", "level", {"brief": False}),
    ],
)
def test_settings_are_passed_on_and_acknowledged(cook, line, name, data):
    assert cook.say(line)
    assert [(x.name, dict(x.data)) for x in cook.turn.controls] == [(name, data)]


@pytest.mark.parametrize(
    ("line", "name", "step", "kept", "bound"),
    [
        ("louder", "volume", 1, {"volume": [0.71, 1.0]}, "I can't speak louder than this. Turn the speaker up"),
        ("speak softer", "volume", -1, {"volume": [0.35, 0.25, 0.18, 0.13]}, "I don't speak softer than this"),
        ("speak slower", "rate", -1, {"speech_rate_wpm": [145, 125, 105, 90]}, "I can't speak slower"),
        ("speak faster", "rate", 1, {"speech_rate_wpm": [185, 205, 225, 230]}, "I don't speak faster"),
    ],
)
def test_loudness_and_pace_are_kept_and_their_bounds_said(make, line, name, step, kept, bound):
    cook = make(volume=0.5, speech_rate_wpm=165)
    ((field, values),) = kept.items()
    for value in values:
        assert bound not in cook.say(line)
        controls = [(x.name, dict(x.data)) for x in cook.turn.controls]
        assert controls == [(name, {"step": step}), ("profile", {field: value})]
    assert cook.say(line).startswith(bound)
    assert not cook.turn.controls


def test_brief_is_brief_and_keeps_its_cautions(make):
    full, brief = make(), make(speech_level="brief")
    for cook in (full, brief):
        cook.run(*cook.BEANS, "clear", "done", "clear", *cook.LOADED, *cook.VENTING, *cook.HOLDING)
        cook.run(26, "heat is off", 46, "gauge is at zero", 11)
    words = [sum(len(text.split()) for text in cook.said) for cook in (full, brief)]
    assert words[1] < 0.7 * words[0]
    for caution in ("Keep hands and face out of the steam.", "The vent is hot.", "The steam under the lid burns."):
        assert any(caution in text for text in brief.said)


def test_an_answered_call_names_its_load_and_what_to_do(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 11)
    assert cook.say("i hear you") == "Green beans. Use a mitt. The vent is hot. Weight on."
    assert cook.say("i hear you") == "Nothing is calling."
    assert "ended" not in cook.wait(3000)


def test_what_was_missed_tells_the_calls_and_the_open_question(holding):
    assert holding.say("what did i miss") == "Nothing is waiting for you."
    holding.wait(200)
    assert holding.say("what did i miss") == "What does the gauge read?"
    holding.wait(1600)
    assert "The hold ended" in holding.say("what did i miss")


def test_a_kitchen_timer_from_set_to_stopped(cook):
    assert cook.say("set a timer for fifteen minutes") == "Timer set for fifteen minutes, one five."
    assert cook.say("time left") == "Fifteen minutes left on your timer of fifteen minutes."
    assert "is up" in cook.wait(901)
    assert "Your timer ended two minutes ago." in cook.wait(120)
    assert cook.say("stop the timer") == "The timer is stopped."
    assert cook.wait(3600) == ""


def test_a_load_has_no_timer_that_a_word_stops(holding):
    assert holding.say("stop the timer").startswith("No kitchen timer is running.")
    assert holding.load.holding


@pytest.mark.parametrize("line", ["load five", "the corn"])
def test_a_load_that_is_not_there(two, line):
    answer = two.say(line)
    assert "I have green beans and carrots" in answer or answer == "Say that again?"


def test_no_load_to_turn_to(cook):
    assert cook.say("load two") == "No load is going."


def test_a_minus_that_was_typed_is_never_a_plus(cook):
    cook.run(*cook.BEANS, "three more")
    assert cook.say("-2 packed") == "Say that again?"
    assert cook.load.packed == 3


# ---------------------------------------------------------------- times that go on


def test_what_was_said_a_while_ago_is_repeated_as_that(holding):
    left = holding.say("time left")
    assert holding.run(0.2, "repeat that") == left
    assert holding.run(4, "> pressure is eleven", 3, "time left") != left
    told = holding.said[-1]
    holding.wait(50)
    assert holding.say("repeat that") == f"Fifty seconds ago I said: {told}"
    holding.wait(100)
    assert holding.say("repeat that") == f"Two and a half minutes ago I said: {told}"


def test_a_question_that_is_asked_again_tells_the_time_that_is_left_by_then(cook):
    cook.run(*cook.SAUCE, *cook.LOADED, "done", "heat is on", "full boil", 21, "heat is off", 1, "lid is off", 0.5)
    assert "Four and a half minutes still to wait" in cook.say("jars are out")
    cook.wait(15)
    assert "Four and a half minutes still to wait" not in cook.say("where are we")
    assert "Four minutes still to wait" in cook.run(0.25, "help")


def test_the_reason_of_a_refusal_tells_the_time_that_is_left_by_then(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero")
    assert "Ten minutes still to wait" in holding.say("lid is off")
    assert holding.run(3, "why") == "Leave the lid on. Seven minutes still to wait."


def test_only_what_tells_no_time_is_true_for_ever(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", "lid is off")
    (refused,) = holding.turn.announcements
    assert refused.text == "Leave the lid on. Ten minutes still to wait."
    assert refused.true_s is not None
    assert refused.lasting == "Leave the lid on. The ten minutes at zero have to be over first."
    (asked,) = holding.conversation.hear(Utterance(("kitchen voice time left",)), holding.t).announcements
    assert asked.true_s is not None
    assert asked.lasting == ""


def test_a_call_that_could_not_be_said_is_worded_anew_while_it_waits(holding):
    holding.wait(25 * 60 + 1)
    holding.t += 40
    (call,) = holding.conversation.unsaid("hold_done:1", holding.t).announcements[-1:]
    assert (call.text, call.key) == (
        "Green beans. The hold ended forty one seconds ago. Turn the heat off.",
        "hold_done:1",
    )
    holding.say("i'm here")
    assert not holding.conversation.unsaid("hold_done:1", holding.t).announcements


@pytest.mark.parametrize("said", ["skip", "skip it", "skip this"])
def test_skip_goes_on_where_next_does_and_passes_over_no_check(make, said):
    cook = make()
    cook.run("start seven quarts of carrots raw pack in canner one", "> yes")
    assert cook.bare(said, typed=True).startswith("Not yet checked.")
    cook.run("> clear", "> clear", "> clear")
    assert "Fill tightly" in cook.bare(said, typed=True)
