"""The figures of the published rules, as the process engine reads them."""

import pytest

from kitchenvoice.reference import rule, rules

FIGURES = {
    "vent_minutes": (10, "1:22"),
    "come_up_minutes": ((3, 5), "1:22"),
    "water_depth_in": ((2, 3), "1:21"),
    "wait_before_lid_minutes": (10, "1:22"),
    "water_over_jars_in": (1, "1:18"),
    "water_over_jars_long_in": (2, "1:18"),
    "water_raw_pack_f": (140, "1:18"),
    "water_hot_pack_f": (180, "1:18"),
    "boiling_water_rest_minutes": (5, "1:18"),
    "undisturbed_hours": ((12, 24), "1:25"),
    "failed_seal_hours": (24, "1:26"),
    "freeze_headspace_in": (1.5, "1:26"),
    "gauge_test_months": (12, "1:20"),
    "gauge_replace_over_psi": (2, "1:20"),
    "steam_canner_max_minutes": (45, "nchfp_steam"),
    "fish_quarts_heat_and_vent_minutes": (30, "5:12"),
    "shelf_life_months": (12, "1:12"),
    "old_canner_cool_minutes": ({"pint": 30, "quart": 45}, "1:22"),
    "canner_min_quart_jars": (4, "1:17"),
    "jars_hot_f": (180, "1:14"),
    "lid_years": (5, "1:15"),
    "heat_to_vent_minutes": ((12, 15), "1:17"),
    "heat_to_boil_minutes": ((20, 30), "1:17"),
    "pressure_cool_minutes": ((20, 60), "1:17"),
    "most_psi": (15, "1:10"),
    "suspect_boil_minutes": (30, "1:27"),
    "suspect_water_over_in": (1, "1:27"),
    "boil_before_eating_minutes": (10, "For Safety's Sake, inside cover"),
    "pasteurization_f": ((180, 185), "6:5"),
    "pasteurization_minutes": (30, "6:5"),
    "ascorbic_tsp_per_gallon": (1, "1:11"),
    "vinegar_percent": (5, "1:28"),
    "steam_column_in": ((8, 10), "nchfp_steam"),
}
"""Each figure, and where it is printed: chapter and page of the guide (2015), its cover, or a source of its own."""


@pytest.mark.parametrize(("name", "value", "page"), [(name, *told) for name, told in FIGURES.items()])
def test_a_figure_has_its_published_value_and_source(name, value, page):
    figure = getattr(rules(), name)
    assert figure.value == value
    assert figure.source[0] in (f"aib539_2015 (Guide {page})", f"aib539_2015 ({page})", page)
    assert figure.text


@pytest.mark.parametrize(
    ("name", "page"), [("pressure_process.pressure_drop", 22), ("boiling_water_process.boil_stops", 18)]
)
def test_the_rules_to_start_over_stand_in_the_guide(name, page):
    assert rule(name).action == "restart_full_time"
    assert rule(name).source[0] == f"aib539_2015 (Guide 1:{page})"


def test_an_unknown_rule_is_a_key_error():
    with pytest.raises(KeyError):
        rule("pressure_process.guess")


@pytest.mark.parametrize(
    ("name", "page"),
    [
        ("method_choice.pressure_canner_size", "1:17"),
        ("jars_and_lids.preheat", "1:14"),
        ("jars_and_lids.lid_age", "1:15"),
        ("jars_and_lids.no_bubbles", "1:15"),
        ("pressure_process.heat_to_vent", "1:17"),
        ("pressure_process.cool", "1:17"),
        ("pressure_process.pressurise", "1:22"),
        ("pressure_process.more_water", "1:21"),
        ("boiling_water_process.heat_to_boil", "1:17"),
        ("before_eating.check", "1:26"),
        ("spoiled.unsealed", "1:27"),
        ("spoiled.clean_up", "1:27"),
        ("preparing.syrup", "2:5"),
        ("preparing.ferments", "1:28"),
        ("pasteurization.low_temperature", "6:5"),
    ],
)
def test_a_rule_names_its_page(name, page):
    assert rule(name).source[0] == f"aib539_2015 (Guide {page})"


def test_the_syrups_are_as_printed():
    figures = rule("preparing.syrup").figures
    assert [figures[name]["percent"] for name in ("very_light", "light", "medium", "heavy", "very_heavy")] == [
        10,
        20,
        30,
        40,
        50,
    ]
    assert figures["very_light"]["quarts_7"] == [10.5, 1.25]
    assert figures["medium"] == {"percent": 30, "pints_9": [5.25, 2.25], "quarts_7": [8.25, 3.75]}
    assert figures["very_heavy"]["pints_9"] == [4.25, 4.25]


def test_boiling_before_eating_is_no_rescue():
    text = rule("before_eating.boil").text
    assert "does not save food known to be underprocessed" in text
    assert "throw it out" in text


def test_the_guide_and_later_pages_are_named_for_steam_canners():
    assert rule("method_choice.steam_canner_guide").source == ("aib539_2015 (Guide 1:10)", "nchfp_steam")
    assert rule("method_choice.steam_canner").figures == {"max_minutes": 45}
