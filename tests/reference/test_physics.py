"""A second witness: what steam and air say about the published pressures. No process comes from here."""

import math
from pathlib import Path

import pytest
import yaml
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from kitchenvoice.reference import explain
from kitchenvoice.reference.library import product, product_ids
from kitchenvoice.reference.models import PressureProcess
from kitchenvoice.reference.physics import atmosphere_pa, boiling_f, canner_f, saturation_k

CHECKS = yaml.safe_load((Path(__file__).with_name("data") / "physics.yaml").read_text(encoding="utf-8"))
BANDS = CHECKS["published_bands_in_temperature"]["rows"]
PA_PER_PSI = 6894.757293168


def witness_f(psi, altitude_ft):
    """Return the canner temperature from the two libraries, independent of our own formulas."""
    air = Atmosphere(altitude_ft * 0.3048).pressure[0]
    return (IAPWS97(P=(air + psi * PA_PER_PSI) / 1e6, x=1).T - 273.15) * 9 / 5 + 32


@given(st.floats(0.02, 2.0))
def test_the_saturation_line_agrees_with_the_library(mpa):
    assert saturation_k(mpa * 1e6) == pytest.approx(IAPWS97(P=mpa, x=0).T, abs=1e-6)


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_the_saturation_line_gives_the_check_values_of_the_standard(mpa, kelvin):
    assert saturation_k(mpa * 1e6) == pytest.approx(kelvin, abs=5e-7)


@given(st.floats(-1_000, 30_000))
def test_the_atmosphere_agrees_with_the_library(feet):
    assert atmosphere_pa(feet) == pytest.approx(Atmosphere(feet * 0.3048).pressure[0], rel=1e-6)


@pytest.mark.parametrize("wrong", [0, 600, 23e6, math.nan])
def test_pressures_outside_the_equation_are_rejected(wrong):
    with pytest.raises(ValueError, match="outside"):
        saturation_k(wrong)


def test_altitudes_outside_the_lower_atmosphere_are_rejected():
    with pytest.raises(ValueError, match="outside"):
        atmosphere_pa(40_000)


@pytest.mark.parametrize("row", CHECKS["boiling_point_vs_altitude"]["rows"], ids=lambda row: str(row["altitude_ft"]))
def test_boiling_points_agree_with_the_published_table(row):
    feet = row["altitude_ft"]
    assert boiling_f(feet) == pytest.approx(row["computed_boiling_f"], abs=0.01)
    assert atmosphere_pa(feet) / PA_PER_PSI == pytest.approx(row["computed_atm_psia"], abs=0.001)
    assert -0.05 <= row["published_boiling_f"] - boiling_f(feet) <= 1.05
    if "published_jelly_point_f" in row:
        assert row["published_jelly_point_f"] - boiling_f(feet) == pytest.approx(8, abs=0.8)


@pytest.mark.parametrize("row", CHECKS["steam_table_classic"]["rows"], ids=lambda row: str(row["psia"]))
def test_the_classic_steam_table_agrees(row):
    ours = (saturation_k(row["psia"] * PA_PER_PSI) - 273.15) * 9 / 5 + 32
    assert ours == pytest.approx(row["published_f"], abs=CHECKS["steam_table_classic"]["tolerance_f"])


@pytest.mark.parametrize("row", CHECKS["steam_table_imperial"]["rows"], ids=lambda row: str(row["psig"]))
def test_the_rounded_steam_table_agrees_but_for_its_misprint(row):
    assert canner_f(row["psig"], 0) == pytest.approx(row["computed_f"], abs=0.01)
    assert abs(row["published_f"] - canner_f(row["psig"], 0)) < (2 if row["psig"] == 8 else 0.5)


def test_gauge_and_altitude_give_the_tabled_temperatures():
    for row in CHECKS["saturation_temperature_by_gauge_and_altitude"]["rows"]:
        for psi, degrees in row["computed_f"].items():
            assert canner_f(psi, row["altitude_ft"]) == pytest.approx(degrees, abs=0.051)


@pytest.mark.parametrize("row", CHECKS["wrong_setting_examples"]["rows"], ids=lambda row: row["case"])
def test_a_wrong_setting_is_too_cold(row):
    assert canner_f(row["psig"], row["altitude_ft"]) == pytest.approx(row["computed_f"], abs=0.051)
    assert 240 - canner_f(row["psig"], row["altitude_ft"]) == pytest.approx(row["degrees_below_240"], abs=0.051)


@pytest.mark.parametrize("row", CHECKS["trapped_air_examples"]["rows"], ids=lambda row: str(row["air_mole_fraction"]))
def test_trapped_air_makes_the_canner_colder(row):
    ours = canner_f(row["gauge_psi"], row["altitude_ft"], row["air_mole_fraction"])
    assert ours == pytest.approx(row["computed_steam_f"], abs=0.051)


def pressure_edges():
    """Yield every edge of every pressure table: food, gauge, altitude, psi, and the band it must lie in."""
    for food in product_ids():
        for block in product(food).processes:
            if isinstance(block, PressureProcess):
                for band in block.bands:
                    if band.psi is not None:
                        for feet in (band.from_ft, min(band.to_ft or 8_000, 8_000)):
                            yield food, block, band, feet


EDGES = list(pressure_edges())


def published(gauge, band):
    """Return the published band that has this gauge, altitude range and pressure."""
    rows = [r for r in BANDS if gauge in r["table"] and r["from_ft"] == band.from_ft and r["psi"] == band.psi]
    return rows[0] if rows else None


def test_every_pressure_table_is_met_at_every_altitude_edge():
    assert len(EDGES) > 400
    checked = 0
    for food, block, band, feet in EDGES:
        seen = witness_f(band.psi, feet)
        assert canner_f(band.psi, feet) == pytest.approx(seen, abs=1e-3)
        row = published(block.gauge, band)
        if row:
            checked += 1
            assert row["computed_f_at_top"] - 0.06 <= seen <= row["computed_f_at_bottom"] + 0.06, (food, feet)
        else:
            assert block.option, (food, feet)
            assert (block.gauge, band.from_ft, band.psi) in {("weighted", 0, 15)}
    assert checked > 400


def test_the_dial_steps_keep_low_acid_food_between_239_and_242_degrees():
    dial = [e for e in EDGES if product(e[0]).acidity == "low" and e[1].gauge == "dial"]
    temperatures = [witness_f(band.psi, feet) for _, _, band, feet in dial]
    assert min(temperatures) > 239.2
    assert max(temperatures) < 241.8


def test_the_published_anchors():
    assert canner_f(10, 0) == pytest.approx(240, abs=1)
    assert boiling_f(5_000) == pytest.approx(203, abs=0.3)


def test_explain_says_the_temperature_and_that_it_is_only_an_explanation():
    said = explain(11, 5_000)
    assert said.status == "ok"
    assert (said.canner_f, said.sea_level_f) == (236.0, 241.6)
    assert "236 degrees" in said.text
    assert "explanation only" in said.text
    assert said.source == ("if97", "icao")


@pytest.mark.parametrize(("psi", "feet"), [(-1, 0), (26, 0), (11, -1), (11, 20_001), (math.nan, 0), (11, math.inf)])
def test_explain_refuses_what_is_out_of_its_range(psi, feet):
    said = explain(psi, feet)
    assert said.status == "refused"
    assert said.canner_f is None
