"""A step that nothing else calls for is said again after a while, and not for ever."""

from __future__ import annotations

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook


def reminded(cook: Cook, hours: float = 24) -> list[float]:
    """Minutes after now at which the present step is said again."""
    began, before = cook.t, len(cook.said)
    cook.wait(hours * 3600)
    return [(t - began) / 60 for t, fact in cook.said[before:] if fact.kind == "step_waits"]


@pytest.mark.parametrize("process", [DIAL, WEIGHTED])
def test_jars_left_in_the_open_canner_are_asked_for_again_and_at_last_no_more(process):
    cook = Cook()
    cook.start(process)
    cook.to_unload()
    assert reminded(cook) == [10, 30, 70, 130]


def test_a_canner_that_cools_by_itself_is_left_alone_for_an_hour():
    cook = Cook()
    cook.start()
    cook.to_cool()
    assert reminded(cook, 2.5) == [45, 105]


@pytest.mark.parametrize("rings", [4, 40])
@pytest.mark.parametrize(
    ("until", "step", "first"),
    [("to_off", "off", 5), ("to_unload", "unload", 10)],
)
def test_while_a_call_rings_the_step_is_left_to_it_and_said_again_a_while_after_its_answer(until, step, first, rings):
    cook = Cook()
    cook.start(BATH)
    getattr(cook, until)()
    assert cook.load().step == step
    assert cook.calls()
    cook.wait(60 * rings)
    assert cook.heard("step_waits") == []
    cook.record("answer_call")
    assert reminded(cook, 1)[0] == first


def test_a_report_ends_it():
    cook = Cook()
    cook.start()
    cook.to_unload()
    cook.wait(660)
    assert len(cook.heard("step_waits")) == 1
    cook.report("jars_out")
    assert reminded(cook, 11) == []


def test_after_a_power_cut_it_comes_once_not_for_all_the_time_that_went_by():
    cook = Cook()
    cook.start()
    cook.to_unload()
    cook.power_cut(5 * 3600)
    assert len(cook.heard("step_waits")) == 1
    assert reminded(cook, 0.5) == [20]


def test_the_hold_is_never_interrupted_by_it():
    cook = Cook()
    cook.start({**DIAL, "minutes": 90.0})
    cook.to_hold()
    assert reminded(cook, 1.4) == []
