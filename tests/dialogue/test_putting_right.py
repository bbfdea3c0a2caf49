"""What was just told, put right: the same comes of it as if it had been told right at first."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchenvoice.language import load_language

number = load_language("en").number
NO = ("no, {}", "sorry, {}", "no wait, it's {}", "I meant {}", "make that {}", "oops, I misread it, it's {}",
      "no, that was {}", "actually {}", "not {wrong}, {}", "{}, not {wrong}", "I said {wrong} but it's {}")  # fmt: skip
SMALL = st.integers(1, 6)
"""Fewer than are planned: as many as that are asked about."""
BESIDE = {"opened_t", "lit_t", "asked_t", "waiting_t", "last_psi_t", "reminded", "cooling_t"}
"""Times, which differ by that of the correction."""


def typed(cook, *lines):
    answer = ""
    for line in lines:
        cook.t += 3.0
        answer = cook.bare(line, typed=True)
    return answer


def stands(cook):
    """What is so of every load, but for times."""
    told = []
    for load in cook.kitchen.loads:
        so = {each.name: getattr(load, each.name) for each in fields(load) if each.name not in BESIDE}
        so["timers"] = [timer.name for timer in load.timers]
        so["holds"] = [replace(hold, started_t=0.0) for hold in load.holds]
        told.append(so)
    return told


def same(cook, wrong, correction, right):
    """Tell whether it comes to the same."""
    told, at_first = cook.copy(), cook.copy()
    typed(told, wrong, correction)
    typed(at_first, right)
    assert told.replayed() == told.kitchen
    return (stands(told), told.talk.question) == (stands(at_first), told.talk.question)


def put(how, wrong, right):
    return how.format(number(right), wrong=number(wrong))


def any_of(**given_by):
    settled = settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    return lambda test: settled(given(how=st.sampled_from(NO), **given_by)(test))


@any_of(before=st.integers(0, 2), wrong=SMALL, right=SMALL)
def test_a_count_put_right_is_that_count(begun, how, before, wrong, right):
    cook = begun(*begun.BEANS)
    typed(cook, *["another jar"] * before)
    of_total = how.startswith(("no, {}", "sorry", "no wait", "make that", "oops", "actually"))
    of_total = of_total and before < right != before + wrong  # else it can't be what was said back
    if wrong != right:
        told = f"{number(right - before if of_total else right)} jars packed"
        assert same(cook, f"{number(wrong)} jars packed", put(how, wrong, right), told)


@any_of(wrong=st.integers(5, 15), right=st.integers(5, 15))
def test_a_reading_on_the_way_up_put_right_is_that_reading(begun, how, wrong, right):
    cook = begun(*begun.BEANS, *begun.LOADED, *begun.VENTING, 10.1, "weight is on")
    if wrong != right:
        assert same(cook, f"pressure is {number(wrong)}", put(how, wrong, right), f"pressure is {number(right)}")


START = "start seven quarts of green beans raw pack"


@pytest.mark.parametrize(
    ("no", "right"),
    [
        ("no, pints", "start seven pints of green beans raw pack"),
        ("no, I said carrots", "start seven quarts of carrots raw pack"),
        ("not seven, six", "start six quarts of green beans raw pack"),
        ("hot pack, I mean", "start seven quarts of green beans hot pack"),
    ],
)
def test_a_load_put_right_while_it_is_read_back_is_that_load(cook, no, right):
    other = cook.copy()
    assert typed(cook, START, no) == typed(other, right)
    typed(cook, "yes"), typed(other, "yes")
    assert stands(cook) == stands(other)


@pytest.mark.parametrize("no", ["not the beans, the carrots", "no wait, those were the carrots", "I meant canner two"])
def test_a_count_of_the_wrong_load_goes_to_the_one_that_is_named(two, no):
    assert same(two, "the beans three jars packed", no, "the carrots three jars packed")


@pytest.mark.parametrize(
    ("wrong", "no", "right"),
    [
        ("seven jars are in", "no, only six fit", "six jars are in"),
        ("jars are in", "I left one jar on the counter", "six jars are in"),
        ("two jars broke", "no, it was one", "one jar broke"),
    ],
)
def test_what_is_less_or_more_than_told_is_put_right(cook, wrong, no, right):
    typed(cook, START, "yes")
    assert same(cook, wrong, no, right)


@pytest.mark.parametrize(("no", "read"), [("no, twelve", 12), ("no sorry, I misread it, it's eleven", 11)])
def test_a_loss_put_right_in_the_breath_it_was_said_back_in_leaves_the_hold(holding, no, read):
    typed(holding, "pressure is nine", no)
    assert (holding.load.holding, holding.load.last_psi, holding.load.doubts) == (True, read, ())


def test_a_loss_put_right_later_starts_its_hold_over(holding):
    typed(holding, "pressure is nine")
    holding.wait(50)
    typed(holding, "I said nine but it's eleven")
    assert "The hold is done" not in holding.wait(60 * 24.5)


def test_a_loss_that_stays_one_is_a_loss(holding):
    typed(holding, "pressure is nine", "I said nine but it's ten")
    assert not holding.load.holding


def test_a_reading_put_right_below_the_target_is_a_loss(holding):
    holding.wait(60)
    typed(holding, "pressure is twelve", "no, it's ten")
    assert not holding.load.holding


def test_a_reading_is_put_right_for_a_minute_and_is_a_new_one_then(holding):
    typed(holding, "pressure is twelve")
    holding.wait(70)
    typed(holding, "no, it's thirteen")
    assert "scratched" not in [event.kind for event in holding.events]


@pytest.mark.parametrize("no", ["no, almost eleven", "no, it fell to eleven", "no, it's twelve now and it dropped"])
def test_what_tells_more_than_a_correction_is_none(holding, no):
    typed(holding, "pressure is twelve", no)
    assert "scratched" not in [event.kind for event in holding.events]


def test_no_to_a_lost_boil_that_boils_asks_whether_it_did_so_all_the_time(boiling):
    assert typed(boiling, "it stopped boiling", "no, it's still boiling").endswith("with the heat on?")


def test_a_count_of_seals_put_right_is_read_back_before_it_counts(counting):
    answer = typed(counting, "six sealed one failed", "yes", "it's five and two actually")
    assert "Five sealed, two failed. Is that right?" in answer
    assert counting.load.sealed is None


@pytest.mark.parametrize("again", ["let me count again", "hold on, I have to recount"])
def test_who_counts_again_has_no_count(counting, again):
    typed(counting, "six sealed one failed", "yes", again)
    assert (counting.load.sealed, counting.load.doubts) == (None, ())


@pytest.mark.parametrize(
    ("answer", "holds"),
    [("no, it's still rocking", True), ("no, it's not rocking", False), ("no, the weight stopped", False)],
)
def test_a_no_with_what_the_stove_does_is_that_report(weighted, answer, holds):
    weighted.run(2.1)
    assert "Is the weight still rocking?" in weighted.said[-1]
    typed(weighted, answer)
    assert weighted.load.holding is holds
    assert not weighted.load.doubts


@pytest.mark.parametrize("also", ["well {}", "oh wait {}", "no {}", "well no {}", "{}", ", {}"])
def test_a_yes_beside_another_number_reads_that_one_back(begun, counting, also):
    packing = begun(*type(counting).BEANS, "two jars packed")
    assert "Is it five quarts?" in typed(packing, "six jars are in", f"yes {put(also, 6, 5)}")
    assert "Six sealed, one failed." in typed(counting, "seven sealed none failed", f"yes {put(also, 7, 6)}")
    assert (packing.load.stage, counting.load.sealed) == ("pack", None)


@pytest.mark.parametrize("also", ["and one failed", "minus one", "six sealed one failed", "but one is loose"])
def test_a_yes_beside_a_change_logs_no_count(counting, also):
    typed(counting, "seven sealed none failed", f"yes {also}")
    assert counting.load.sealed is None


@pytest.mark.parametrize("also", ["", "seven", "all seven", "seven sealed", "none failed", "that's right"])
def test_a_yes_beside_the_same_count_logs_it(counting, also):
    typed(counting, "seven sealed none failed", f"yes {also}")
    assert (counting.load.sealed, counting.load.failed) == (7, 0)


@pytest.mark.parametrize("said", ["one of them went off pressure", "two of them are off", "one off"])
def test_one_off_puts_no_pressure_right(holding, said):
    typed(holding, "pressure is eleven", said)
    assert holding.kinds()[-1] != "pressure_is" and "scratched" not in holding.kinds()
    assert holding.load.doubt or holding.load.kept
