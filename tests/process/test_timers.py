"""What the clock brings: marks, ends, calls with their reminders, questions about the pressure."""

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.process import Stage, due
from kitchenvoice.process.timing import CHECK_EVERY_S, CHECK_FIRST_S, CHECK_NEAR_S, call_again_s


def marks(cook: Cook, name: str, since: float) -> list[tuple[float, str]]:
    told = [(t, fact) for t, fact in cook.said if fact.kind == "timer_mark" and fact.data["name"] == name]
    return [(t - since, fact.data["mark"]) for t, fact in told]


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [
        (5, [(240, "one")]),
        (10, [(540, "one")]),
        (15, [(600, "five"), (840, "one")]),
        (20, [(600, "half"), (900, "five"), (1140, "one")]),
        (90, [(2700, "half"), (5100, "five"), (5340, "one")]),
        (3, []),
        (240, [(7200, "half"), (14100, "five"), (14340, "one")]),
        (241, []),
    ],
)
def test_a_hold_is_called_on_the_way(minutes, expected):
    cook = Cook()
    cook.start({**BATH, "minutes": float(minutes)})
    cook.to_hold()
    began = cook.t
    cook.wait(60 * minutes)
    assert marks(cook, "hold", began) == expected
    assert cook.heard("hold_done")[0].data["minutes"] == minutes


def test_a_timer_keeps_what_it_has_called_and_the_hold_forgets_what_it_asked():
    cook = Cook()
    cook.start()
    cook.to_hold()
    cook.wait(60 * 25 - 1)
    assert cook.load().timer("hold").marks == ("half", "five", "one")
    assert cook.load().asks > 0
    cook.wait(1)
    assert (cook.load().asks, cook.load().timer("window").marks) == (0, ())


def test_how_old_the_last_report_is_at_the_end_is_told_to_the_half_second():
    cook = Cook()
    cook.start()
    cook.to_hold()
    cook.wait(60 * 25 - 0.5)
    cook.report("pressure_is", pressure=11)
    cook.wait(0.5)
    assert [fact.data["heard_s"] for fact in cook.heard("hold_done")] == [0.5]


def test_the_vent_is_called_at_five_minutes_and_at_its_end():
    cook = Cook()
    cook.start()
    cook.to_vent()
    began = cook.t
    cook.wait(600)
    assert marks(cook, "vent", began) == [(300, "five")]
    assert len(cook.heard("vent_done")) == 1


def test_the_window_is_called_two_hours_before_its_end_and_says_whether_seals_were_counted():
    cook = Cook()
    cook.start()
    cook.to_count()
    processed = cook.load().processed_t
    cook.wait(processed + 79_200 - cook.t)
    assert marks(cook, "window", processed) == [(79_200, "two_hours")]
    assert cook.heard("timer_mark")[-1].data["counted"] is False
    cook.wait(7200)
    assert cook.heard("window_done")
    assert "window_done:1" not in cook.calls()  # none is known to have failed


@pytest.mark.parametrize("failed", [0, 1])
def test_the_window_ends_in_silence_when_nothing_waits_for_it(failed):
    cook = Cook()
    cook.start()
    cook.to_count()
    cook.report("seal_count", sealed=7 - failed, failed=failed)
    if failed:
        cook.report("jar_outcome", outcome="freeze")
    cook.wait(2 * 86_400)
    assert (cook.heard("window_done"), cook.calls()) == ([], set())


def test_seals_counted_end_the_call_to_count_them():
    cook = Cook()
    cook.start()
    cook.to_count()
    assert cook.calls() == {"rest_done:1"}
    cook.report("seal_count", sealed=6, failed=1)
    assert cook.calls() == set()


@pytest.mark.parametrize("minutes", [0.5, 10, 60])
def test_a_kitchen_timer_runs_to_its_call(minutes):
    cook = Cook()
    cook.record("timer_start", minutes=minutes)
    cook.wait(60 * minutes)
    assert cook.kinds() == ["timer_done"]
    assert (cook.kitchen.timers, len(cook.calls())) == ((), 1)


def test_stopping_what_calls_leaves_the_other_timer_running():
    cook = Cook()
    for name, minutes in (("eggs", 1), ("jam", 10)):
        cook.record("timer_start", minutes=minutes, name=name)
    cook.wait(60)
    cook.record("timer_stop")
    assert ([timer.name for timer in cook.kitchen.timers], cook.calls()) == (["jam"], set())


def test_stopping_a_timer_by_name_leaves_the_other_call():
    cook = Cook()
    for name, minutes in (("eggs", 1), ("jam", 10)):
        cook.record("timer_start", minutes=minutes, name=name)
    cook.wait(60)
    cook.record("timer_stop", name="jam")
    assert (cook.kitchen.timers, cook.calls()) == ((), {"timer_done:eggs"})


def test_a_call_is_repeated_until_it_is_answered():
    cook = Cook()
    cook.start()
    cook.to_off()
    began = cook.t
    cook.wait(1000)
    again = [t - began for t, fact in cook.said if fact.kind == "call_again"]
    assert again == [20, 60, 120, 300, 600, 900]
    cook.record("answer_call")
    cook.wait(3600)
    assert len(cook.heard("call_again")) == 6
    assert cook.load().stage is Stage.HOLD


def test_what_waits_for_the_morning_is_called_once_an_hour():
    assert [call_again_s("rest_done:1", n) for n in range(3)] == [3600, 7200, 10_800]


def test_reminders_that_fell_into_a_gap_are_not_made_up_for():
    cook = Cook()
    cook.start()
    cook.to_off()
    cook.power_cut(8 * 3600)
    assert len(cook.heard("call_again")) == 1
    cook.wait(3600)
    assert len(cook.heard("call_again")) == 2


def test_a_hold_that_ended_in_a_gap_is_told_once_without_the_calls_on_its_way():
    cook = Cook()
    cook.start()
    cook.to_hold()
    before = len(cook.said)
    cook.power_cut(3600)
    cook.record("was_steady", 1, ok=True)
    cook.wait(1)
    after = [fact.kind for _, fact in cook.said[before:]]
    assert "hold_done" in after
    assert "timer_mark" not in after
    assert "call_again" not in after


@pytest.mark.parametrize(
    ("process", "reading", "wait"),
    [
        (DIAL, None, CHECK_FIRST_S),
        (DIAL, 11.5, CHECK_NEAR_S),
        (DIAL, 13.0, CHECK_EVERY_S),
        (WEIGHTED, None, CHECK_FIRST_S),
    ],
)
def test_the_pressure_is_asked_for_sooner_near_the_target(process, reading, wait):
    cook = Cook()
    cook.start(process)
    cook.to_hold()
    if reading is not None:
        cook.wait(30)
        cook.report("pressure_is", pressure=reading)
    began = cook.t
    cook.wait(wait - 1)
    assert cook.heard("check_due") == []
    cook.wait(1)
    assert [t - began for t, fact in cook.said if fact.kind == "check_due"] == [wait]


def test_nothing_is_asked_in_the_last_minute_or_after_a_loss():
    cook = Cook()
    cook.start({**DIAL, "minutes": 10.0})
    cook.to_hold()
    cook.wait(539)
    asked = len(cook.heard("check_due"))
    cook.wait(61)
    assert len(cook.heard("check_due")) == asked
    other = cook.start(DIAL, canner=2)
    cook.to_hold(other)
    cook.report("pressure_low", other)
    cook.wait(1200)
    assert len(cook.heard("check_due")) == asked


def test_two_loads_due_in_the_same_second_are_both_called():
    cook = Cook()
    one, two = cook.start({**BATH, "minutes": 30.0}, canner=0), cook.start({**BATH, "minutes": 30.0}, canner=0)
    for load in (one, two):
        cook.report("jars_in", load)
        cook.report("boiling", load, yes=True)
    cook.wait(1800)
    assert cook.calls() == {f"hold_done:{one}", f"hold_done:{two}"}
    assert [fact.load for fact in cook.heard("hold_done")] == [one, two]


def test_no_timer_runs_before_a_report():
    cook = Cook()
    cook.start()
    cook.to_canner()
    cook.report("lid_locked")
    cook.report("heat_on")
    assert due(cook.kitchen) == ()


def test_a_closed_load_brings_nothing():
    cook = Cook()
    cook.start()
    cook.to_count()
    cook.report("seal_count", sealed=7, failed=0)
    cook.report("load_close")
    assert (due(cook.kitchen), cook.calls(), cook.kitchen.open_loads) == ((), set(), ())
    closed = cook.load()
    cook.record("pressure_is", 1, pressure=11)
    cook.record("timer_due", 1, timer="hold", mark="end")
    assert cook.load() == closed
