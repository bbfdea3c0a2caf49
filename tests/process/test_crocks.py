"""A crock that ferments: its days, when it is spoken of, and that it never calls."""

import pytest
from cook import Cook

from kitchenvoice.process import due, fold
from kitchenvoice.process.state import CROCK_CARE, DAY_S
from kitchenvoice.reference.ferments import ferment_degrees, ferment_of, ferment_weeks, ferments

KRAUT = "sauerkraut"
PRINTED = {
    "dill_pickles_fermented": ("6:7", [(70, 75, 3, 4), (55, 65, 5, 6)], "1/2 cup of salt to 4 pounds"),
    KRAUT: ("6:8", [(70, 75, 3, 4), (60, 65, 5, 6)], "3 tablespoons of canning salt to 5 pounds"),
}
"""Page of guide 6, then temperatures and weeks, and the salt."""


@pytest.fixture
def crock() -> Cook:
    cook = Cook()
    cook.record("crock_start", food=KRAUT)
    return cook


def checks(cook: Cook) -> list[float]:
    return [(t - cook.history[0].t) / DAY_S for t, fact in cook.said if fact.kind == "crock_check"]


def test_the_guide_has_two_ferments_with_weeks_and_salt_as_printed():
    assert set(ferments()) == set(PRINTED)
    for food, (page, bands, salt) in PRINTED.items():
        ferment = ferment_of(food)
        assert [(*band.degrees_f, *band.weeks) for band in ferment.bands] == bands
        assert ferment.salt.startswith(salt)
        assert ferment.source == (f"aib539_2015 (Guide {page})",)
    assert ferment_weeks(ferment_of(KRAUT)) == "3 to 4 weeks at 70 to 75 degrees, 5 to 6 weeks at 60 to 65 degrees"
    assert ferment_degrees(ferment_of(KRAUT)) == "70 to 75 degrees, or slower at 60 to 65 degrees"


@pytest.mark.parametrize("food", ["carrots", "no_such_food", None])
def test_what_does_not_ferment_has_no_weeks(food):
    assert ferment_of(food) is None


@pytest.mark.parametrize(
    ("ago", "hours", "days"), [(0, 0, 0), (0, 23.9, 0), (0, 24, 1), (0, 672, 28), (5, 0, 5), (5, 47, 6), (14, 24, 15)]
)
def test_its_age_is_in_whole_days_since_its_start(ago, hours, days):
    cook = Cook()
    cook.record("crock_start", food=KRAUT, days_ago=ago)
    assert cook.kitchen.crock(KRAUT).days(cook.t + 3600 * hours) == days


def test_it_is_spoken_of_once_a_day_at_its_hour_and_never_called(crock):
    crock.wait(28 * DAY_S)
    assert checks(crock) == list(range(1, 29))
    assert crock.calls() == set()
    assert all(fact.kind != "call_again" for _, fact in crock.said)


def test_after_days_off_it_is_spoken_of_once_and_then_a_day_later(crock):
    crock.power_cut(6.4 * DAY_S)
    crock.wait(1.5 * DAY_S)
    assert checks(crock) == pytest.approx([6.4, 7.4])
    assert fold(crock.history) == crock.kitchen


def test_after_time_that_nobody_could_count_it_is_that_old_or_older(crock):
    crock.wait(3 * DAY_S)
    crock.t += 600
    crock.record("session_start", off_s=None, unknown=True)
    held = crock.kitchen.crock(KRAUT)
    assert held.unsure
    assert held.days(crock.t) == 3
    assert [(each.kind, each.t) for each in due(crock.kitchen)] == [("crock_check", crock.t + DAY_S)]


def test_a_check_that_is_too_early_or_of_no_crock_changes_nothing(crock):
    before = crock.kitchen.crocks
    crock.t += DAY_S - 1
    assert crock.record("crock_check", food=KRAUT) == []
    assert crock.record("crock_check", food="carrots") == []
    assert crock.kitchen.crocks == before


@pytest.mark.parametrize("care", CROCK_CARE)
def test_after_care_it_is_spoken_of_a_day_later(crock, care):
    crock.wait(1.75 * DAY_S)
    crock.record("crock_care", food=KRAUT, care=care)
    crock.wait(1.5 * DAY_S)
    assert checks(crock) == [1, 2.75]
    assert (crock.kitchen.crock(KRAUT).care, crock.kitchen.crock(KRAUT).days(crock.t)) == (care, 3)
    crock.t += 600
    crock.record("session_start", off_s=None, unknown=True)
    assert crock.kitchen.crock(KRAUT).care == ""
    assert fold(crock.history) == crock.kitchen


def test_care_of_no_crock_changes_nothing(crock):
    before = crock.kitchen.crocks
    assert crock.record("crock_care", food="carrots", care="checked") == []
    assert crock.kitchen.crocks == before


def test_there_is_one_of_each_and_an_end_leaves_the_other(crock):
    crock.record("crock_start", food="dill_pickles_fermented", days_ago=3)
    crock.t += DAY_S
    crock.record("crock_start", food=KRAUT)
    assert [(each.food, each.days(crock.t)) for each in crock.kitchen.crocks] == [
        (KRAUT, 1),
        ("dill_pickles_fermented", 4),
    ]
    crock.record("crock_end", food=KRAUT)
    assert [each.food for each in crock.kitchen.crocks] == ["dill_pickles_fermented"]
    assert crock.scratch().kind == "crock_end"
    assert crock.kitchen.crock(KRAUT).days(crock.t) == 1


def test_a_load_beside_it_keeps_its_own_time(crock):
    crock.start()
    crock.to_hold()
    crock.wait(25 * 60)
    assert len(crock.heard("hold_done")) == 1
    assert checks(crock) == []
