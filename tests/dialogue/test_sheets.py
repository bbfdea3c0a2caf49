"""The sheet of a food read aloud."""

from __future__ import annotations

import re

import pytest

from kitchenvoice.reference import foods, sheet

WITH_RECIPE = [food.id for food in foods() if sheet(food.id).recipes]


def test_a_recipe_is_read_with_what_may_never_be_less(cook):
    assert cook.say("read me the recipe for sauerkraut") == (
        "Sauerkraut, for nine quarts. Twenty five pounds of cabbage."
        " Three quarters of a cup of canning salt, never less."
    )
    assert not cook.events


def test_which_salsa_is_asked_and_the_amounts_that_are_only_taste_are_not_read(cook):
    assert cook.say("read me the sheet for salsa").startswith("Which one: ")
    said = cook.bare("salsa with slicing tomatoes")
    assert "Two cups of vinegar, five percent, never less." in said
    assert "Half a cup of jalapeno peppers, never more." in said
    assert said.endswith("Salt to taste.")


def test_a_food_without_a_recipe_is_told_how_it_is_packed(cook):
    assert cook.say("what goes into carrots") == (
        "Carrots. Hot pack: Cover with boiling water, bring to a boil and simmer five minutes. Fill, and cover with hot"
        " cooking liquid or water. Raw pack: Fill tightly, and cover with hot water."
    )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("how long do i boil the carrots before packing", "bring to a boil and simmer five minutes"),
        ("how do i pack chile salsa", "Heat everything to a boil and simmer ten minutes."),
        ("what liquid do i use for mushrooms", "Cover in the jar with fresh hot water."),
        ("how much lemon juice for figs", "Quart: two tablespoons of bottled lemon juice or a half teaspoon"),
        ("how much vinegar for dilly beans", "four cups of white vinegar (five percent) to four pounds"),
        ("how much lemon juice for pear apple jam", "a third cup of bottled lemon juice to two cups of pears"),
        ("how much salt for green beans", "salt to a jar, if you like. Pint: half a teaspoon. Quart: one teaspoon."),
        ("how much salt for peaches", "Peaches, salt. None is printed."),
        (
            "how much headspace for peach apple salsa",
            "one and a quarter inches for the pieces, then liquid to a half inch",
        ),
        ("recipe for tomato ketchup", "Tomato ketchup, for six to seven pints. Twenty four pounds of tomatoes."),
        (
            "how much sugar in peach pie filling",
            "Thirty five tablespoons of modified corn starch, neither more nor less.",
        ),
        ("do i need acid in figs", "Quart: two tablespoons of bottled lemon juice or a half teaspoon"),
        ("raw or hot pack for okra", "Okra. Hot pack: Cover with hot water and boil two minutes."),
        ("what goes in with asian pears", "add the lemon juice"),
        ("head space for apple pie filling", "Apple pie filling. Head space: one inch."),
        ("how many pounds of plums for a load of quarts", "Seven quarts of plums: ten to eighteen pounds"),
        ("how much headspace for chicken noodle soup", "No process exists for soup with noodles"),
        ("how much headspace for smoked chicken", "I didn't understand the question."),
        ("how do i make a medium syrup", "Seven quarts: eight and a quarter, three and three quarters."),
    ],
)
def test_what_one_food_takes_is_told_from_its_sheet(cook, asked, told):
    assert told in cook.bare(asked, typed=True)


def test_of_a_food_that_is_begun_its_own_figures_are_told(cook):
    cook.run("start a load", "> salsa with paste tomatoes")
    assert "seven quarts of paste tomatoes" in cook.bare("how much lemon juice for it", typed=True)
    assert "simmer twenty minutes more" in cook.bare("how long does it simmer", typed=True)


def test_of_a_load_its_own_pack_is_told(cook):
    cook.run("start seven quarts of peaches hot pack", "> boiling water", "> yes")
    said = cook.bare("how long do i boil them first", typed=True)
    assert "Bring the drained fruit to a boil in the liquid and fill at once." in said
    assert "Raw pack" not in said


def test_a_refused_food_is_refused_here_too(cook):
    assert "No tested process exists for mashed or pureed pumpkin" in cook.say("read me the recipe for pumpkin butter")


@pytest.mark.parametrize("food", WITH_RECIPE)
def test_every_recipe_can_be_read_aloud_in_words(cook, food):
    from kitchenvoice.dialogue.sheets import read_sheet
    from kitchenvoice.dialogue.turn import Heard

    spoken = []
    cook.talk.speak = lambda text, *_: spoken.append(text)
    read_sheet(cook.talk, Heard("ask_sheet", {"food": food}, "", cook.t))
    (said,) = spoken
    assert not re.search(r"[0-9_{}]", said)
    for item in sheet(food).recipes[0].ingredients:
        assert (item.keep == "never_less") <= ("never less" in said)


def test_without_a_name_the_recipe_of_the_load_is_read_and_the_question_is_kept_for_no_report(cook):
    assert cook.say("read me the recipe") == "Which food?"
    assert "Twenty five pounds of cabbage" in cook.bare("sauerkraut")
    cook.run("start nine pints of chile salsa hot pack", "> boiling water", "> yes")
    assert cook.load.food == "chile_salsa"
    for said in ("read me the recipe", "what is the recipe", "what goes into the salsa"):
        assert cook.bare(said, typed=True).startswith("Chile salsa, for"), said
    assert "Which one" in cook.say("what goes into pickles")
    assert "Which one" not in cook.say("nine jars packed")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("how many onions", "For sixteen to eighteen pints: Five cups of onion, never more."),
        (
            "how many quarts of tomatoes do i need",
            "For sixteen to eighteen pints: Seven quarts of paste tomatoes, chopped.",
        ),
        ("how many pints does it make", "The recipe makes sixteen to eighteen pints"),
        ("how many jars will i get", "The recipe makes sixteen to eighteen pints"),
    ],
)
def test_what_a_recipe_has_of_one_thing_and_what_it_makes_is_told(cook, asked, told):
    cook.run("start nine pints of salsa with paste tomatoes hot pack", "> boiling water", "> yes")
    assert told in cook.bare(asked, typed=True)


def test_a_food_without_a_recipe_is_told_by_its_printed_yield(cook):
    cook.run("start seven quarts of peaches raw pack", "> boiling water", "> yes")
    assert "fourteen to twenty one pounds" in cook.bare("what's the yield", typed=True)


@pytest.mark.parametrize("asked", ["do i add water", "which liquid", "do i cover it with water"])
def test_the_liquid_is_that_of_the_food_that_is_packed(cook, asked):
    cook.run("start nine pints of meat in chunks raw pack in canner two", "> yes")
    assert "No liquid" in cook.bare(asked, typed=True)


def test_water_for_the_canner_is_none_of_the_food(cook):
    cook.run("start nine pints of meat in chunks raw pack in canner two", "> yes")
    assert "No liquid" not in cook.bare("do i add water to the canner", typed=True)


@pytest.mark.parametrize(
    ("asked", "told"),
    [("how much lemon in each", "Half-pint: two tablespoons of lemon juice"), ("how full do i fill them", "one inch")],
)
def test_the_figures_of_a_food_that_is_begun_are_told_in_whatever_words(cook, asked, told):
    cook.bare("how do i can crab", typed=True)
    assert told in cook.bare(asked, typed=True)


def test_a_look_up_is_filled_by_what_is_named_among_other_words(cook):
    cook.bare("how do i can crab", typed=True)
    assert "one hour and ten minutes" in cook.bare("let's say half pints please", typed=True)


@pytest.mark.parametrize("asked", ["can i put cabbage in it", "can i add cabbage", "may i use cabbage"])
def test_whether_another_food_may_go_in_is_answered_with_its_own_refusal(cook, asked):
    cook.run("start seven quarts of vegetable soup hot pack in canner one", "> yes")
    told = cook.bare(asked, typed=True)
    assert "in soup, foods that have a process of their own" in told
    assert "The guide prints no process for cabbage" in told


def test_of_two_jars_that_get_different_acid_each_is_named(cook):
    told = cook.bare("how much lemon juice for crab", typed=True)
    assert "Half-pint: two tablespoons of lemon juice" in told
    assert "Pint: four tablespoons" in told


def test_a_half_pint_gets_its_own_acid_and_not_that_of_a_pint(cook):
    told = cook.bare("how much acid for crab in half pints", typed=True)
    assert told.startswith("Half pints of crab meat, acid. Two tablespoons of lemon juice")
    assert "four" not in told.lower()


@pytest.mark.parametrize(
    ("load", "told"),
    [
        ("start five quarts of vegetable soup hot pack in canner one", "Solids first, to half of the jar and no more"),
        ("start five pints of dilly beans raw pack", "Dill first, with garlic if you like, then the beans"),
        ("start five pints of pickled carrots hot pack", "Mustard seed and celery seed first, then the hot carrots"),
        ("start seven quarts of whole tomatoes in water raw pack in boiling water", "The acid first"),
        ("start five quarts of sauerkraut raw pack", "Fill firmly and cover with juice."),
        ("start seven quarts of green beans raw pack", "Fill tightly, and cover with boiling water."),
    ],
)
def test_what_goes_in_first_is_told_of_the_food_that_is_packed(cook, load, told):
    cook.run(load, "> yes")
    assert told in cook.say("what goes in first")
    for asked in ("what comes first in the jar", "what order do they go in", "which goes in first"):
        assert told in cook.bare(asked, typed=True)


def test_the_order_is_short_enough_to_hear(cook):
    orders = {each.order for food in foods() for each in sheet(food.id).preparations if each.order}
    assert len(orders) > 15
    assert all(len(order.split()) <= 25 for order in orders)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("can i use a hot water bath for meat", "need a pressure canner"),
        ("can i use a steam canner for peaches", "for acid foods only"),
        ("can i put carrots in it", "Put in what the tested recipe lists, and no more."),
    ],
)
def test_a_canner_that_is_asked_about_is_nothing_that_goes_into_the_food_begun(cook, asked, told):
    cook.bare("can i can bone broth", typed=True)
    assert told in cook.bare(asked, typed=True)
