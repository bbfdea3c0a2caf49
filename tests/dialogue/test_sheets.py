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
        "Carrots. Hot pack: Cover with boiling water, bring to a boil and simmer five minutes. Raw pack: Fill tightly."
    )


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
