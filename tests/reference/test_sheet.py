"""The sheet of a food has all that is published about it, and nothing that isn't."""

import json

import pytest

from kitchenvoice.reference import foods, lookup, sheet
from kitchenvoice.reference.library import product

EVERY = [food.id for food in foods()]


@pytest.mark.parametrize("food", EVERY)
def test_every_food_has_a_sheet_that_can_be_written_down(food):
    made = sheet(food)
    assert (made.food, made.reason) == (food, None)
    assert made.processes
    assert made.preparations
    assert made.source
    assert json.loads(json.dumps(made.as_dict()))["title"] == product(food).title


@pytest.mark.parametrize("food", EVERY)
def test_the_sheet_says_what_the_look_up_says(food):
    made = sheet(food)
    for line in made.processes:
        for from_ft, _, figure in line.bands:
            given = {"method": line.method, "gauge": line.gauge, "altitude_ft": from_ft, "jar": line.jar}
            answer = lookup(food, pack=line.packs[0], **given)
            pairs = [(o.minutes, o.psi) for o in answer.options] or [(answer.minutes, answer.psi)]
            if figure is None:
                assert line.minutes not in {minutes for minutes, _ in pairs}
            else:
                assert ((line.minutes, figure) if line.gauge else (figure, None)) in pairs
        of_jar = next(jar for jar in made.jars if jar.jar == line.jar)
        assert of_jar.takes == line.jar


def test_a_sheet_has_the_parts_of_its_food():
    quarts = sheet("fish in quarts")
    assert quarts.canner.water_quarts == 3
    assert [(p.gauge, p.jar, p.minutes) for p in quarts.processes] == [
        ("dial", "quart", 160),
        ("weighted", "quart", 160),
    ]
    assert not quarts.release_bubbles
    beans = sheet("dried beans in water")
    assert beans.soak_hours == (12, 18)
    assert "boil 30 minutes" in beans.preparations[0].text
    peaches = sheet("peaches")
    assert peaches.ascorbic_dip
    assert [p.pack for p in peaches.preparations] == ["hot", "raw"]
    assert sheet("apricots").same_as == "peaches"
    jam = sheet("jam without pectin")
    assert {recipe.name for recipe in jam.recipes} == {"apricot", "berry", "peach"}
    assert jam.jars[0].sterile_for == ("hot",)
    assert not jam.release_bubbles
    assert "never below 180" in sheet("quick dill pickles").pasteurization
    tomatoes = {jar.jar: jar.acid for jar in sheet("crushed tomatoes").jars}
    assert tomatoes["quart"].lemon_juice_tbsp == 2
    carrots = {jar.jar: jar.headspace for jar in sheet("pickled carrots").jars}
    assert carrots["pint"] == {"hot": "1 inch for the pieces, then liquid to 1/2 inch"}


@pytest.mark.parametrize("food", EVERY)
def test_nobody_is_told_a_preparation_without_its_page(food):
    for preparation in product(food).preparations:
        assert preparation.source[0].startswith("aib539_2015 (Guide ")
        assert preparation.text.endswith(".")
        low, high = preparation.minutes or (1, 1)
        assert 0 < low <= high


@pytest.mark.parametrize(
    ("food", "pack", "minutes", "liquid"),
    [
        ("snap_beans", "hot", (5, 5), "water"),
        ("asparagus", "hot", (2, 3), "water"),
        ("beets", "hot", (15, 25), "water"),
        ("greens", "hot", (3, 5), "steam"),
        ("pears", "hot", (5, 5), "water, juice or syrup"),
        ("tomatoes_whole_juice", "hot", (5, 5), "tomato juice"),
        ("pineapple", "hot", (10, 10), "water, juice or syrup"),
        ("pumpkin_winter_squash", "hot", (2, 2), "water"),
        ("potatoes_white", "hot", (2, 10), "water"),
        ("figs", "hot", (5, 5), "light syrup"),
        ("pickled_beets", "hot", (5, 5), "the brine"),
        ("clams", "hot", (2, 2), "acid water"),
        ("grapes_whole", "hot", (0.5, 0.5), "water"),
    ],
)
def test_a_hot_pack_is_boiled_as_printed(food, pack, minutes, liquid):
    preparation = next(p for p in product(food).preparations if p.pack == pack)
    assert (preparation.minutes, preparation.liquid) == (minutes, liquid)
    assert lookup(food, pack=pack, jar="pint", method="pressure", gauge="dial", altitude_ft=0).preparation in (
        preparation.text,
        None,
    )


def test_a_look_up_tells_the_preparation_and_whether_bubbles_are_released():
    beans = lookup("green beans", pack="hot", jar="pint", method="pressure", gauge="dial", altitude_ft=0)
    assert "boil 5 minutes" in beans.preparation
    assert beans.release_bubbles
    jelly = lookup("jelly with pectin", pack="hot", jar="half-pint", method="boiling-water", altitude_ft=0)
    assert not jelly.release_bubbles


def test_a_name_of_several_foods_has_no_sheet_but_its_foods():
    made = sheet("pickles")
    assert (made.food, made.processes) == (None, ())
    assert "dill_pickles_quick" in made.candidates
    assert made.reason.endswith("?")


@pytest.mark.parametrize(("food", "word"), [("pumpkin butter", "pumpkin"), ("moon rocks", "moon rocks"), ("", "")])
def test_what_has_no_process_has_no_sheet_but_its_reason(food, word):
    made = sheet(food)
    assert (made.food, made.processes, made.jars) == (None, (), ())
    assert word in made.reason


def test_the_sheet_of_a_ferment_tells_its_crock():
    told = " ".join(sheet("sauerkraut").ferment)
    for each in ("3 to 4 weeks at 70 to 75 degrees", "Never less salt", "take off scum", "to a quart of water"):
        assert each in told
    assert sheet("carrots").ferment == ()
