"""Replay, taking back, gaps, and several loads at once."""

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook, same

from kitchenvoice.process import Event, Kitchen, Stage, apply, fold, loads_for
from kitchenvoice.process.timing import DOUBT_S


def holding(process=DIAL) -> Cook:
    cook = Cook()
    cook.start(process)
    cook.to_hold()
    cook.wait(600)
    return cook


# ---------------------------------------------------------------- taking back


def test_scratch_goes_back_to_any_depth_one_report_at_a_time():
    cook = Cook()
    cook.start()
    states = []
    for kind, data in (("packed", {"count": 1}), ("packed", {"count": 6}), ("jars_in", {}), ("lid_locked", {})):
        states.append(cook.kitchen)
        cook.report(kind, **data)
    for state in reversed(states):
        cook.scratch()
        assert same(cook.kitchen, state)
    cook.scratch()
    assert cook.kitchen.loads == ()
    assert cook.scratch() is None


def test_a_loss_that_was_misheard_is_taken_back_and_the_hold_ends_when_it_would_have():
    cook = holding()
    started = cook.load().holds[0].started_t
    cook.report("pressure_is", pressure=7)
    lost = next(event for event in reversed(cook.history) if event.kind == "pressure_is")
    cook.wait(1200)
    assert cook.load().processed_t is None
    cook.scratch_event(lost.seq)
    cook.wait(0)
    assert (cook.load().processed_t, cook.load().restarts) == (started + 1500, 0)


def test_an_end_that_was_recorded_does_not_end_a_timer_that_began_later():
    """A taken-back start once left its recorded end to finish a hold of the second report, a minute short."""
    cook = Cook()
    cook.start()
    cook.to_come_up()
    cook.report("pressure_is", pressure=11)
    first = cook.history[-2]
    cook.wait(60)
    cook.report("pressure_is", pressure=12)
    second = cook.t
    cook.wait(1440)
    assert cook.load().processed_t is not None
    assert first.kind == "pressure_is"
    cook.scratch_event(first.seq)
    assert (cook.load().processed_t, cook.load().holds[0].started_t) == (None, second)
    cook.wait(60)
    assert cook.load().processed_t == second + 1500


def test_a_vent_is_not_credited_with_the_end_of_another():
    cook = Cook()
    cook.start()
    cook.to_vent()
    first = next(event for event in cook.history if event.kind == "steam_steady")
    cook.wait(300)
    cook.report("steam_steady")
    cook.wait(300)
    cook.scratch_event(first.seq)
    cook.report("weight_on")
    assert cook.load().stage is Stage.VENT


def test_a_number_of_a_load_that_was_taken_back_is_not_used_again():
    cook = Cook()
    cook.start()
    cook.scratch()
    assert (cook.kitchen.last_load, fold(cook.history).last_load) == (1, 1)


def test_time_never_runs_backwards():
    cook = holding()
    kitchen, _ = apply(cook.kitchen, Event(seq=999, t=0.0, kind="pressure_low", load=1))
    assert kitchen.load(1).holds[0].lost_t == cook.kitchen.t


@pytest.mark.parametrize("process", [DIAL, WEIGHTED, BATH])
def test_replay_gives_the_state_that_was_reached(process):
    cook = Cook()
    cook.start(process)
    cook.to_count()
    cook.report("seal_count", sealed=6, failed=1)
    assert same(fold(cook.history), cook.kitchen)


def test_an_unknown_event_changes_nothing_but_the_time():
    kitchen, facts = apply(Kitchen(), Event(seq=3, t=5.0, kind="opened", data={"food": "carrots"}))
    assert (kitchen, facts) == (Kitchen(t=5.0, seq=3), ())


@pytest.mark.parametrize("checked", [True, False])
def test_a_step_that_ends_with_a_report_is_not_passed_by_word(checked):
    cook = Cook()
    cook.start()
    for _ in range(20):
        cook.report("step_done")
    assert (cook.load().stage, cook.load().step) == (Stage.PACK, "packing")
    cook.to_canner()
    cook.report("step_done")
    assert cook.load().step == "lid"


# ---------------------------------------------------------------- gaps


@pytest.mark.parametrize("process", [DIAL, WEIGHTED, BATH])
@pytest.mark.parametrize("off_s", [2.0, 4000.0])
def test_after_a_gap_a_hold_counts_only_if_the_cook_says_that_it_held(process, off_s):
    for ok in (True, False):
        cook = holding(process)
        started = cook.load().holds[0].started_t
        cook.power_cut(off_s)
        assert [fact.kind for fact in cook.heard("doubt")] == ["doubt"]
        assert (cook.load().doubt, cook.load().processed_t) == (True, None)
        cook.report("was_steady", ok=ok)
        cook.wait(0)
        if ok:
            ended = started + 60 * process["minutes"]
            assert cook.load().processed_t == (ended if cook.t >= ended else None)
            assert cook.load().holds[0].lost_t is None
        else:
            assert (cook.load().holds[0].why, cook.load().processed_t) == ("gap", None)


def test_a_gap_that_nobody_answers_for_starts_the_hold_over():
    cook = holding()
    cook.power_cut(60)
    cook.wait(DOUBT_S - 1)
    assert cook.load().doubt
    cook.wait(1)
    assert (cook.load().doubt, cook.load().holds[0].why, cook.calls()) == (False, "gap", {"hold_lost:1"})


@pytest.mark.parametrize("vented_s", [100, 700])
def test_after_a_gap_a_vent_counts_only_if_the_steam_was_steady(vented_s):
    for ok in (True, False):
        cook = Cook()
        cook.start()
        cook.to_vent()
        cook.wait(vented_s)
        cook.power_cut(30)
        assert cook.load().doubt
        cook.report("was_steady", ok=ok)
        cook.wait(600)
        cook.report("weight_on")
        assert (cook.load().stage is Stage.COME_UP) == ok


def test_the_weight_put_on_in_doubt_does_not_settle_the_doubt():
    cook = Cook()
    cook.start()
    cook.to_vent()
    cook.wait(700)
    cook.power_cut(30)
    cook.report("weight_on")
    assert (cook.load().stage, cook.load().doubt, cook.kinds()) == (Stage.VENT, False, ["vent_stopped"])


def test_a_drop_reported_in_doubt_settles_it():
    cook = holding()
    cook.power_cut(30)
    cook.report("pressure_is", pressure=9)
    assert (cook.load().doubt, cook.load().holds[0].why) == (False, "pressure")


def test_a_reading_at_the_target_does_not_settle_what_was_before():
    cook = holding()
    cook.power_cut(30)
    cook.report("pressure_is", pressure=11)
    assert (cook.load().doubt, cook.load().holding) == (True, True)


@pytest.mark.parametrize("stage", ["canner", "come_up", "off", "cool", "rest", "count"])
def test_a_gap_raises_no_doubt_where_nothing_hangs_on_it(stage):
    cook = Cook()
    cook.start()
    getattr(cook, f"to_{stage}")()
    cook.power_cut(600)
    assert not cook.load().doubt


def test_a_restart_without_a_gap_raises_no_doubt():
    cook = holding()
    cook.power_cut(0.0)
    assert not cook.load().doubt


def test_the_rest_goes_on_through_a_night_without_power():
    cook = Cook()
    cook.start()
    cook.to_rest()
    cook.power_cut(13 * 3600)
    assert (cook.load().stage, cook.calls()) == (Stage.COUNT, {"rest_done:1"})


# ---------------------------------------------------------------- several loads


def test_eight_loads_go_their_own_ways():
    cook = Cook()
    loads = [cook.start(DIAL, canner=n, food=f"food {n}") for n in range(1, 9)]
    ways = ["canner", "vent", "come_up", "hold", "off", "cool", "rest"]
    for load, way in zip(loads[1:], ways, strict=True):
        getattr(cook, f"to_{way}")(load)
    assert len(cook.kitchen.open_loads) == 8
    assert [load.number for load in cook.kitchen.loads] == list(range(1, 9))
    for load in cook.kitchen.loads:
        assert load.food == f"food {load.canner}"
    assert [load.id for load in loads_for(cook.kitchen, "packed")] == [1]


def test_what_happens_to_one_load_leaves_the_others_alone():
    cook = holding()
    second = cook.start(WEIGHTED, canner=2)
    cook.to_hold(second)
    before = cook.load(second)
    cook.report("pressure_is", 1, pressure=9)
    assert cook.load(second) == before
    assert (cook.load(1).holding, cook.load(second).holding) == (False, True)


def test_the_canner_is_free_once_the_jars_are_out():
    cook = Cook()
    cook.start()
    second = cook.start()
    cook.to_unload(1)
    assert cook.report("jars_in", second).kind == "canner_busy"
    cook.report("jars_out")
    assert cook.report("jars_in", second) is None


@pytest.mark.parametrize(("stage", "timer"), [("hold", "hold"), ("vent", "vent")])
def test_in_doubt_no_timer_ends_even_if_its_end_is_on_record(stage, timer):
    cook = Cook()
    cook.start(DIAL)
    getattr(cook, f"to_{stage}")()
    cook.power_cut(120)
    before = cook.load()
    assert before.doubt
    cook.t = before.timer(timer).due_t + 1
    cook.record("timer_due", 1, timer=timer, mark="end")
    assert cook.load() == before
