"""A dial that reads high under-processes, so its target goes up."""

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.reference import gauge_target

TESTED, TODAY = date(2026, 3, 1), date(2026, 8, 20)


def dial(error, tested=TESTED, today=TODAY, psi=11):
    return gauge_target(psi, gauge="dial", error_psi=error, tested_on=tested, today=today)


@pytest.mark.parametrize(("error", "read"), [(0, 11), (1, 12), (0.5, 11.5), (2, 13), (-1, 10), (-2, 9), (0.1, 11.1)])
def test_the_target_on_the_cooks_dial(error, read):
    target = dial(error)
    assert target.status == "ok"
    assert target.read_psi == read
    assert f"{read:g}" in target.text
    assert target.true_psi == 11
    assert target.source


def test_the_correction_is_spelled_out():
    assert "1 pound high" in dial(1).text
    assert "1.5 pounds low" in dial(-1.5).text
    assert "12 pounds" in dial(1).text


@pytest.mark.parametrize("error", [2.01, -2.01, 5, -15])
def test_a_dial_off_by_more_than_two_pounds_is_replaced(error):
    target = dial(error)
    assert (target.status, target.read_psi) == ("replace", None)
    assert "Replace" in target.text


@pytest.mark.parametrize(
    ("error", "tested", "today"),
    [
        (0, None, TODAY),
        (0, date(2025, 8, 19), date(2026, 8, 20)),
        (0, date(2026, 8, 21), date(2026, 8, 20)),
        (5, None, TODAY),
    ],
)
def test_without_a_test_within_twelve_months_there_is_no_target(error, tested, today):
    target = dial(error, tested, today)
    assert (target.status, target.read_psi) == ("test_due", None)
    assert "test" in target.text


@pytest.mark.parametrize("error", [None, math.nan, math.inf])
def test_a_test_whose_result_is_not_known_gives_no_target_and_is_not_denied(error):
    target = dial(error, TESTED, TODAY)
    assert (target.status, target.read_psi) == ("unread", None)


def test_the_twelve_months_include_the_same_day_next_year():
    assert dial(0, date(2025, 8, 20), date(2026, 8, 20)).status == "ok"
    assert dial(0, date(2024, 2, 29), date(2025, 2, 28)).status == "ok"
    assert dial(0, date(2024, 2, 29), date(2025, 3, 1)).status == "test_due"


@pytest.mark.parametrize("psi", [5, 10, 15])
def test_a_weight_needs_no_test(psi):
    target = gauge_target(psi, gauge="weighted", today=TODAY)
    assert (target.status, target.read_psi) == ("ok", psi)


@pytest.mark.parametrize("psi", [6, 11, 12, 14.9, 0])
def test_there_are_no_weights_in_between(psi):
    assert gauge_target(psi, gauge="weighted", today=TODAY).status == "refused"


@given(st.floats(-2, 2), st.sampled_from([6, 7, 8, 9, 11, 12, 13, 14]))
def test_keeping_the_dial_at_its_target_gives_the_true_pressure(error, psi):
    read = dial(error, psi=psi).read_psi
    assert read is not None
    assert read - error == pytest.approx(psi, abs=1e-6)
    assert (read >= psi) == (error >= -1e-6) or abs(error) < 1e-6
