"""States of the canner and of the load in it, as they are asked about and told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.process import Stage, told_stage
from kitchenvoice.process.canners import canner_state, is_shut, may_be_under_pressure, waits_for_heat_off
from kitchenvoice.process.load_parts import is_named_timer
from kitchenvoice.process.steps import following, gone_past, preceding, step_of, steps_of
from kitchenvoice.process.tools import asked_of

TO = {
    "canner": Cook.to_canner,
    "vent": Cook.to_vent,
    "come_up": Cook.to_come_up,
    "hold": Cook.to_hold,
    "off": Cook.to_off,
    "cool": Cook.to_cool,
    "unload": Cook.to_unload,
}
"""Ways to a stage; `unload` is open."""


def led_to(stage: str, process: dict[str, object] = DIAL) -> Cook:
    cook = Cook()
    cook.start(process)
    TO[stage](cook)
    return cook


@pytest.mark.parametrize(
    ("process", "stage", "state", "shut", "told"),
    [
        (DIAL, "canner", "", False, "canner"),
        (DIAL, "vent", "vent", False, "vent"),
        (DIAL, "come_up", "shut", True, "come_up"),
        (DIAL, "hold", "shut", True, "hold"),
        (WEIGHTED, "hold", "shut", True, "hold"),
        (DIAL, "off", "shut", True, "hold_done"),
        (DIAL, "cool", "cool", False, "cool"),
        (DIAL, "unload", "", False, "cool_unload"),
        (BATH, "canner", "", False, "canner"),
        (BATH, "hold", "", False, "hold_bath"),
        (BATH, "off", "", False, "hold_done"),
        (BATH, "cool", "", False, "cool_bath"),
    ],
)
def test_a_canner_is_told_by_its_stage_and_what_holds_it_shut(process, stage, state, shut, told):
    load = led_to(stage, process).load()
    assert (canner_state(load), is_shut(load), told_stage(load)) == (state, shut, told)
    assert may_be_under_pressure(load) == (process is not BATH and stage != "unload")
    assert waits_for_heat_off(load) == (stage == "off")


@pytest.mark.parametrize(("then", "state", "told"), [(("gauge_zero",), "wait", "cool_settle"), ((), "cool", "cool")])
def test_at_zero_it_waits_to_be_opened(then, state, told):
    cook = led_to("cool")
    cook.wait(2400)
    for report in then:
        assert cook.report(report) is None
    assert (canner_state(cook.load()), told_stage(cook.load())) == (state, told)


def test_a_vent_is_told_as_it_is_once_it_is_over_or_broken_off():
    cook = led_to("vent")
    cook.wait(600)
    assert (told_stage(cook.load()), canner_state(cook.load())) == ("vent_done", "vent")
    cook = led_to("vent")
    cook.report("steam_stopped")
    assert told_stage(cook.load()) == "vent_lost"


@pytest.mark.parametrize(("told", "step"), [(("heat_off",), "to_zero"), ((), "off")])
def test_a_load_given_up_under_pressure_is_led_to_its_opening_and_the_heat_off_is_asked_once(told, step):
    cook = led_to("come_up")
    for report in told:
        cook.report(report, yes=True)
    cook.record("load_given_up", 1, canner=True)
    assert (cook.load().stage, cook.load().step, cook.kinds()) == (Stage.COOL, step, ["given_up_hot"])


@pytest.mark.parametrize("stage", ["come_up", "hold", "off", "cool"])
def test_a_load_given_up_while_its_canner_is_shut_stays_until_it_is_open(stage):
    cook = led_to(stage)
    cook.record("load_given_up", 1, canner=True)
    assert (cook.load().stage, cook.load().given_up_t, cook.kinds()) == (Stage.COOL, cook.t, ["given_up_hot"])
    assert told_stage(cook.load()) == "given_up"
    assert cook.load().holds == () or cook.load().hold.why == ("given_up" if stage == "hold" else "")


def test_a_load_given_up_with_its_lid_off_is_closed_at_once():
    cook = led_to("unload")
    cook.record("load_given_up", 1, canner=True)
    assert (cook.kitchen.open_loads, cook.kinds()) == ((), ["load_abandoned"])


def test_an_early_fault_is_asked_about_later_but_not_missing_acid():
    cook = Cook()
    cook.start({**DIAL, "acid": "two tablespoons of lemon juice"})
    cook.report("fault", fault="acid")
    assert (cook.load().kept, cook.kinds()) == ((), ["acid_missing"])
    cook.to_canner()
    cook.report("fault", fault="air")
    assert ([each.kind for each in cook.load().kept], cook.kinds()) == (["of_fault"], ["fault_told"])


@pytest.mark.parametrize(
    ("reports", "spoiled"), [((), 0), ((("spoiled", 2),), 2), ((("spoiled", None),), 7), ((("gear", None),), 0)]
)
def test_jars_are_spoiled_that_were_told_so_all_without_a_number(reports, spoiled):
    cook = led_to("unload")
    cook.report("jars_out")
    for kind, jars in reports:
        cook.record("fault", 1, fault=kind, **({} if jars is None else {"jars": jars}))
    assert cook.load().spoiled == spoiled


def test_one_jar_breaks_where_no_number_is_told_and_what_was_counted_of_them_is_counted_again():
    cook = Cook()
    cook.start()
    cook.record("packed", 1, count=2)
    cook.report("jar_broke")
    assert (cook.load().packed, cook.facts[0].data) == (1, {"count": 1, "packed": 1})
    cook = led_to("unload")
    cook.report("jars_out")
    cook.wait(12 * 3600)
    cook.report("tally", sealed=3, failed=0)
    assert cook.load().tally == (3, 0)
    cook.report("jar_broke")
    assert (cook.load().broken, cook.load().standing, cook.load().tally) == (1, 6, (0, 0))


def test_a_kitchen_timer_that_rings_goes_on_ringing_beside_reports_of_a_load():
    cook = Cook()
    cook.start()
    cook.record("timer_start", minutes=1)
    cook.wait(61)
    called = {call.key for call in cook.kitchen.calls if call.load is None}
    assert len(called) == 1
    cook.to_canner()
    assert called <= cook.calls()
    assert [call.name for call in cook.kitchen.calls] == ["timer_done"]


@pytest.mark.parametrize(("name", "named"), [("", False), ("timer 7", False), ("the pie", True)])
def test_a_timer_has_a_name_if_the_cook_gave_one(name, named):
    assert is_named_timer(name) is named


@pytest.mark.parametrize(("process", "in_the_way"), [(DIAL, True), (BATH, False)])
def test_a_vessel_without_a_name_is_one_pressure_canner_or_any_number_of_pots(process, in_the_way):
    cook = Cook()
    first, second = cook.start(process, canner=0), cook.start(process, canner=0)
    cook.to_canner(first)
    assert (cook.kitchen.in_the_way_of(cook.load(second)) is not None) is in_the_way


def test_the_steps_of_a_stage_lead_on_and_back():
    cook = Cook()
    cook.start()
    load = cook.load()
    every = steps_of(load.stage, load.process)
    assert [step.id for step in every[:2]] == [step_of(load).id, following(load).id]
    assert preceding(load) is None
    at_last = replace(load, step=every[-1].id)
    assert (following(at_last), preceding(at_last)) == (None, every[-2])
    passed = gone_past(load, at_last)
    assert {step.id for step in passed} == {step.id for step in every[1:-1] if "told" in step.traits}


@pytest.mark.parametrize(("asked", "overruled"), [("a", {"a"}), (("a", "b"), {"a", "b"}), (["b"], {"b"}), (7, set())])
def test_what_a_yes_has_overruled_is_one_objection_or_several(asked, overruled):
    assert asked_of({"asked": asked}) == overruled


def test_jars_that_failed_are_past_saving_after_a_day_by_the_hours_since_they_were_processed():
    cook = Cook()
    cook.start()
    cook.to_count()
    cook.report("seal_count", sealed=6, failed=1)
    cook.wait(13 * 3600)
    refused = cook.report("jar_outcome", count=1, outcome="refrigerate")
    assert (refused.kind, round(refused.data["hours"])) == ("window_shut", 26)


@pytest.mark.parametrize("stage", ["pack", "canner"])
def test_nothing_goes_on_with_a_check_that_failed(stage):
    cook = Cook()
    cook.start()
    if stage == "canner":
        cook.to_canner()
    cook.report("fault", fault="gear")
    assert cook.report("jars_in" if stage == "pack" else "lid_locked").kind == "gear_failed"


def test_a_canner_is_busy_with_its_own_load():
    cook = Cook()
    first, _ = cook.start(canner=1), cook.start(canner=2)
    cook.to_canner(first)
    assert [load and load.id for load in map(cook.kitchen.busy, (1, 2))] == [first, None]
