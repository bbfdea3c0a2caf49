"""One load of each kind from its start to the shelf, as it is told."""

from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.process import Stage


def test_a_dial_load_goes_from_packing_to_the_shelf():
    cook = Cook()
    beans = cook.start(DIAL, jars=7)
    assert cook.load().stage is Stage.PACK
    for _ in range(7):
        cook.report("packed", count=1)
    assert cook.report("jars_in") is None
    assert (cook.load().stage, cook.load().step, cook.load().loaded) == (Stage.CANNER, "lid", 7)
    cook.report("lid_locked")
    assert cook.load().step == "heat"
    cook.report("steam_steady")
    assert cook.kinds() == ["vent_started"]
    cook.wait(600)
    assert cook.calls() == {"vent_done:1"}
    cook.report("weight_on")
    assert (cook.load().stage, cook.calls()) == (Stage.COME_UP, set())
    cook.wait(200)
    cook.report("pressure_is", pressure=8)
    assert cook.kinds() == ["pressure_not_there"]
    cook.wait(60)
    cook.report("pressure_is", pressure=11)
    assert cook.kinds() == ["hold_started"]
    started = cook.t
    cook.wait(25 * 60 - 1)
    assert cook.load().processed_t is None
    cook.wait(1)
    assert (cook.load().processed_t, cook.calls()) == (started + 1500, {"hold_done:1"})
    cook.report("heat_off")
    assert (cook.load().stage, cook.calls()) == (Stage.COOL, set())
    cook.wait(2700)
    cook.report("gauge_zero")
    cook.wait(600)
    assert cook.calls() == {"settle_done:1"}
    cook.report("lid_off")
    cook.report("jars_out")
    assert (cook.load().stage, cook.load().out) == (Stage.REST, 7)
    cook.wait(12 * 3600)
    assert (cook.load().stage, cook.calls()) == (Stage.COUNT, {"rest_done:1"})
    cook.report("seal_count", sealed=6, failed=1)
    assert (cook.load().stage, cook.load().step, cook.calls()) == (Stage.COUNT, "failures", set())
    assert cook.report("load_close").kind == "not_decided"
    cook.report("jar_outcome", outcome="refrigerate")
    assert cook.load().stage is Stage.KEEP
    cook.report("load_close")
    assert (cook.load(beans).stage, cook.kitchen.open_loads) == (Stage.CLOSED, ())


def test_a_weighted_load_holds_by_its_weight():
    cook = Cook()
    cook.start(WEIGHTED)
    cook.to_come_up()
    cook.report("pressure_is", pressure=10)
    assert cook.kinds() == ["weighted_tells"]
    assert cook.load().stage is Stage.COME_UP
    cook.report("weight_rocking")
    assert cook.kinds() == ["hold_started"]
    cook.wait(20 * 60)
    assert cook.load().holds[0].done
    assert cook.report("heat_off") is None
    assert "lock has dropped" in _say(cook)
    cook.wait(2700)
    cook.report("gauge_zero")
    cook.wait(600)
    cook.report("jars_out")
    cook.wait(13 * 3600)
    cook.report("seal_count", sealed=7, failed=0)
    cook.report("load_close")
    assert cook.load().stage is Stage.CLOSED


def test_a_boiling_water_load_counts_from_the_full_boil():
    cook = Cook()
    cook.start(BATH, canner=0)
    cook.to_canner()
    assert cook.load().step == "water_over"
    cook.report("step_done")
    cook.report("heat_on")
    assert cook.load().stage is Stage.COME_UP
    cook.wait(900)
    cook.report("boiling")
    assert cook.kinds() == ["hold_started"]
    cook.wait(35 * 60)
    cook.report("heat_off")
    cook.report("lid_off")
    assert cook.kinds() == ["bath_rest_started"]
    assert cook.report("jars_out").kind == "bath_rest_not_done"
    cook.wait(300)
    assert cook.calls() == {"bath_rest_done:1"}
    assert cook.report("jars_out") is None
    cook.wait(12 * 3600)
    for count in (3, 3, 1):
        cook.report("tally", sealed=count)
    assert cook.load().tally == (7, 0)
    assert cook.report("seal_count", sealed=7, failed=0) is None
    cook.report("load_close")
    assert cook.load().stage is Stage.CLOSED


def _say(cook: Cook) -> str:
    from kitchenvoice.process import step_of

    step = step_of(cook.load())
    return step.say if step is not None else ""
