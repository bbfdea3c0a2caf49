"""Reports from the stove: what starts a vent or a hold, and what starts it over."""

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.process import Stage


def at(stage: str, process=DIAL) -> Cook:
    cook = Cook()
    cook.start(process)
    getattr(cook, f"to_{stage}")()
    cook.wait(60)
    return cook


@pytest.mark.parametrize(
    ("process", "report", "data", "why"),
    [
        (DIAL, "pressure_is", {"pressure": 10.5}, "pressure"),
        (DIAL, "pressure_low", {}, "pressure"),
        (DIAL, "pressure_low", {"pressure": 9}, "pressure"),
        (DIAL, "heat_off", {}, "heat"),
        (WEIGHTED, "weight_quiet", {}, "weight"),
        (WEIGHTED, "pressure_low", {}, "pressure"),
        (WEIGHTED, "pressure_is", {"pressure": 0}, "pressure"),
        (WEIGHTED, "heat_off", {}, "heat"),
        (BATH, "boil_lost", {}, "boil"),
        (BATH, "heat_off", {}, "heat"),
    ],
)
def test_a_lost_hold_starts_over_in_full(process, report, data, why):
    cook = at("hold", process)
    cook.wait(600)
    cook.report(report, yes=True, **data)
    assert cook.kinds() == ["hold_lost"]
    assert (cook.load().holds[0].why, cook.load().holds[0].lost_t) == (why, cook.t)
    assert (cook.load().timer("hold"), cook.calls()) == (None, {"hold_lost:1"})
    cook.wait(300)
    if why == "heat":
        cook.report("heat_on")
    kind, again = cook.at_target()
    cook.report(kind, **again)
    assert cook.kinds()[:1] == ["hold_restarted"]
    assert (cook.load().timer("hold").left_s(cook.t), cook.calls()) == (60 * process["minutes"], set())
    cook.wait(60 * process["minutes"] - 1)
    assert cook.load().processed_t is None
    cook.wait(1)
    assert (cook.load().processed_t, cook.load().restarts) == (cook.t, 1)
    cook.report("heat_off")
    first, last = (hold.unanswered for hold in cook.load().holds)
    assert [cook.facts[0].data["unanswered"]] == [last] != [first]


@pytest.mark.parametrize(
    ("process", "report", "data"),
    [
        (DIAL, "pressure_is", {"pressure": 11}),
        (DIAL, "pressure_is", {"pressure": 13}),
        (DIAL, "pressure_low", {"pressure": 11.5}),
        (DIAL, "weight_rocking", {}),
        (DIAL, "weight_quiet", {}),
        (WEIGHTED, "weight_rocking", {}),
        *((WEIGHTED, "pressure_is", {"pressure": psi}) for psi in (9, 1)),
        (BATH, "boiling", {}),
        (DIAL, "heat_on", {}),
    ],
)
def test_a_hold_goes_on_through_reports_that_do_not_break_it(process, report, data):
    cook = at("hold", process)
    cook.report(report, **data)
    assert cook.load().holding
    assert cook.load().holds[0].started_t == cook.t - 60


@pytest.mark.parametrize("below", [0.01, 0.25, 0.5, 1])
def test_the_least_fall_below_the_target_loses_the_hold_and_only_the_target_starts_it(below):
    cook = at("come_up")
    cook.report("pressure_is", pressure=11 - below)
    assert (cook.kinds(), cook.load().holding) == (["pressure_not_there"], False)
    cook.report("pressure_is", pressure=11)
    assert cook.kinds() == ["hold_started"]
    cook.wait(60)
    cook.report("pressure_is", pressure=11 - below)
    assert (cook.kinds(), cook.load().holding) == (["hold_lost"], False)
    cook.report("pressure_is", pressure=11 - below)
    assert (cook.kinds(), cook.load().holding) == (["pressure_not_there"], False)


def test_two_pressure_drops_are_both_on_record_with_the_lowest_reading():
    cook = at("hold")
    for low in (10, 8.5):
        cook.report("pressure_is", pressure=low)
        cook.wait(120)
        cook.report("pressure_is", pressure=11)
        cook.wait(300)
    assert [(hold.lost_t is not None, hold.lowest_psi) for hold in cook.load().holds] == [
        (True, 10),
        (True, 8.5),
        (False, 11),
    ]
    assert (cook.load().restarts, len(cook.heard("hold_restarted"))) == (2, 2)


def test_pressure_that_is_left_over_with_the_heat_off_starts_no_hold():
    cook = at("hold")
    cook.report("heat_off", yes=True)
    assert cook.load().step == "heat_again"
    cook.report("pressure_is", pressure=12)
    assert (cook.kinds(), cook.load().holding) == ([], False)
    cook.report("heat_on")
    assert cook.load().step == "back_dial"
    cook.report("pressure_is", pressure=12)
    assert cook.kinds() == ["hold_restarted"]


def test_heat_off_while_coming_up_waits_for_the_heat():
    cook = at("come_up")
    cook.report("heat_off")
    cook.report("pressure_is", pressure=11)
    assert (cook.load().stage, cook.load().step) == (Stage.COME_UP, "heat_up_again")
    cook.report("heat_on")
    assert cook.load().step == "dial_up"


def test_a_reading_far_above_the_target_asks_for_less_heat():
    cook = at("hold")
    cook.report("pressure_is", pressure=14)
    assert cook.kinds() == ["pressure_high"]
    assert cook.load().holding


def test_a_low_dial_beside_a_weight_is_asked_about_at_once():
    cook = at("hold", WEIGHTED)
    cook.report("pressure_is", pressure=8)
    cook.wait(0)
    assert cook.kinds() == ["check_due"]
    cook.wait(1)
    assert len(cook.heard("check_due")) == 1


def test_the_weight_put_on_too_early_breaks_the_vent():
    cook = at("vent")
    cook.wait(400)
    cook.report("weight_on")
    assert [(fact.kind, fact.data["why"], fact.data["ran_s"]) for fact in cook.facts] == [
        ("vent_stopped", "weight", 460)
    ]
    assert (cook.load().stage, cook.load().step, cook.load().timers) == (Stage.VENT, "weight_early", ())
    cook.wait(600)
    assert cook.load().stage is Stage.VENT
    cook.report("steam_steady")
    assert cook.load().timer("vent").left_s(cook.t) == 600
    cook.wait(600)
    cook.report("weight_on")
    assert cook.load().stage is Stage.COME_UP


@pytest.mark.parametrize(
    ("told", "air"),
    [
        (("pressure_is 8", "gauge_zero"), True),
        (("pressure_is 8", "pressure_is 0"), True),
        (("heat_off", 60, "gauge_zero"), True),
        (("heat_off", 1860, "heat_on"), True),
        (("heat_off", 900, "heat_off", 960, "heat_on"), True),
        (("cut 1800",), True),
        (("pressure_is 11", "pressure_is 9", "cut 3600"), True),
        (("pressure_is 11", "pressure_is 9", "heat_off", 1860, "heat_on"), True),
        (("pressure_is 0", "gauge_zero"), False),
        (("heat_off", 600, "heat_on"), False),
        (("cut 600",), False),
        (("pressure_is 8", "pressure_is 5"), False),
    ],
)
def test_air_back_in_a_canner_that_comes_up_is_vented_again(told, air):
    cook = at("come_up")
    for each in told:
        kind, *number = str(each).split()
        if kind == "cut":
            cook.power_cut(float(number[0]))
        elif isinstance(each, int):
            cook.wait(each)
        else:
            cook.report(kind, **({"pressure": float(number[0])} if number else {}))
    assert (cook.load().step == "vent_again") is air
    cook.report("pressure_is", pressure=11)
    assert cook.load().holding is not air


@pytest.mark.parametrize(("report", "why"), [("steam_stopped", "steam"), ("heat_off", "heat")])
@pytest.mark.parametrize("after_s", [300, 700])
def test_an_interrupted_vent_starts_over_even_after_its_ten_minutes(report, why, after_s):
    cook = at("vent")
    cook.wait(after_s - 60)
    cook.report(report)
    assert [(fact.kind, fact.data["why"], fact.data["ran_s"]) for fact in cook.facts] == [
        ("vent_stopped", why, min(600, after_s))
    ]
    assert (cook.load().vented_s, cook.calls()) == (0, set())
    cook.report("weight_on")
    assert cook.load().stage is Stage.VENT


def test_heat_off_with_the_weight_on_too_early_leaves_the_weight_to_the_pressure():
    cook = at("vent")
    cook.report("weight_on", yes=True)
    for _ in range(2):
        cook.report("heat_off", yes=True)
        assert (cook.kinds(), cook.load().step) == (["heat_off_to_vent"], "under_pressure")


def test_steam_said_twice_does_not_start_the_vent_again():
    cook = at("vent")
    cook.report("steam_steady")
    assert (cook.kinds(), cook.load().timer("vent").left_s(cook.t)) == (["vent_goes_on"], 540)


def test_the_weight_of_a_canner_that_has_to_lose_its_pressure_brings_it_no_further():
    cook = at("vent")
    cook.report("weight_on", yes=True)
    cook.report("heat_off", yes=True)
    before = cook.load()
    cook.record("weight_on", 1)
    assert (cook.load(), cook.kinds()) == (before, [])


def test_a_fault_that_was_put_right_is_not_of_the_next_hold():
    cook = at("hold")
    cook.record("fault", 1, fault="air")
    assert [fault.kind for fault in cook.load().faults] == ["air"]
    cook.report("fault_mended", fault="air")
    assert cook.report("steam_steady", yes=True).kind == "not_put_right"
    cook.wait(600)
    cook.report("weight_on")
    cook.report("pressure_is", pressure=11)
    cook.wait(60 * 25 + 1)
    assert (cook.load().processed_t is not None, cook.load().faults) == (True, ())


def test_pressure_after_zero_ends_the_wait_for_the_lid():
    cook = at("cool")
    cook.report("gauge_zero", yes=True)
    cook.wait(590)
    cook.report("pressure_is", pressure=2)
    assert (cook.load().at_zero, cook.load().step, cook.load().timer("settle")) == (False, "to_zero", None)
    cook.wait(20)
    assert cook.report("lid_off").kind == "not_at_zero"
    cook.report("pressure_is", pressure=0, yes=True)
    assert cook.kinds() == ["settle_started"]
    cook.wait(600)
    assert cook.report("lid_off") is None


def test_a_reading_while_it_cools_is_told_by_its_direction_and_kept_with_its_time():
    cook = at("cool")
    for psi, told in ((8, "pressure_falling"), (9, "pressure_rising"), (9, "pressure_falling")):
        cook.wait(60)
        cook.report("pressure_is", pressure=psi)
        assert (cook.kinds(), cook.load().last_psi, cook.load().last_psi_t) == ([told], psi, cook.t)


def test_pressure_after_the_wait_takes_the_call_back_too():
    cook = at("cool")
    cook.report("gauge_zero", yes=True)
    cook.wait(600)
    assert cook.calls() == {"settle_done:1"}
    cook.report("pressure_is", pressure=1)
    assert cook.calls() == set()


@pytest.mark.parametrize("again", ["gauge_zero", "heat_off", "lid_off"])
def test_what_is_said_twice_while_cooling_changes_nothing(again):
    cook = at("unload", BATH if again == "lid_off" else DIAL)
    before = cook.load()
    cook.report(again)
    assert (cook.load(), cook.kinds()) == (before, [])


def test_heat_off_reported_late_counts_only_the_tested_time():
    cook = at("off")
    cook.wait(3600)
    cook.report("heat_off")
    assert cook.kinds() == ["cooling"]
    assert cook.load().processed_t == cook.load().holds[0].started_t + 1500


def test_pressure_that_falls_after_the_hold_loses_nothing():
    cook = at("off")
    cook.report("pressure_is", pressure=5)
    cook.report("pressure_low")
    assert (cook.load().holds[0].done, cook.load().step) == (True, "off")


def test_a_jar_that_breaks_in_the_hold_leaves_the_hold_alone():
    cook = at("hold")
    cook.report("jar_broke", count=1)
    assert (cook.load().holding, cook.load().standing, cook.load().broken) == (True, 6, 1)
