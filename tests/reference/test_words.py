"""A line of words: every name of a food is found in it, and no word of it is passed over."""

from __future__ import annotations

import pytest

from kitchenvoice.errors import BadInput
from kitchenvoice.reference import amount_in, find_food, guide_page, spoken_names, wanted
from kitchenvoice.reference.inputs import jar

NAMES = sorted(spoken_names())


@pytest.mark.parametrize("line", ["{} pints raw dial 3,000 feet", "quart {}", "hot pack {} in a pressure canner"])
def test_every_name_of_a_food_is_the_same_food_beside_other_words(line: str) -> None:
    wrong = {}
    for name in NAMES:
        if find_food(name).kind == "refused" and find_food(name).refused != find_food(wanted(name).food).refused:
            continue  # an appliance, which is a method
        if find_food(f"{name} pints").kind != "unknown":
            continue  # a food that is named with its jar
        said = wanted(line.format(name)).food
        if (found := find_food(said)) and (found.food, found.group, found.refused) != (
            find_food(name).food,
            find_food(name).group,
            find_food(name).refused,
        ):
            wrong[name] = said
    assert wrong == {}


def test_each_particular_is_found_wherever_it_stands() -> None:
    said = wanted("half pints of carrots, hot pack, pressure canner, weighted gauge, 1,200 ft")
    assert (said.food, said.jar, said.pack, said.method) == ("carrots", "half pints", "hot pack", "pressure canner")
    assert (said.gauge, said.altitude_ft) == ("weighted gauge", 1200)
    assert wanted("300 m carrots").altitude_ft == 985


@pytest.mark.parametrize(
    "line",
    [
        "mashed carrots pints",
        "carrots mashed pints",
        "pints carrots with butter",
        "cherry pie pints",
        "apples in juice quarts",
    ],
)
def test_a_word_that_is_not_known_is_not_passed_over(line: str) -> None:
    said = wanted(line).food
    assert said not in ("carrots", "cherry", "apples")
    assert find_food(said).kind == "unknown"


@pytest.mark.parametrize("jars", ["half gallons", "half-gallon", "half gallon jars"])
def test_a_jar_is_known_whatever_is_said_behind_it(jars: str) -> None:
    for behind in ("hot boiling water 500 feet", "in a boiling water canner", "hot pack"):
        said = wanted(f"apple juice {jars} {behind}")
        assert (said.food, jar(said.jar).value) == ("apple juice", "half_gallon")


def test_an_appliance_is_a_method_which_is_refused_by_name() -> None:
    assert wanted("carrots oven pints").method == "oven"


def test_two_of_a_kind_are_not_chosen_between() -> None:
    with pytest.raises(BadInput, match="say one gauge"):
        wanted("carrots dial weighted")


@pytest.mark.parametrize(
    ("line", "have", "rest"),
    [
        ("28 lb carrots quarts", "28 lb", "carrots quarts"),
        ("carrots half a bushel", "half a bushel", "carrots"),
        ("2 1/2 pounds peaches", "2 1/2 pounds", "peaches"),
        ("carrots pints", None, "carrots pints"),
    ],
)
def test_an_amount_is_found_in_a_line(line: str, have: str | None, rest: str) -> None:
    assert amount_in(line) == (have, rest)


def test_a_page_is_told_as_it_is_found() -> None:
    assert guide_page("aib539_2015 (Guide 4:10)") == "Guide 4, page 10"
    assert guide_page("aib539_2015 (Guide 4:9-10)") == "Guide 4, pages 9-10"
    assert guide_page("msue_pfs:01600045 (Guide 4:9-10)") is None
    assert guide_page("nchfp_pumpkin") is None


@pytest.mark.parametrize("line", ["carrots pints raw weighted 900", "900 carrots", "carrots 28 quarts"])
def test_a_bare_number_is_asked_about(line: str) -> None:
    with pytest.raises(BadInput, match=r"\d+ what\? .* feet or .* meters"):
        wanted(line)
