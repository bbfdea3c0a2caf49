"""Published rules of the process (vent, waits, water, seals) as typed figures with their sources."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Generic, TypeVar

from .building import build
from .cited import Rule
from .library import raw

__all__ = ["Figure", "Rule", "Rules", "rule", "rule_names", "rules"]

T_co = TypeVar("T_co", covariant=True)


@dataclass(frozen=True)
class Figure(Generic[T_co]):
    """One number (or range) of a rule, with the rule's words and sources."""

    value: T_co
    text: str
    source: tuple[str, ...]


def rule_names() -> tuple[str, ...]:
    """Return the names of all rules, such as ``pressure_process.vent``."""
    return tuple(raw("rules"))


@cache
def rule(name: str) -> Rule:
    """Return one rule by name.

    Raises:
        KeyError: there is no such rule; :func:`rule_names` lists them.
    """
    return build(Rule, raw("rules")[name])


def _number(name: str, key: str) -> Figure[float]:
    found = rule(name)
    return Figure(found.figures[key], found.text, found.source)


def _range(name: str, key: str) -> Figure[tuple[float, float]]:
    found = rule(name)
    low, high = found.figures[key]
    return Figure((low, high), found.text, found.source)


def _old_canner_cool_minutes() -> Figure[dict[str, float]]:
    found = rule("pressure_process.timed_depressurise_old")
    minutes = found.figures["minutes"]
    value = {"pint": float(minutes["pints"]), "quart": float(minutes["quarts"])}
    return Figure(value, found.text, found.source)


@dataclass(frozen=True)
class Rules:
    """The figures that the process engine and the plan go by; each has ``value``, ``text``, ``source``."""

    vent_minutes: Figure[float]
    fish_quarts_heat_and_vent_minutes: Figure[float]
    come_up_minutes: Figure[tuple[float, float]]
    water_depth_in: Figure[tuple[float, float]]
    wait_before_lid_minutes: Figure[float]
    water_over_jars_in: Figure[float]
    water_over_jars_long_in: Figure[float]
    water_raw_pack_f: Figure[float]
    water_hot_pack_f: Figure[float]
    boiling_water_rest_minutes: Figure[float]
    undisturbed_hours: Figure[tuple[float, float]]
    jar_spacing_in: Figure[float]
    failed_seal_hours: Figure[float]
    freeze_headspace_in: Figure[float]
    gauge_test_months: Figure[float]
    gauge_replace_over_psi: Figure[float]
    gasket_years: Figure[float]
    steam_canner_max_minutes: Figure[float]
    canner_min_quart_jars: Figure[float]
    shelf_life_months: Figure[float]
    sterilize_minutes: Figure[float]
    old_canner_cool_minutes: Figure[dict[str, float]]
    jars_hot_f: Figure[float]
    lid_years: Figure[float]
    heat_to_vent_minutes: Figure[tuple[float, float]]
    heat_to_boil_minutes: Figure[tuple[float, float]]
    pressure_cool_minutes: Figure[tuple[float, float]]
    most_psi: Figure[float]
    suspect_boil_minutes: Figure[float]
    suspect_water_over_in: Figure[float]
    boil_before_eating_minutes: Figure[float]
    pasteurization_f: Figure[tuple[float, float]]
    pasteurization_minutes: Figure[float]
    ascorbic_tsp_per_gallon: Figure[float]
    vinegar_percent: Figure[float]
    steam_column_in: Figure[tuple[float, float]]


@cache
def rules() -> Rules:
    """Return the figures of the published rules."""
    return Rules(
        vent_minutes=_number("pressure_process.vent", "minutes"),
        fish_quarts_heat_and_vent_minutes=_number("pressure_process.vent_exception_fish_quarts", "total_minutes_min"),
        come_up_minutes=_range("pressure_process.pressurise", "minutes"),
        water_depth_in=_range("pressure_process.water_depth", "inches"),
        wait_before_lid_minutes=_number("pressure_process.wait_before_lid", "minutes"),
        water_over_jars_in=_number("boiling_water_process.water_over_jars", "inches_min"),
        water_over_jars_long_in=_number("boiling_water_process.water_over_jars", "inches_if_over_30_min"),
        water_raw_pack_f=_number("boiling_water_process.preheat_water", "raw_f"),
        water_hot_pack_f=_number("boiling_water_process.preheat_water", "hot_f"),
        boiling_water_rest_minutes=_number("boiling_water_process.rest", "minutes"),
        undisturbed_hours=_range("cooling_and_seal.undisturbed", "hours"),
        jar_spacing_in=_number("cooling_and_seal.spacing", "inches_min"),
        failed_seal_hours=_number("cooling_and_seal.failed_seal", "hours"),
        freeze_headspace_in=_number("cooling_and_seal.failed_seal", "freeze_headspace_inches"),
        gauge_test_months=_number("equipment.dial_gauge_yearly", "months"),
        gauge_replace_over_psi=_number("equipment.dial_gauge_tolerance", "replace_if_error_over_psi"),
        gasket_years=_number("equipment.gasket", "gasket_years"),
        steam_canner_max_minutes=_number("method_choice.steam_canner", "max_minutes"),
        canner_min_quart_jars=_number("method_choice.pressure_canner_size", "min_quart_jars"),
        shelf_life_months=_number("storage.shelf_life", "months"),
        sterilize_minutes=_number("jars_and_lids.sterilise", "base_minutes"),
        old_canner_cool_minutes=_old_canner_cool_minutes(),
        jars_hot_f=_number("jars_and_lids.preheat", "water_f"),
        lid_years=_number("jars_and_lids.lid_age", "years"),
        heat_to_vent_minutes=_range("pressure_process.heat_to_vent", "minutes"),
        heat_to_boil_minutes=_range("boiling_water_process.heat_to_boil", "minutes"),
        pressure_cool_minutes=_range("pressure_process.cool", "minutes"),
        most_psi=_number("method_choice.max_psi", "psi"),
        suspect_boil_minutes=_number("spoiled.unsealed", "boil_minutes"),
        suspect_water_over_in=_number("spoiled.unsealed", "water_over_inches"),
        boil_before_eating_minutes=_number("before_eating.boil", "minutes"),
        pasteurization_f=_range("pasteurization.low_temperature", "water_f"),
        pasteurization_minutes=_number("pasteurization.low_temperature", "minutes"),
        ascorbic_tsp_per_gallon=_number("preparing.ascorbic_acid", "tsp_per_gallon"),
        vinegar_percent=_number("preparing.pickles", "vinegar_percent"),
        steam_column_in=_range("method_choice.steam_canner_vent", "column_inches"),
    )
