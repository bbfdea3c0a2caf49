"""When it is asked whether a hold holds: sooner after a change, later where nothing changes, and never not at all."""

from __future__ import annotations

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.process.timing import (
    CHECK_EVERY_S,
    CHECK_LONGEST_S,
    CHECK_NEAR_S,
    CHECK_UNANSWERED_LONGEST_S,
    check_after_s,
)

LONG = {**DIAL, "minutes": 90.0}


def holding(process=LONG):
    cook = Cook()
    cook.start(process)
    cook.to_hold()
    return cook


def asked_after(cook, seconds, reading=None):
    """Minutes after the start at which it asks; each question is answered with the reading, or not at all."""
    began, asked = cook.t, []
    for _ in range(int(seconds // 10)):
        before = len(cook.heard("check_due"))
        cook.wait(10)
        if len(cook.heard("check_due")) > before:
            asked.append((cook.t - began) / 60)
            if reading is not None:
                cook.report("pressure_is", pressure=reading)
    return asked


def test_a_gauge_that_stays_where_it_is_near_the_target_is_asked_for_less_and_less():
    assert asked_after(holding(), 3600, reading=11.0) == [2, 5, 11, 21, 31, 41, 51]


def test_a_gauge_that_stays_comfortably_above_is_asked_for_every_ten_minutes():
    assert asked_after(holding(), 3600, reading=12.5) == [2, 7, 12, 22, 32, 42, 52]


def test_after_a_change_it_is_asked_for_sooner_again():
    cook = holding()
    asked_after(cook, 1300, reading=11.0)
    cook.report("pressure_is", pressure=13.0)
    assert asked_after(cook, 320) == [CHECK_EVERY_S / 60]
    cook.report("pressure_is", pressure=11.5)
    assert asked_after(cook, 200) == [CHECK_NEAR_S / 60]


@pytest.mark.parametrize("process", [LONG, {**WEIGHTED, "minutes": 90.0}, {**BATH, "minutes": 90.0}])
def test_without_an_answer_it_backs_off_but_asks_to_the_end(process):
    cook = holding(process)
    assert asked_after(cook, 5400) == [2, 7, 17, 32, 47, 62, 77]
    (done,) = cook.heard("hold_done")
    assert (done.data["unanswered"], done.data["heard_s"]) == (7, 5400)
    assert cook.load().holds[-1].unanswered == 7


def test_a_report_ends_the_silence_and_what_was_not_answered_before_stays_on_record():
    cook = holding(DIAL)
    cook.wait(430)
    assert cook.load().asks == 2
    cook.report("pressure_is", pressure=11.0)
    assert (cook.load().asks, cook.load().holds[-1].unanswered) == (0, 1)
    asked = len(cook.heard("check_due"))
    cook.wait(180)
    assert len(cook.heard("check_due")) == asked + 1
    cook.report("pressure_is", pressure=11.0)
    cook.wait(1500 - 430 - 180 - 100)
    cook.report("pressure_is", pressure=11.0)
    cook.wait(100)
    assert (cook.heard("hold_done")[0].data["unanswered"], cook.heard("hold_done")[0].data["heard_s"]) == (2, 100)


def test_a_hold_that_starts_over_begins_with_no_silence():
    cook = holding(DIAL)
    cook.wait(430)
    cook.report("pressure_is", pressure=9.0)
    cook.report("pressure_is", pressure=11.0)
    assert (cook.load().asks, cook.load().same, cook.load().holds[-1].unanswered) == (0, 0, 0)


@settings(deadline=None)
@given(st.sampled_from([CHECK_NEAR_S, CHECK_EVERY_S, 2 * CHECK_EVERY_S]), st.integers(0, 200), st.integers(0, 200))
def test_the_wait_is_never_shorter_than_its_base_nor_longer_than_a_quarter_of_an_hour(base, same, unanswered):
    wait = check_after_s(base, same, unanswered)
    assert min(base, CHECK_EVERY_S) <= wait <= max(CHECK_LONGEST_S, CHECK_UNANSWERED_LONGEST_S)
    assert check_after_s(base, same + 1, 0) >= check_after_s(base, same, 0)
    assert check_after_s(base, same, unanswered + 1) >= min(wait, CHECK_EVERY_S)
