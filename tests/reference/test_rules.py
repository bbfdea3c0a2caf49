"""The figures of the published rules, as the process engine reads them."""

import pytest

from kitchenvoice.reference import rule, rules

FIGURES = {
    "vent_minutes": 10,
    "come_up_minutes": (3, 5),
    "water_depth_in": (2, 3),
    "wait_before_lid_minutes": 10,
    "water_over_jars_in": 1,
    "water_over_jars_long_in": 2,
    "water_raw_pack_f": 140,
    "water_hot_pack_f": 180,
    "boiling_water_rest_minutes": 5,
    "undisturbed_hours": (12, 24),
    "failed_seal_hours": 24,
    "freeze_headspace_in": 1.5,
    "gauge_test_months": 12,
    "gauge_replace_over_psi": 2,
    "steam_canner_max_minutes": 45,
    "fish_quarts_heat_and_vent_minutes": 30,
    "shelf_life_months": 12,
    "old_canner_cool_minutes": {"pint": 30, "quart": 45},
}


@pytest.mark.parametrize(("name", "value"), FIGURES.items())
def test_a_figure_has_its_published_value_and_source(name, value):
    figure = getattr(rules(), name)
    assert figure.value == value
    assert figure.source
    assert figure.text


def test_rules_that_were_only_read_third_hand_say_so():
    assert rule("pressure_process.pressure_drop").evidence == "third_party"
    assert rule("boiling_water_process.boil_stops").evidence == "third_party"
    assert rules().vent_minutes.evidence == "seen"


def test_an_unknown_rule_is_a_key_error():
    with pytest.raises(KeyError):
        rule("pressure_process.guess")
