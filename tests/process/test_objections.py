"""Why a report isn't simply taken."""

import itertools

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.process import Stage, loads_for, object_to
from kitchenvoice.process.objections import REPORT_STAGES

STAGES = {
    Stage.PACK: lambda cook: None,
    Stage.CANNER: Cook.to_canner,
    Stage.VENT: Cook.to_vent,
    Stage.COME_UP: Cook.to_come_up,
    Stage.HOLD: Cook.to_hold,
    Stage.COOL: Cook.to_cool,
    Stage.REST: Cook.to_rest,
    Stage.COUNT: Cook.to_count,
}
DATA = {
    "pressure_is": {"pressure": 11},
    "seal_count": {"sealed": 7, "failed": 0},
    "tally": {"sealed": 1},
    "jar_outcome": {"outcome": "freeze"},
    "was_steady": {"ok": True},
}
BATH_ONLY, PRESSURE_ONLY = (
    {"boiling", "boil_lost"},
    {"lid_locked", "steam_steady", "weight_on", "gauge_zero", "pressure_is"},
)


def cook_at(stage: Stage, process=DIAL) -> Cook:
    cook = Cook()
    cook.start(process)
    STAGES[stage](cook)
    return cook


@pytest.mark.parametrize("stage", STAGES)
def test_every_report_fits_in_its_stages_only(stage):
    cook = cook_at(stage)
    before = cook.load()
    for report, stages in REPORT_STAGES.items():
        objection = object_to(cook.kitchen, before, report, DATA.get(report, {}), cook.t)
        refused = objection is not None and objection.kind == "wrong_stage"
        only_acid = (stage, report) == (Stage.PACK, "fault")
        no_weight = stage in (Stage.VENT, Stage.COME_UP) and report == "gauge_zero"
        early = stage is Stage.CANNER and report in {"weight_on", "weight_rocking", "pressure_is"}  # lid not locked
        assert refused == (stage not in stages or report in BATH_ONLY or only_acid or no_weight or early), report
        assert (before in loads_for(cook.kitchen, report)) == (
            stage in stages and report not in BATH_ONLY and not no_weight and not early
        )


def test_a_report_in_the_wrong_stage_changes_nothing_even_unasked(every):
    def check(stage, report):
        cook = cook_at(stage)
        before = cook.load()
        cook.record(report, 1, **DATA.get(report, {}))
        assert (cook.load(), cook.facts) == (before, [])

    pairs = itertools.product(STAGES, sorted(REPORT_STAGES))
    every(
        check, [(stage, report) for stage, report in pairs if stage not in REPORT_STAGES[report] or report in BATH_ONLY]
    )


@pytest.mark.parametrize("report", sorted(PRESSURE_ONLY))
def test_boiling_water_takes_no_report_of_pressure(report):
    cook = cook_at(Stage.HOLD, BATH)
    assert cook.report(report, **DATA.get(report, {})).kind == "wrong_stage"


@pytest.mark.parametrize(
    ("stage", "report", "data", "kind", "override", "told"),
    [
        (Stage.PACK, "jars_in", {"count": 5}, "jars_in_differ", True, {"count": 5, "expected": 7}),
        (Stage.PACK, "jars_in", {"count": 0}, "no_jars", False, {}),
        (Stage.PACK, "jar_broke", {"count": 0}, "no_jars", False, {}),
        (Stage.HOLD, "heat_off", {}, "hold_not_done", True, {"left_s": 1500}),
        (Stage.HOLD, "pressure_is", {"pressure": 17.5}, "pressure_odd", True, {"psi": 17.5}),
        (Stage.COME_UP, "pressure_is", {"pressure": 18}, "pressure_odd", True, {"psi": 18}),
        (Stage.COOL, "lid_off", {}, "not_at_zero", False, {}),
        (Stage.COOL, "gauge_zero", {}, "zero_so_soon", True, {"cool_s": 2700}),
        (Stage.COOL, "jars_out", {}, "not_at_zero", False, {}),
        (Stage.REST, "jars_out", {}, "out_already", False, {}),
        (Stage.REST, "jars_out", {"count": 6}, "jars_out_differ", True, {"count": 6, "expected": 7}),
        (Stage.HOLD, "jar_broke", {"count": 8}, "more_than_there", False, {"count": 8, "standing": 7}),
        (Stage.COUNT, "seal_count", {"sealed": 6, "failed": 0}, "count_differs", False, {"total": 6, "standing": 7}),
        (Stage.REST, "seal_count", {"sealed": 7, "failed": 0}, "rest_not_done", True, {"rested_s": 0}),
        (Stage.COUNT, "tally", {"sealed": 8}, "tally_over", False, {"total": 8, "standing": 7}),
        (Stage.COUNT, "jar_outcome", {"outcome": "freeze"}, "not_counted", False, {}),
        (Stage.COUNT, "load_close", {}, "not_counted", False, {}),
    ],
)
def test_each_objection_says_what_is_wrong(stage, report, data, kind, override, told):
    cook = cook_at(stage)
    objection = object_to(cook.kitchen, cook.load(), report, data, cook.t)
    assert (objection.kind, objection.override) == (kind, override)
    assert {name: objection.data[name] for name in told} == told


def test_the_lid_stays_on_until_ten_minutes_after_zero():
    cook = cook_at(Stage.COOL)
    cook.report("gauge_zero", yes=True)
    cook.wait(599)
    for report in ("lid_off", "jars_out"):
        objection = cook.report(report, yes=True)
        assert (objection.kind, objection.data["left_s"]) == ("settle_not_done", 1)
    cook.record("lid_off", 1)
    assert (cook.load().lid_off, cook.facts) == (False, [])


def test_a_lid_that_is_off_before_its_time_ends_the_wait():
    cook = cook_at(Stage.COOL)
    cook.report("gauge_zero", yes=True)
    cook.record("lid_off", 1, asked=("settle_not_done",))
    assert cook.load().lid_off and cook.load().timer("settle") is None


def test_jars_straight_from_the_boil_are_asked_about():
    cook = cook_at(Stage.COOL, BATH)
    assert cook.report("jars_out").data["left_s"] == 300
    cook.report("lid_off")
    cook.wait(100)
    objection = cook.report("jars_out", yes=True)
    assert (objection.kind, objection.data["left_s"], cook.load().stage) == ("bath_rest_not_done", 200, Stage.REST)


def test_what_was_overruled_is_not_asked_again_but_the_next_thing_is():
    cook = cook_at(Stage.COOL, BATH)
    one = object_to(cook.kitchen, cook.load(), "jars_out", {"count": 6}, cook.t)
    two = object_to(cook.kitchen, cook.load(), "jars_out", {"count": 6, "asked": one.kind}, cook.t)
    both = {"count": 6, "asked": (one.kind, two.kind)}
    assert (one.kind, two.kind) == ("bath_rest_not_done", "jars_out_differ")
    assert object_to(cook.kitchen, cook.load(), "jars_out", both, cook.t) is None


def test_a_yes_opens_no_lid_that_was_under_pressure_so_short_a_time_ago_that_the_wait_cant_be_over():
    cook = cook_at(Stage.COOL)
    cook.wait(3 * 3600)
    cook.report("pressure_is", pressure=3)
    cook.wait(599)
    for report in ("lid_off", "jars_out"):
        assert cook.report(report, yes=True).kind == "not_at_zero"
    assert cook.load().stage is Stage.COOL
    cook.wait(1)
    assert cook.report("lid_off", yes=True).kind == "zero_untold"
    assert cook.load().lid_off


def test_what_no_yes_can_overrule_is_not_overruled_by_asking():
    cook = cook_at(Stage.COOL)
    assert object_to(cook.kitchen, cook.load(), "lid_off", {"asked": "not_at_zero"}, cook.t).kind == "not_at_zero"


def test_a_canner_takes_one_load_at_a_time():
    cook = cook_at(Stage.HOLD)
    second = cook.start(DIAL, canner=1)
    assert cook.load(second).stage is Stage.PACK
    objection = cook.report("jars_in", second, yes=True)
    assert (objection.kind, objection.data["other"], objection.override) == ("canner_busy", 1, False)
    cook.record("jars_in", second)
    assert cook.load(second).stage is Stage.PACK


@pytest.mark.parametrize(
    ("first", "second", "busy"),
    [(BATH, BATH, False), (DIAL, BATH, False), (BATH, WEIGHTED, False), (DIAL, WEIGHTED, True)],
)
def test_pots_without_a_name_are_not_taken_for_one_canner(first, second, busy):
    cook = Cook()
    cook.start(first, canner=0)
    cook.to_hold()
    objection = cook.report("jars_in", cook.start(second, canner=0))
    assert (objection is not None) == busy


def test_half_a_packing_count_is_asked_about_before_it_is_taken_for_the_load():
    cook = cook_at(Stage.PACK)
    cook.report("packed", count=3)
    assert cook.report("jars_in").data == {"count": 3, "expected": 7}
    assert cook.report("jars_in", count=7) is None
    assert cook.load().loaded == 7


def test_after_a_day_a_failed_jar_is_only_thrown_out():
    cook = cook_at(Stage.COUNT)
    cook.report("seal_count", sealed=5, failed=2)
    cook.wait(cook.load().processed_t + 86_399 - cook.t)
    assert cook.report("jar_outcome", outcome="freeze") is None
    cook.wait(1)
    assert cook.report("jar_outcome", outcome="freeze", yes=True).kind == "window_shut"
    assert cook.report("jar_outcome", outcome="discard", count=2).kind == "more_than_failed"
    assert cook.report("jar_outcome", outcome="discard") is None
    assert dict(cook.load().outcomes) == {"freeze": 1, "discard": 1}
