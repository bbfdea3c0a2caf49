"""Kitchen timers by name: which one is set, asked for, called and stopped is always said."""

from __future__ import annotations

import time

import pytest

from kitchenvoice.process import fold


def left(cook):
    return {timer.name: timer.left_s(cook.t) for timer in cook.kitchen.timers}


@pytest.mark.parametrize(
    ("said", "answer", "name", "seconds"),
    [
        ("set a timer for ten seconds", "Timer set for ten seconds.", None, 10),
        ("set a timer for fifteen seconds", "Timer set for fifteen seconds, one five.", None, 15),
        ("set a timer for five minutes for the eggs", "The egg timer is set for five minutes.", "egg", 300),
        ("start a timer for an hour called brine", "The brine timer is set for one hour.", "brine", 3600),
        ("set a bread timer for half an hour", "The bread timer is set for thirty minutes, three zero.", "bread", 1800),
        ("set a ten minute timer for the rolls", "The rolls timer is set for ten minutes.", "rolls", 600),
        ("can you set a timer for two minutes please", "Timer set for two minutes.", None, 120),
    ],
)
def test_a_timer_is_set_for_seconds_or_hours_with_or_without_a_name(cook, said, answer, name, seconds):
    assert cook.say(said) == answer
    (timer,) = cook.kitchen.timers
    assert timer.seconds == pytest.approx(seconds, abs=0.01)
    assert name is None or timer.name == name
    cook.wait(seconds - 1)
    assert not cook.kitchen.calls
    assert " is up" in cook.wait(1.01)
    assert cook.kitchen.calls


def test_with_two_and_no_name_it_asks_which_and_says_which_was_stopped(cook):
    cook.run("set a timer for five minutes for the eggs", "set a timer for forty minutes called brine")
    assert cook.say("stop the timer") == "Which timer: egg or brine?"
    assert left(cook).keys() == {"egg", "brine"}
    assert cook.bare("eggs") == "Stopped: the egg timer. Forty minutes left on the brine timer."
    assert left(cook).keys() == {"brine"}
    assert cook.say("stop the timer") == "Stopped: the brine timer."


def test_two_without_a_name_are_told_apart_by_their_length(cook):
    cook.run("set a timer for five minutes", "set a timer for ten minutes")
    assert cook.say("cancel the timer") == "Which timer: five minutes or ten minutes?"
    assert cook.bare("the bread timer").startswith("There is no bread timer.")
    assert cook.bare("the three minute one") == "There is no three minute timer."
    left = "Five minutes left on your timer of five minutes."
    assert cook.bare("ten minutes") == f"Stopped: your timer of ten minutes. {left}"


def test_all_are_stopped_at_once_and_each_is_named(cook):
    cook.run("set a timer for five minutes for the eggs", "set a timer for ten minutes")
    assert cook.say("stop all the timers") == "Stopped: the egg timer and your timer of ten minutes."
    assert not cook.kitchen.timers
    assert cook.say("stop the timer").startswith("No kitchen timer is running.")


def test_a_timer_of_a_load_is_no_kitchen_timer(holding):
    assert holding.say("stop the timer").startswith("No kitchen timer is running.")
    assert holding.say("how long is left on the timer").startswith("No kitchen timer is running.")
    assert holding.load.holding


def test_without_a_name_the_one_that_rings_is_stopped_and_the_others_run_on(cook):
    cook.run("set a timer for one minute for the eggs", "set a timer for ten minutes called brine", 1.1)
    assert cook.say("stop the timer") == "Stopped: the egg timer. Nine minutes left on the brine timer."
    assert left(cook).keys() == {"brine"}
    assert not cook.kitchen.calls


def test_two_that_ring_at_once_are_both_called_and_both_named(cook):
    cook.run("set a timer for five minutes for the eggs", "set a timer for five minutes called brine")
    rung = cook.wait(301)
    assert "The egg timer is up." in rung
    assert "The brine timer is up." in rung
    assert cook.say("how long is left on the timer").count("ended one second ago") == 2
    assert cook.say("stop the timer") == "Stopped: the egg timer and the brine timer."
    assert "timer" not in cook.wait(600)


def test_setting_a_name_again_replaces_the_one_before_and_says_so(cook):
    cook.run("set a timer for five minutes for the eggs", 1)
    assert cook.say("set an egg timer for ten minutes") == "The egg timer starts over: ten minutes."
    assert left(cook) == {"egg": 600}
    cook.wait(601)
    assert cook.say("set a timer for one minute for the eggs") == "The egg timer is set for one minute."
    assert not cook.kitchen.calls


def test_the_names_and_timers_outlast_a_cut(cook):
    cook.run("set a timer for twenty minutes for the eggs", 1)
    cook.cut(120)
    assert cook.say("how long on the egg timer") == "Seventeen minutes left on the egg timer."
    assert fold(cook.events).timers == cook.kitchen.timers


def test_after_nobody_knows_how_long_a_timer_has_that_or_less_to_go(cook):
    cook.run("set a timer for ten minutes", "set an egg timer for thirty minutes", 2)
    assert "can't tell for how long" in cook.cut(None)
    assert cook.say("how much time is left") == (
        "At most eight minutes left on your timer of ten minutes. At most twenty eight minutes left on the egg timer."
    )
    cook.say("set a bread timer for five minutes")
    assert cook.say("how long on the bread timer") == "Five minutes left on the bread timer."


def test_such_a_timer_calls_at_its_end_alone_and_has_ended_then_or_before(cook):
    cook.run("set a timer for ten minutes")
    cook.cut(None)
    assert cook.wait(599) == ""
    assert cook.wait(2) == "Your timer of ten minutes is up."
    assert cook.wait(30) == "Your timer ended at least twenty seconds ago."
    assert cook.wait(30) == "Your timer ended at least one minute ago."


def test_a_call_that_waited_for_nobody_knows_how_long_has_waited_so_long_at_least(cook):
    cook.run("set a timer for ten minutes", 11)
    cook.cut(None)
    assert cook.say("how long is left on the timer") == "Your timer ended at least one minute ago."


@pytest.mark.parametrize(
    ("off_s", "told"),
    [
        (603, "Your timer of ten minutes is up."),
        (609, "Your timer of ten minutes is up."),
        (611, "Your timer of ten minutes ended eleven seconds ago."),
        (720, "Your timer of ten minutes ended two minutes ago."),
    ],
)
def test_a_timer_that_ended_while_it_was_off_is_not_called_as_if_it_ended_now(cook, off_s, told):
    cook.run("set a timer for ten minutes")
    assert told in cook.cut(off_s)


def test_after_nobody_knows_how_long_the_time_of_a_load_is_that_or_less_too(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 2)
    holding.cut(None)
    assert holding.say("time left").startswith("At most eight minutes of")


def test_what_is_objected_to_after_nobody_knows_how_long_is_no_surer(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 2)
    holding.cut(None)
    assert "at most eight minutes" in holding.say("lid is off").lower()


def test_the_time_for_a_failed_jar_is_the_most_it_can_be_to_the_last_word(counting):
    counting.run("six sealed one failed", "yes")
    counting.cut(None)
    assert "Within at most" in counting.say("reprocess it")


def test_two_hours_before_the_end_of_the_window_nobody_is_woken_at_half_past_six(counting):
    counting.cut(None)
    counting.run(11 * 60)
    assert not any("two hours left to decide" in text for text in counting.said)
    assert "Twenty four hours since processing" in counting.run(60)


@pytest.fixture
def utc(monkeypatch):
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("utc")
@pytest.mark.parametrize(
    ("said", "minutes", "at"),
    [
        ("call me at half past three", 450, "three thirty"),
        ("wake me at six tomorrow morning", 22 * 60, "six o'clock"),
        ("set an alarm for noon", 240, "twelve o'clock"),
        ("ring at five to nine tonight", 12 * 60 + 55, "eight fifty five"),
        ("let me know when it's five past eight", 5, "eight oh five"),
        ("set a timer until eight", 12 * 60, "eight o'clock"),
        ("call me at midnight", 16 * 60, "twelve o'clock"),
    ],
)
def test_a_timer_runs_to_a_time_of_day_by_the_clock_of_the_machine(cook, said, minutes, at):
    told = cook.bare(said, typed=True)
    assert told.startswith(f"Timer set to {at} by this machine's clock, ")
    (timer,) = cook.kitchen.timers
    assert timer.seconds == pytest.approx(60 * minutes)


@pytest.mark.usefixtures("utc")
def test_the_time_of_day_is_told_beside_the_minutes_unless_the_clock_may_be_wrong(holding):
    asked = "when will it be done"
    assert holding.bare(asked, typed=True) == (
        "Twenty five minutes of hold left. By this machine's clock that's eight thirty six."
    )
    assert "clock" not in holding.bare("how long is left", typed=True)
    holding.talk.wall_s = None
    assert holding.bare(asked, typed=True) == "Twenty five minutes of hold left."
    assert holding.bare("call me at three", typed=True).startswith("My clock may be wrong")
    assert not holding.kitchen.timers


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("set a timer for ten minutes called onions", "onions"),
        ("onion timer ten minutes", "onion"),
        ("set a timer called rice for ten minutes", "rice"),
        ("ten minute timer for beef stew", "beef stew"),
        ("set a timer for ten minutes for me", None),
        ("set a timer for ten minutes for the canner", None),
        ("start a ten minute timer", None),
    ],
)
def test_a_typed_timer_takes_any_name_but_one_of_the_stove(cook, said, name):
    assert cook.bare(said, typed=True) == (f"The {name} timer is" if name else "Timer") + " set for ten minutes."
    (timer,) = cook.kitchen.timers
    assert (timer.name == name) is bool(name)


def test_a_timer_of_a_name_of_ones_own_is_asked_for_and_stopped_by_it(cook):
    cook.bare("set a timer for ten minutes called onions", typed=True)
    cook.bare("set a timer for five minutes", typed=True)
    assert "left on the onions timer" in cook.bare("how long on the onions", typed=True)
    assert cook.bare("stop the onion timer", typed=True).startswith("Stopped: the onions timer.")
    assert len(left(cook)) == 1
