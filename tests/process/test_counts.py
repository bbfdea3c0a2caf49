"""Counts: packed, loaded, broken, out, sealed, failed, and what became of the failures."""

import pytest
from cook import BATH, Cook

from kitchenvoice.process import Stage


def counting(jars: int = 7) -> Cook:
    cook = Cook()
    cook.start(jars=jars)
    cook.to_count()
    return cook


def test_packed_jars_count_up_and_down_but_not_below_none():
    cook = Cook()
    cook.start()
    for count, packed in ((1, 1), (3, 4), (-1, 3), (-9, 0)):
        cook.report("packed", count=count)
        assert cook.load().packed == packed


def test_a_wrong_count_in_the_canner_is_corrected_where_it_stands():
    cook = Cook()
    cook.start()
    cook.to_canner()
    cook.report("lid_locked")
    assert cook.report("jars_in", count=6, yes=True).kind == "jars_in_differ"
    assert (cook.load().loaded, cook.load().step) == (6, "heat")


def test_a_jar_broken_in_the_canner_counts_once_when_the_rest_is_counted():
    cook = Cook()
    cook.start()
    cook.to_canner()
    cook.report("jar_broke", count=1)
    assert cook.report("jars_in", count=6) is None
    assert (cook.load().loaded, cook.load().broken, cook.load().standing) == (7, 1, 6)


def test_going_back_to_packing_lets_the_jars_be_counted_again():
    cook = Cook()
    cook.start()
    cook.to_canner()
    cook.report("previous_step")
    assert (cook.load().stage, cook.load().loaded) == (Stage.PACK, None)
    cook.report("packed", count=8)
    assert cook.report("jars_in", yes=True).kind == "jars_in_differ"
    assert cook.load().loaded == 8


def test_jars_that_broke_in_the_canner_stay_counted_when_packing_goes_on():
    cook = Cook()
    cook.start(jars=3)
    cook.report("packed", count=1)
    cook.report("jars_in", yes=True, count=2)
    cook.report("jar_broke", count=2)
    cook.report("previous_step")
    assert (cook.load().jars, cook.load().broken, cook.load().standing) == (2, 2, 0)
    cook.report("packed", count=2)
    assert cook.load().standing == 2


def test_a_count_of_the_jars_that_came_out_is_what_the_seals_are_held_to():
    cook = Cook()
    cook.start()
    cook.to_unload()
    assert cook.report("jars_out", count=6, yes=True).kind == "jars_out_differ"
    cook.wait(43_200)
    assert cook.report("seal_count", sealed=7, failed=0).kind == "count_differs"
    assert cook.report("seal_count", sealed=6, failed=0) is None


@pytest.mark.parametrize("out", [6, 8])
def test_a_miscount_found_while_counting_seals_can_be_put_right(out):
    cook = counting()
    assert cook.report("seal_count", sealed=out, failed=0).kind == "count_differs"
    assert cook.report("jars_out", count=out, yes=True).kind == "jars_out_differ"
    assert cook.load().stage is Stage.COUNT
    assert cook.report("seal_count", sealed=out - 1, failed=1) is None


def test_sealed_failed_and_broken_add_up_to_the_jars_loaded():
    cook = counting()
    cook.report("jar_broke", count=1)
    for sealed, failed in ((7, 0), (5, 2), (6, 1)):
        assert cook.report("seal_count", sealed=sealed, failed=failed).kind == "count_differs"
    assert cook.report("seal_count", sealed=5, failed=1) is None
    load = cook.load()
    assert load.sealed + load.failed + load.broken == load.loaded == 7


def test_a_tally_by_threes_and_ones_is_complete_when_all_are_counted():
    cook = counting()
    for data, tally in (({"sealed": 3}, (3, 0)), ({"failed": 1}, (3, 1)), ({"sealed": 3}, (6, 1))):
        assert cook.report("tally", **data) is None
        assert cook.load().tally == tally
    assert cook.facts[0].data["left"] == 0
    assert cook.report("tally", sealed=1).kind == "tally_over"
    assert cook.report("seal_count", sealed=6, failed=1) is None
    assert cook.load().tally == (0, 0)


def test_a_jar_that_breaks_after_the_count_voids_the_count():
    cook = counting()
    cook.report("seal_count", sealed=5, failed=2)
    cook.report("jar_broke", count=1)
    assert (cook.load().sealed, cook.load().step, cook.load().standing) == (None, "seals", 6)
    assert cook.report("load_close").kind == "not_counted"
    assert cook.report("seal_count", sealed=5, failed=1) is None


def test_a_corrected_count_voids_outcomes_of_jars_that_did_not_fail():
    cook = counting()
    cook.report("seal_count", sealed=4, failed=3)
    cook.report("jar_outcome", outcome="freeze", count=2)
    cook.report("seal_count", sealed=5, failed=2)
    assert (dict(cook.load().outcomes), cook.load().stage) == ({"freeze": 2}, Stage.KEEP)
    cook.scratch()
    cook.report("seal_count", sealed=6, failed=1)
    assert (dict(cook.load().outcomes), cook.load().undecided) == ({}, 1)


def test_outcomes_are_logged_jar_by_jar():
    cook = counting()
    cook.report("seal_count", sealed=3, failed=4)
    for outcome, count, left in (("reprocess", 1, 3), ("refrigerate", 2, 1), ("discard", 1, 0)):
        cook.report("jar_outcome", outcome=outcome, count=count)
        assert cook.facts[0].data["left"] == left
    assert cook.load().stage is Stage.KEEP
    assert cook.load().timer("window") is None


def test_no_more_jars_lose_liquid_than_there_are():
    cook = counting()
    cook.report("liquid_lost", count=99)
    assert cook.load().low_liquid == 7


def test_all_jars_broken_leaves_a_load_that_can_be_closed():
    cook = Cook()
    cook.start(BATH, jars=2)
    cook.to_hold()
    cook.report("jar_broke", count=2)
    cook.wait(35 * 60)
    cook.report("heat_off")
    cook.report("lid_off")
    cook.wait(300)
    cook.report("jars_out")
    cook.wait(43_200)
    assert cook.report("seal_count", sealed=0, failed=0) is None
    assert cook.report("load_close") is None


def test_a_jar_broken_while_packing_is_not_packed():
    cook = Cook()
    cook.start()
    cook.report("packed", count=4)
    cook.report("jar_broke", count=1)
    assert (cook.load().packed, cook.load().broken) == (3, 0)


@pytest.mark.parametrize(("kind", "data"), [("tally", {"failed": 1}), ("seal_count", {"sealed": 6, "failed": 1})])
def test_the_hours_for_jars_that_failed_run_on_where_a_count_is_void_or_corrected(kind, data):
    cook = counting()
    cook.report("seal_count", sealed=7, failed=0)
    assert cook.load().timer("window") is None
    cook.report(kind, **data)
    assert cook.load().timer("window").started_t == cook.load().processed_t


def test_a_failure_told_of_a_closed_load_opens_it_with_what_is_left_of_the_hours():
    cook = counting()
    cook.report("seal_count", sealed=7, failed=0)
    cook.report("load_close")
    cook.report("tally", failed=1)
    assert (cook.kinds(), cook.load().step) == (["count_void"], "seals")
    assert cook.load().timer("window").due_t == cook.load().processed_t + 86_400
    cook.wait(86_400)
    cook.scratch()
    cook.report("tally", failed=1)
    assert cook.load().timer("window") is None


def test_a_jar_thrown_out_for_a_fault_that_was_none_is_not_on_the_shelf():
    cook = counting()
    cook.report("seal_count", sealed=7, failed=0)
    cook.report("fault", fault="numbers")
    cook.report("jar_outcome", outcome="discard", count=2)
    cook.report("fault_mended", fault="numbers")
    assert (cook.load().sealed, cook.load().shelved, cook.load().undecided) == (7, 5, 0)


def test_a_recount_keeps_the_outcomes_of_unfit_jars_and_of_no_more_than_there_are():
    cook = counting()
    cook.report("seal_count", sealed=7, failed=0)
    cook.report("fault", fault="numbers")
    cook.report("jar_outcome", outcome="discard", count=3)
    cook.report("seal_count", sealed=6, failed=1)
    assert (dict(cook.load().outcomes), cook.load().undecided) == ({"discard": 3}, 4)
    cook.report("tally", failed=1)
    cook.report("jars_out", count=2, yes=True)
    assert dict(cook.load().outcomes) == {}


def test_a_load_given_up_in_doubt_has_no_jar_for_the_shelf_and_no_hold_that_runs():
    cook = counting()
    cook.report("seal_count", sealed=7, failed=0)
    for kind, kept in (("in_question", False), ("unexplained", True)):
        cook.record("doubt", None, loads=(1,), kind=kind, words="the gauge was odd", kept=kept)
        cook.record("load_given_up", 1)
        assert (cook.load().stage, cook.load().shelved, cook.load().doubts) == (Stage.CLOSED, 0, ())
        cook.scratch()
        cook.scratch()
    cook.record("load_given_up", 1)
    assert cook.load().shelved == 7
    cook = Cook()
    cook.start()
    cook.to_hold()
    cook.record("load_given_up", 1)
    assert (cook.load().holding, cook.load().hold.why) == (False, "given_up")
