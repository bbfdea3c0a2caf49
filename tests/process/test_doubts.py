"""What may contradict a hold: open from the word that raised it until a word, or silence, settles it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cook import BATH, DIAL, SHORT_BATH, WEIGHTED, Cook, same

from kitchenvoice.process import Stage, raised_by, told_stage
from kitchenvoice.process.doubts import DOUBT_KINDS, THINGS, doubted_of
from kitchenvoice.process.timing import AIR_S, DOUBT_S, LATE_S

OF_A_HOLD = sorted(DOUBT_KINDS - {"gap", "settings", "late", "unexplained", "weight_on", "kept", *THINGS})
LASTING = [*THINGS, "unexplained"]
ACID = {**DIAL, "acid": SHORT_BATH["acid"]}


def holding(*processes):
    cook = Cook()
    for number, process in enumerate(processes or (DIAL,), 1):
        cook.start(process, canner=number)
        cook.to_hold(number)
    return cook


def venting():
    cook = Cook()
    cook.start()
    cook.to_vent()
    return cook


def doubt(cook, kind, loads=(1,), **more):
    cook.record("doubt", None, loads=loads, kind=kind, **more)
    return cook.history[-1].seq


@pytest.mark.parametrize("kind", ["low_number", "unheard"])
@pytest.mark.parametrize("stage", ["come_up", "hold"])
def test_a_lost_doubt_that_tells_of_a_zero_vents_again_and_is_closed(kind, stage):
    cook = Cook()
    cook.start(WEIGHTED)
    getattr(cook, f"to_{stage}")()
    open_doubt = doubt(cook, kind, pressure=0.0)
    cook.record("doubt_settled", None, doubt=open_doubt, lost=(1,), by="silence")
    assert (cook.load().stage, cook.load().step, cook.load().doubts) == (Stage.VENT, "vent_again", ())


@pytest.mark.parametrize("by", ["yes", "silence"])
@pytest.mark.parametrize(
    ("kind", "told", "step"),
    [("weight_on", {}, "weight_early"), ("pressure_low", {"pressure": 5.0}, "under_pressure")],
)
def test_a_weight_that_went_on_while_it_vented_ends_no_vent_however_late_that_is_known(kind, told, step, by):
    cook = venting()
    cook.wait(400)
    early = doubt(cook, kind, **told)
    cook.wait(DOUBT_S - 1)
    assert cook.load().timer("vent").left_s(cook.t) < 0
    cook.record("doubt_settled", None, doubt=early, lost=(1,), by=by)
    assert (cook.load().stage, cook.load().step, cook.load().vented_s) == (Stage.VENT, step, 0.0)
    assert cook.heard("vent_stopped")[-1].data["why"] == "weight"


def test_a_cut_that_lets_air_in_keeps_what_was_asked_on_the_way_up_for_the_next_vent():
    cook = Cook()
    cook.start()
    cook.to_come_up()
    doubt(cook, "of_vent", words="steam all over")
    doubt(cook, "heat_off")
    cook.power_cut(AIR_S)
    assert (cook.load().step, [each.kind for each in cook.load().doubts]) == ("vent_again", ["heat_off"])
    assert [each.kind for each in cook.load().kept] == ["of_vent"]


def test_what_is_asked_before_a_hold_is_asked_of_no_load_that_is_back_at_packing():
    cook = Cook()
    cook.start()
    cook.report("jars_in")
    jars_in = cook.history[-1].seq
    cook.report("lid_locked")
    doubt(cook, "of_weight", words="the five pound weight", kept=True)
    cook.report("steam_steady")
    cook.wait(600)
    cook.record("doubt", None, loads=(1,), kind="kept", early=True)
    assert [each.kind for each in cook.load().doubts] == ["of_weight"]
    cook.scratch_event(jars_in)
    assert (cook.load().stage, cook.load().doubts) == (Stage.PACK, ())
    assert [each.kind for each in cook.load().kept] == ["of_weight"]


def test_a_doubt_without_words_outlives_its_hold_and_takes_the_words_that_come_later():
    cook = holding()
    doubt(cook, "opened")
    cook.report("pressure_is", pressure=8)
    cook.record("doubt", None, loads=(1,), kind="opened", words="the lid sat loose", kept=True)
    assert [(each.kind, each.data["words"]) for each in cook.load().kept] == [("opened", "the lid sat loose")]


@pytest.mark.parametrize("kind", OF_A_HOLD)
def test_a_hold_in_doubt_is_never_done_and_silence_loses_it(kind):
    cook = holding()
    cook.wait(60 * 25 - 10)
    doubt(cook, kind)
    cook.wait(DOUBT_S - 1)
    assert (cook.load().doubt, cook.load().processed_t) == (True, None)
    cook.wait(2)
    assert (cook.load().holding, cook.load().processed_t) == (False, None)
    assert cook.heard("hold_done") == []


@pytest.mark.parametrize(
    ("process", "kind", "fact", "why"),
    [
        (DIAL, "heat_off", "hold_lost", "heat"),
        (DIAL, "pressure_low", "hold_lost", "pressure"),
        (WEIGHTED, "weight_quiet", "hold_lost", "weight"),
        (BATH, "boil_lost", "hold_lost", "boil"),
        (DIAL, "unheard", "hold_lost", "told"),
        (DIAL, "taken_back", "hold_lost", "told"),
        (WEIGHTED, "low_number", "hold_lost", "told"),
        (DIAL, "steam_stopped", "vent_stopped", "steam"),
    ],
)
def test_what_is_lost_is_told_with_its_own_reason(process, kind, fact, why):
    cook = holding(process) if fact == "hold_lost" else venting()
    number = doubt(cook, kind)
    cook.record("doubt_settled", None, doubt=number, lost=(1,), by="yes")
    assert [(each.kind, each.data["why"]) for each in cook.facts] == [(fact, why)]
    assert not cook.load().claims


def test_what_held_is_done_at_its_own_end_and_keeps_a_remark():
    cook = holding()
    started = cook.load().holds[0].started_t
    cook.wait(60 * 25 - 10)
    number = doubt(cook, "heat_off")
    cook.wait(60)
    cook.record("doubt_settled", None, doubt=number, held=(1,), by="no")
    cook.wait(1)
    assert cook.load().processed_t == started + 25 * 60
    assert [(remark.kind, remark.by) for remark in cook.load().remarks] == [("heat_off", "no")]


def test_a_doubt_over_two_loads_is_settled_for_each_by_its_own_answer():
    cook = holding(DIAL, WEIGHTED)
    number = doubt(cook, "pressure_low", (1, 2))
    cook.record("doubt_settled", None, doubt=number, held=(1,), by="no")
    assert [load.doubt for load in cook.kitchen.loads] == [False, True]
    cook.record("doubt_settled", None, doubt=number, lost=(2,), by="yes")
    assert [load.holding for load in cook.kitchen.loads] == [True, False]


def test_a_report_that_found_its_load_leaves_nothing_on_the_others():
    cook = holding(DIAL, WEIGHTED)
    number = doubt(cook, "heat_off", (1, 2))
    cook.record("doubt_settled", None, doubt=number, lost=(1,), held=(2,), by="named")
    assert cook.load(2).remarks == ()
    assert (cook.load(1).heat_off, cook.load(1).step) == (True, "heat_again")


def test_taking_the_answer_back_opens_the_doubt_again():
    cook = holding(DIAL, WEIGHTED)
    number = doubt(cook, "heat_off", (1, 2))
    before = cook.kitchen
    cook.record("doubt_settled", None, doubt=number, lost=(1,), held=(2,), by="named")
    cook.scratch()
    assert same(before, cook.kitchen)
    assert all(load.doubt for load in cook.kitchen.loads)


@pytest.mark.parametrize("off_s", [2.0, 120.0, 4000.0])
def test_an_open_doubt_outlives_a_restart_and_its_silence_begins_anew(off_s):
    cook = holding()
    number = doubt(cook, "heat_off")
    cook.wait(DOUBT_S - 10)
    cook.power_cut(off_s)
    assert [each.kind for each in cook.load().doubts] == ["heat_off", "gap"]
    gap = cook.load().doubted("gap")
    cook.record("doubt_settled", None, doubt=gap.id, held=(1,), by="yes")
    assert [each.id for each in cook.load().doubts] == [number]
    cook.wait(DOUBT_S - 1)
    assert cook.load().doubt
    cook.wait(2)
    assert not cook.load().holding


def test_a_restart_without_a_gap_leaves_doubts_open():
    cook = holding()
    doubt(cook, "heat_off")
    cook.power_cut(0.0)
    assert [each.kind for each in cook.load().doubts] == ["heat_off"]


def test_a_loss_by_another_cause_leaves_the_heat_as_it_was_said():
    cook = holding()
    doubt(cook, "heat_off")
    cook.report("pressure_is", pressure=9)
    assert (cook.load().doubt, cook.load().step) == (False, "heat_again")


def test_heat_that_is_lit_again_over_the_doubt_was_off():
    cook = holding()
    doubt(cook, "heat_off")
    cook.report("heat_on")
    assert (cook.load().holding, cook.load().step, cook.load().doubt) == (False, "back_dial", False)


def test_too_little_just_after_the_end_takes_the_end_back():
    cook = holding()
    cook.wait(60 * 25 + 30)
    assert raised_by(cook.load(), "pressure_is", {"pressure": 9.0}, cook.t)[0] == "late"
    number = doubt(cook, "late", why="pressure")
    assert cook.load().doubt
    cook.record("doubt_settled", None, doubt=number, lost=(1,), by="yes")
    assert (cook.load().processed_t, cook.load().stage, cook.load().step) == (None, Stage.HOLD, "back_dial")
    assert (cook.facts[0].data["late"], told_stage(cook.load()), cook.calls()) == (True, "hold_lost", {"hold_lost:1"})
    assert cook.load().timer("window") is None


def test_long_after_the_end_a_low_reading_says_nothing_of_the_hold():
    cook = holding()
    cook.wait(60 * 25 + LATE_S + 1)
    assert raised_by(cook.load(), "pressure_is", {"pressure": 9.0}, cook.t) is None


@pytest.mark.parametrize(
    ("process", "report", "data", "kind"),
    [
        (DIAL, "heat_off", {}, "heat_off"),
        (WEIGHTED, "heat_off", {}, "heat_off"),
        (BATH, "heat_off", {}, "heat_off"),
        (WEIGHTED, "pressure_is", {"pressure": 8.0}, "low_number"),
        (WEIGHTED, "pressure_is", {"pressure": 10.0}, None),
        (DIAL, "pressure_is", {"pressure": 9.0}, None),
        (DIAL, "boil_lost", {}, None),
    ],
)
def test_what_is_doubted_in_a_hold_and_what_says_all_itself(process, report, data, kind):
    cook = holding(process)
    raised = raised_by(cook.load(), report, data, cook.t)
    assert (None if raised is None else raised[0]) == kind


def test_after_a_long_cut_that_nobody_watched_air_is_back_and_it_vents_again():
    cook = holding()
    cook.power_cut(AIR_S)
    cook.wait(DOUBT_S)
    assert (cook.load().stage, cook.load().step, cook.calls()) == (Stage.VENT, "vent_again", {"hold_lost:1"})
    cook.report("steam_steady")
    cook.wait(600)
    cook.report("weight_on")
    cook.report("pressure_is", pressure=11)
    assert cook.kinds() == ["hold_restarted"]


@pytest.mark.parametrize(("report", "data"), [("heat_on", {}), ("pressure_is", {"pressure": 9.0}), ("fault", {})])
@pytest.mark.parametrize(("off_s", "air"), [(AIR_S - 1, False), (AIR_S, True)])
def test_whatever_loses_it_after_such_a_cut_air_is_back(report, data, off_s, air):
    cook = holding()
    doubt(cook, "heat_off")
    cook.power_cut(off_s)
    cook.report(report, **data)
    assert not cook.load().holding
    assert (cook.load().step == "vent_again") == (air and report != "fault")
    cook.report("pressure_is", pressure=11)
    assert cook.load().holding == (report == "heat_on" and not air)


def test_settings_that_change_stay_as_a_remark_and_hold_nothing_up():
    cook = holding()
    doubt(cook, "settings")
    assert (cook.load().doubt, [each.kind for each in cook.load().remarks]) == (False, ["settings"])


def test_nothing_is_doubted_where_nothing_is_claimed():
    cook = Cook()
    cook.start()
    doubt(cook, "pressure_low")
    assert not cook.load().doubt


@pytest.mark.parametrize(
    ("after_s", "psi", "raised"),
    [
        (0, 9.0, ("late", {"why": "pressure", "pressure": 9.0})),
        (LATE_S, 10.9, ("late", {"why": "pressure", "pressure": 10.9})),
        (LATE_S + 0.1, 9.0, None),
        (30, 11.0, None),
        (30, 12.0, None),
    ],
)
def test_what_a_reading_just_after_the_end_says_of_the_hold(after_s, psi, raised):
    cook = holding()
    cook.wait(60 * 25 + after_s)
    assert raised_by(cook.load(), "pressure_is", {"pressure": psi}, cook.t) == raised


def test_a_low_number_beside_a_weight_just_after_the_end_says_it_too():
    cook = holding(WEIGHTED)
    cook.wait(60 * 20 + 30)
    assert raised_by(cook.load(), "pressure_is", {"pressure": 8.0}, cook.t) == (
        "late", {"why": "pressure", "pressure": 8.0}
    )  # fmt: skip
    assert raised_by(cook.load(), "pressure_is", {"pressure": 10.0}, cook.t) is None


@pytest.mark.parametrize(("comes_up", "step"), [(False, "weight_early"), (True, "under_pressure")])
def test_a_vent_that_was_not_one_is_made_again(comes_up, step):
    """With the weight on already the pressure has to go by itself first."""
    cook = Cook()
    cook.start()
    cook.to_come_up() if comes_up else cook.to_vent()
    number = doubt(cook, "of_vent", words="the lid was off a while")
    cook.record("doubt_settled", None, doubt=number, lost=(1,), by="yes")
    assert (cook.load().stage, cook.load().step, cook.load().faults) == (Stage.VENT, step, ())


def test_a_doubt_is_told_with_what_was_reported():
    cook = holding(WEIGHTED)
    doubt(cook, "low_number", pressure=8.0)
    assert [fact.data for fact in cook.facts] == [{"kind": "low_number", "pressure": 8.0}]
    assert dict(cook.load().doubts[0].data) == {"pressure": 8.0}


def test_a_remark_is_kept_once_for_each_way_it_was_settled():
    cook = holding()
    for by in ("no", "no", "report"):
        cook.record("doubt_settled", None, doubt=doubt(cook, "heat_off"), held=(1,), by=by)
    assert [(each.kind, each.by) for each in cook.load().remarks] == [("heat_off", "no"), ("heat_off", "report")]


def test_after_the_end_a_hold_is_doubted_by_what_was_taken_back_by_a_fault_and_by_no_other():
    cook = holding()
    cook.wait(60 * 25 + LATE_S + 60)
    for kind in OF_A_HOLD:
        if kind not in ("taken_back", "in_question", "fault"):
            doubt(cook, kind)
    assert cook.load().doubts == ()
    number = doubt(cook, "taken_back")
    cook.record("doubt_settled", None, doubt=number, lost=(1,), by="no")
    assert [(fact.kind, fact.data["why"]) for fact in cook.facts] == [("hold_lost", "told")]
    assert cook.load().processed_t is None


@pytest.mark.parametrize(("process", "told"), [(DIAL, ()), (BATH, ()), (SHORT_BATH, ("acid",))])
def test_acid_that_nobody_confirmed_is_told_only_where_it_is_needed(process, told):
    cook = holding(process)
    cook.wait(60 * process["minutes"])
    held = replace(cook.load().hold, unanswered=0)
    assert doubted_of(replace(cook.load(), checked=(), holds=(held,))) == told


def test_what_explains_nothing_stops_no_time_and_opens_a_doubt_at_the_end():
    cook = holding()
    doubt(cook, "unexplained", words="my feet hurt", kept=True)
    cook.wait(60 * 25 - 10)
    assert not cook.load().doubt
    cook.wait(11)
    (asked,) = cook.load().doubts
    assert (asked.kind, asked.data["words"], cook.load().processed_t) == ("unexplained", "my feet hurt", None)
    cook.record("doubt_settled", None, doubt=asked.id, held=(1,), by="yes")
    cook.wait(1)
    assert cook.load().processed_t is not None


@pytest.mark.parametrize(("kind", "lasts"), [("in_question", False), *((kind, True) for kind in LASTING)])
@pytest.mark.parametrize("kept", [True, False])
def test_only_what_is_of_the_stove_is_forgotten_with_the_hold_it_was_said_in(kind, lasts, kept):
    cook = holding(ACID)
    doubt(cook, kind, words="my feet hurt", kept=kept)
    cook.record("pressure_is", 1, pressure=9.0)
    assert [each.kind for each in cook.load().kept] == [kind] * lasts


@pytest.mark.parametrize("kind", LASTING)
def test_silence_about_what_was_kept_leaves_no_hold_done_as_it_should_be(kind):
    cook = holding(ACID)
    doubt(cook, kind, words="my feet hurt", kept=True)
    cook.wait(60 * ACID["minutes"] + 1900)
    load = cook.load()
    assert load.processed_t is None or load.faults
    assert kind != "unexplained" or [each.kind for each in load.kept] == [kind]


def test_what_was_kept_twice_is_asked_about_in_all_its_words_once():
    cook = holding()
    for words in ("not quarts", "my feet hurt", "my feet hurt"):
        doubt(cook, "unexplained", words=words, kept=True)
    cook.wait(60 * 25 + 1)
    assert [each.data["words"] for each in cook.load().doubts] == ["not quarts. my feet hurt"]


def test_what_was_kept_is_opened_only_where_something_is_claimed():
    cook = venting()
    doubt(cook, "of_vent", words="the lid was odd", kept=True)
    cook.record("steam_stopped", 1)
    kept = cook.load().kept
    doubt(cook, "kept")
    assert (cook.load().doubts, cook.load().kept) == ((), kept)


@pytest.mark.parametrize("air", [True, False])
def test_what_was_put_in_question_at_zero_vents_again_if_it_is_lost(air):
    cook = holding()
    number = doubt(cook, "in_question", **({"air": True} if air else {}))
    cook.record("doubt_settled", None, doubt=number, lost=(1,), by="no")
    assert (cook.load().step == "vent_again") is air
