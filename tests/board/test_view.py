"""The view of a kitchen, as page and terminal draw it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.app.session import Trouble
from kitchenvoice.board import LatestSnapshot, Snapshot, View, view_of
from kitchenvoice.board.clocks import face
from kitchenvoice.board.texts import load_labels
from kitchenvoice.process import Event, Kitchen, apply

from . import kitchen
from .kitchen import Day


def shown(*lines: str, age_s: float = 0.0, live: bool = True) -> View:
    """Return the view of a day."""
    return view_of(Day(*lines).seen, age_s=age_s, live=live)


def particulars(view: View, number: int = 0) -> dict[str, str]:
    """Return the particulars of one load."""
    return {
        each.label: f"{each.value} ({each.age})" if each.age else each.value for each in view.loads[number].particulars
    }


# ---------------------------------------------------------------- clocks


@pytest.mark.parametrize(
    ("left_s", "written"),
    [
        (1500.0, "25:00 min"),
        (1499.2, "25:00 min"),
        (59.0, "0:59 min"),
        (0.2, "0:01 min"),
        (0.0, "0:00 min"),
        (-3.0, "0:00 min"),
        (6000.0, "100:00 min"),
        (10_800.0, "180:00 min"),
        (10_801.0, "3 h 01 min"),
        (43_140.0, "11 h 59 min"),
        (86_400.0, "24 h 00 min"),
    ],
)
def test_a_time_is_written_in_minutes_as_the_tables_print_it_and_in_hours_above_three(left_s, written):
    assert " ".join(part for pair in face(left_s) for part in pair) == written


@given(st.floats(0, 200_000))
def test_a_written_time_is_never_less_than_what_is_left_nor_a_minute_more(left_s):
    parts = {unit: figures for figures, unit in face(left_s)}
    if "h" in parts:
        told_s = 3600 * int(parts["h"]) + 60 * int(parts["min"])
    else:
        minutes, seconds = parts["min"].split(":")
        told_s = 60 * int(minutes) + int(seconds)
    assert left_s <= told_s <= left_s + (60 if "h" in parts else 1)


@given(st.floats(0, 200_000), st.floats(0, 100))
def test_a_written_time_never_goes_up_while_time_goes_on(left_s, passed_s):
    def as_numbers(written):
        return [int(number) for figures, _ in written for number in figures.split(":")]

    before, after = face(left_s), face(left_s - passed_s)
    assert len(after) < len(before) or as_numbers(after) <= as_numbers(before)


def test_a_clock_shows_what_the_engine_holds_and_counts_on_from_there():
    view = shown(*kitchen.HOLDING)
    (clock,) = view.loads[0].clocks
    assert (clock.label, clock.total_s, clock.left_s) == ("of hold to go", 1500.0, 1379.0)
    (later,) = view_of(Day(*kitchen.HOLDING).seen, age_s=1.5, live=True).loads[0].clocks
    assert later.left_s == 1377.5


def test_there_is_no_clock_before_a_report_has_started_one():
    assert shown(*kitchen.PACKING).loads[0].clocks == ()
    assert shown(*kitchen.VENTED, "weight is on").loads[0].clocks == ()


def test_a_clock_stops_at_zero_and_says_no_more_until_the_engine_does():
    view = view_of(Day(*kitchen.HOLDING).seen, age_s=2000.0, live=True)
    assert view.loads[0].clocks[0].left_s == 0.0


def test_a_lost_hold_has_words_instead_of_a_time():
    (load,) = shown(*kitchen.LOST).loads
    assert load.amiss
    assert [(clock.left_s, clock.note) for clock in load.clocks] == [(None, "Stopped. Starts over in full: 25 min.")]


def test_after_a_gap_no_time_is_shown_until_somebody_says_whether_it_held():
    day = Day(*kitchen.HOLDING)
    day.kitchen.sleep(120.0)
    (load,) = view_of(day.seen, age_s=0.0, live=True).loads
    assert load.amiss
    assert [(clock.left_s, clock.note) for clock in load.clocks] == [(None, "Waiting for an answer: did it hold?")]


def test_a_vent_in_doubt_is_not_asked_about_as_a_hold():
    day = Day(*kitchen.VENTING)
    day.kitchen.sleep(120.0)
    (load,) = view_of(day.seen, age_s=0.0, live=True).loads
    assert [clock.note for clock in load.clocks] == ["Waiting for an answer."]


def test_loads_of_one_food_have_their_number_once_beside_their_name():
    view = shown(*kitchen.EIGHT_LOADS)
    assert {"Carrots", "Green beans"} <= {load.name for load in view.loads}


def test_each_load_and_each_kitchen_timer_has_its_own_clock():
    view = shown(*kitchen.FULL)
    ids = [clock.id for load in view.loads for clock in load.clocks] + [clock.id for clock in view.timers]
    assert ids[:2] == ["hold-1", "vent-2"]
    assert len(set(ids)) == 3


def test_a_timer_with_a_name_is_called_by_it():
    assert [clock.label for clock in shown(*kitchen.FIVE_LOADS).timers] == ["rice timer"]
    assert [clock.label for clock in shown(*kitchen.FULL).timers] == ["timer of 20 min"]


def test_a_crock_tells_its_days_in_place_of_a_time():
    seen = Day("start a crock of sauerkraut", "@ 99:00").seen
    (crock,) = view_of(seen, age_s=0.0, live=True).timers
    assert (crock.note, crock.label, crock.left_s) == ("4 days", "crock of sauerkraut", None)
    cared = Day("start a crock of sauerkraut", "@ 70:00", "i skimmed the crock", "@ 99:00").seen
    (crock,) = view_of(cared, age_s=0.0, live=True).timers
    assert (crock.note, crock.label) == ("4 days", "crock of sauerkraut, skimmed yesterday")
    several = Day(
        "start a crock of pickles", "@ 1:00", "start a crock of sauerkraut", "start another crock of pickles"
    ).seen
    told = [(each.id, each.label) for each in view_of(several, age_s=0.0, live=True).timers]
    assert told == [
        ("crock-dill_pickles_fermented-1", "crock 1: fermented dill pickles"),
        ("crock-sauerkraut-2", "crock of sauerkraut"),
        ("crock-dill_pickles_fermented-3", "crock 3: fermented dill pickles"),
    ]
    start = Event(seq=seen.kitchen.seq + 1, t=seen.kitchen.t, kind="session_start", data={"unknown": True})
    unsure = replace(seen, kitchen=apply(seen.kitchen, start)[0])
    assert view_of(unsure, age_s=0.0, live=True).timers[0].note == "4 days or more"


def test_the_day_for_failed_jars_is_counted_down():
    view = shown(*kitchen.COUNTED)
    assert [clock.label for clock in view.loads[0].clocks] == ["left to decide about failed jars"]
    assert particulars(view)["Jars"] == "6 sealed, 1 failed, 1 to decide"


def test_after_nobody_knows_how_long_a_clock_is_the_most_that_is_left():
    for lines, waits in ((kitchen.FULL, "timer of "), (kitchen.COUNTED, "left to decide")):
        seen = Day(*lines).seen
        start = Event(seq=seen.kitchen.seq + 1, t=seen.kitchen.t, kind="session_start", data={"unknown": True})
        view = view_of(replace(seen, kitchen=apply(seen.kitchen, start)[0]), age_s=0.0, live=True)
        (clock,) = view.timers or view.loads[0].clocks
        assert clock.label.startswith(waits)
        assert clock.label.endswith(", at most")


def test_a_call_that_waited_for_nobody_knows_how_long_tells_no_time():
    seen = Day(*kitchen.TWO_CALLS).seen
    start = Event(seq=seen.kitchen.seq + 1, t=seen.kitchen.t, kind="session_start", data={"unknown": True})
    view = view_of(replace(seen, kitchen=apply(seen.kitchen, start)[0]), age_s=0.0, live=True)
    assert {call.age for call in view.calls} == {"nobody knows since when"}


# ---------------------------------------------------------------- out of date


@pytest.mark.parametrize("lines", [kitchen.HOLDING, kitchen.FULL, kitchen.TWO_CALLS, kitchen.COUNTED])
def test_a_view_that_nobody_vouches_for_has_no_time_in_it(lines):
    view = shown(*lines, age_s=4.0, live=False)
    clocks = [*view.timers, *(clock for load in view.loads for clock in load.clocks)]
    assert all(clock.left_s is None and clock.note for clock in clocks)
    assert not any(each.age for load in view.loads for each in load.particulars)
    assert not any(call.age for call in view.calls)
    assert view.notice == "kitchenvoice hasn’t answered for 4 s. Times are hidden. The last words below may be old."


def test_without_a_picture_it_says_that_nothing_has_come():
    view = view_of(None, age_s=0.0, live=True)
    assert (view.live, view.notice) == (False, "Nothing has come from kitchenvoice yet.")


def test_a_snapshot_is_told_that_is_older_than_two_seconds():
    now = [100.0]
    latest = LatestSnapshot(lambda: now[0])
    assert not latest.look().live
    latest.put(Day(*kitchen.HOLDING).seen)
    now[0] = 101.9
    assert latest.look().live
    now[0] = 102.1
    assert not latest.look().live
    latest.put(Day(*kitchen.HOLDING).seen)
    assert latest.look().live


def test_who_looks_within_a_tenth_of_a_second_gets_the_same_view_and_its_time():
    now = [100.0]
    latest = LatestSnapshot(lambda: now[0])
    seen = Day(*kitchen.HOLDING).seen
    latest.put(seen)
    first = latest.look_at()
    now[0] = 100.09
    assert latest.look_at() == first
    assert latest.look() is first[0]
    now[0] = 100.11
    assert latest.look_at() == (view_of(seen, age_s=now[0] - 100.0, live=True), now[0])
    latest.put(Day(*kitchen.LOST).seen)
    assert latest.look().loads[0].stage != first[0].loads[0].stage


# ---------------------------------------------------------------- particulars


def test_target_and_last_report_stand_beside_each_other():
    told = particulars(shown(*kitchen.HOLDING, age_s=190.0))
    assert told == {
        "Target": "11 psi",
        "Last reported": "12 psi (3 min ago)",
        "Next check": "in 2 min",
        "Tested time": "25 min",
        "Jars": "7 in",
    }


def test_a_report_below_the_target_is_marked_with_words_and_a_sign():
    (load,) = shown(*kitchen.LOST).loads
    report = next(each for each in load.particulars if each.label == "Last reported")
    assert (report.value, report.age, report.alert) == ("9 psi, below target", "just now", True)
    assert "Hold" not in particulars(shown(*kitchen.LOST))
    assert particulars(shown(*kitchen.RESTARTED))["Hold"] == "started over once"


def test_a_drop_without_a_number_is_told_instead_of_the_number_before_it():
    view = shown(*kitchen.HOLDING, "@ 00:34:00", "the pressure dropped")
    assert particulars(view)["Last reported"] == "below target (just now)"


def test_a_weight_that_stopped_rocking_is_told_instead_of_the_rocking_before_it():
    rocking = (*kitchen.TWO_LOADS, "@ 00:48:30", "weight is on", "@ 00:52:00", "load two", "weight is rocking")
    view = shown(*rocking)
    assert particulars(view, 1)["Last reported"] == "rocking (just now)"
    assert particulars(view, 1)["Target"] == "10 lb weight"
    view = shown(*rocking, "load two", "weight stopped rocking")
    assert particulars(view, 1)["Last reported"] == "weight stopped rocking (just now)"


def test_a_dial_that_reads_wrong_has_its_own_target_and_the_tested_one():
    seen = Day(*kitchen.HOLDING).seen
    load = seen.kitchen.loads[0]
    off = replace(load, process=replace(load.process, target_psi=12.0))
    view = view_of(replace(seen, kitchen=seen.kitchen.with_load(off)), age_s=0.0, live=True)
    assert particulars(view)["Target"] == "12 psi on this dial, tested 11"


def test_jars_are_shown_as_they_are_counted():
    assert shown(*kitchen.PACKING).loads[0].packed == (3, 7)
    assert particulars(shown(*kitchen.PACKING))["Jars"] == "3 of 7 packed"
    view = shown(*kitchen.RESTING, "a jar broke")
    assert particulars(view)["Jars"] == "6 out, 1 broken"


# ---------------------------------------------------------------- steps, calls, talk


def test_the_step_is_in_the_spoken_words_with_its_caution_apart():
    (load,) = shown(*kitchen.VENTED).loads
    assert load.caution == "Use a mitt. The vent is hot."
    assert load.step == "Put the weight on, or close the petcock. Say weight is on."
    assert load.stage == "The vent is done"


def test_numbers_are_figures_but_for_what_is_to_be_said():
    view = shown(*kitchen.HOLDING)
    (load,) = view.loads
    assert load.step.startswith("Keep it at 11 or slightly above.")
    assert load.detail == "raw pack, quarts, canner 1"
    assert view.heard.text == "12"
    packing = shown(*kitchen.PACKING)
    assert particulars(packing)["Headspace"] == "1 inch"
    assert "three more" in packing.phrases


def test_the_load_that_bare_words_are_about_is_marked_only_where_there_are_several():
    assert [load.here for load in shown(*kitchen.HOLDING).loads] == [False]
    assert [load.here for load in shown(*kitchen.TWO_LOADS).loads] == [False, True]


@pytest.mark.parametrize(
    "words", ["load one", "load one, pressure is twelve", "pressure is twelve", "how long is left on the green beans"]
)
def test_you_are_at_the_load_last_spoken_of(words):
    """Carrots are packed and vented after the beans; a report or question of the beans turns to them."""
    day = Day(*kitchen.TWO_LOADS)
    assert [load.here for load in view_of(day.seen, age_s=0.0, live=True).loads] == [False, True]
    day.play(words)
    assert [load.here for load in view_of(day.seen, age_s=0.0, live=True).loads] == [True, False]


def test_one_load_leads_that_calls_or_is_amiss_or_was_spoken_of():
    def leads(*lines):
        return [load.number for load in shown(*lines).loads if load.lead]

    assert leads(*kitchen.FIVE_LOADS) == [3]
    assert leads(*kitchen.FIVE_LOADS, "load one, heat is off", "load three") == [1]
    assert leads(*kitchen.FIVE_LOADS, "@ 00:48:01") == [2]


# ---------------------------------------------------------------- the history of a hold


def test_readings_and_losses_are_told_in_order():
    (load,) = shown(*kitchen.RESTARTED).loads
    assert load.plot.words == "11 psi, 12 psi, dropped to 9 psi, 11 psi, 12 psi, 13 psi"
    assert (len(load.plot.runs), len(load.plot.drops), len(load.plot.dots)) == (1, 1, 6)
    assert load.plot.ahead[0] > load.plot.runs[0][1]


def test_a_drop_without_a_number_tells_none():
    (load,) = shown(*kitchen.HOLDING, "@ 00:34:00", "the pressure dropped").loads
    assert load.plot.words == "11 psi, 12 psi, below target"
    assert load.plot.ahead is None


def test_a_report_that_was_taken_back_is_in_no_history():
    (load,) = shown(*kitchen.HOLDING, "@ 00:34:00", "pressure is fourteen", "scratch that").loads
    assert load.plot.words == "11 psi, 12 psi"


def test_a_weight_has_a_history_without_numbers():
    weighted = (*kitchen.TWO_LOADS, "@ 00:48:30", "weight is on", "@ 00:52:00", "load two", "weight is rocking")
    plot = shown(*weighted, "@ 00:55:00", "load two", "weight is rocking", "weight stopped rocking").loads[1].plot
    assert plot.words == "rocking ×2, weight stopped rocking"
    assert (plot.target, {y for _, y in plot.dots}) == (None, {0.5})


@pytest.mark.parametrize("why", ["pressure", "weight", "boil", "heat", "gap", "doubt", "acid", "something new"])
def test_a_loss_of_any_kind_has_words(why):
    seen = Day(*kitchen.LOST).seen
    load = seen.kitchen.loads[0]
    lost = replace(load, last_psi_t=None, holds=tuple(replace(hold, why=why) for hold in load.holds))
    view = view_of(replace(seen, kitchen=seen.kitchen.with_load(lost)), age_s=0.0, live=True)
    assert view.loads[0].plot.words
    assert particulars(view)["Last reported"]


def test_nothing_is_promised_while_a_doubt_is_open():
    (load, _) = shown(*kitchen.DOUBTED).loads
    assert load.stage == "In doubt"
    assert (load.step, [clock.left_s for clock in load.clocks], load.plot.ahead) == ("", [None], None)
    assert "Next check" not in {each.label for each in load.particulars}


def test_calls_that_wait_are_told_with_what_to_do_and_since_when():
    calls = shown(*kitchen.TWO_CALLS).calls
    assert [(call.name, call.text, call.do, call.age) for call in calls] == [
        ("Carrots", "Venting is done", "Put the weight on.", "6 min ago"),
        ("Green beans", "The hold is done", "Turn the heat off.", "just now"),
        ("", "Your timer is up", "", "just now"),
    ]


def test_every_call_of_the_engine_has_its_words():
    labels = load_labels()
    names = {
        "vent_done",
        "hold_done",
        "not_cooling",
        "hold_lost",
        "settle_done",
        "bath_rest_done",
        "rest_done",
        "window_done",
    }
    for name in names | {"timer_done"}:
        assert labels.has("calls", name)
        assert labels.has("calls", f"{name}_do")


def test_what_was_heard_and_said_is_shown_and_what_was_not_taken_says_so():
    day = Day(*kitchen.HOLDING)
    assert (day.seen.heard.text, day.seen.heard.taken) == ("twelve", True)
    assert day.seen.said.text.startswith("Twelve.")
    day.play("blah blah")
    assert day.seen.heard.taken is False


def test_a_question_is_shown_while_an_answer_is_waited_for():
    view = shown("start seven quarts of green beans raw pack in canner one")
    assert view.question.endswith("Is that right?")
    assert view.answers == "yes, or no"
    assert shown(*kitchen.PACKING).question == ""


def test_what_can_be_said_now_goes_by_the_stage():
    assert "jars are in" in shown(*kitchen.PACKING).phrases
    assert "pressure dropped" in shown(*kitchen.HOLDING).phrases
    assert shown().phrases[0] == "start a load"
    asleep = shown(*kitchen.HOLDING, "stop listening")
    assert asleep.asleep


def test_trouble_is_shown_until_something_was_heard_after_it():
    day = Day(*kitchen.HOLDING)
    day.kitchen.put(Trouble("The microphone gives no sound."))
    assert view_of(day.seen, age_s=0.0, live=True).trouble == "The microphone gives no sound."
    day.kitchen.wait(2.0)
    day.play("twelve")
    assert view_of(day.seen, age_s=0.0, live=True).trouble == ""


def test_an_empty_kitchen_says_how_to_begin():
    view = view_of(Snapshot(t=0.0, kitchen=Kitchen(), attention="kitchen voice"), age_s=0.0, live=True)
    assert (view.loads, view.calls, view.attention) == ((), (), "kitchen voice")
