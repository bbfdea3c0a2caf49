"""What a text names of a food, beside what only goes in with it."""

import pytest

from kitchenvoice.reference.folding import folded
from kitchenvoice.reference.food_talk import asked_of_food, particulars
from kitchenvoice.reference.library import raw


@pytest.mark.parametrize("ingredient", raw("names")["ingredients"])
def test_what_only_goes_in_names_no_food(ingredient):
    assert particulars(f"when do i put in the {ingredient}") == {}
    assert particulars(f"how much {ingredient} in a quart of tomatoes") == {
        "jar": "quart",
        "food": None,
        "food_group": "tomatoes",
    }


def test_a_food_called_so_is_still_named():
    assert particulars("how long for the juice") == {"food": None, "food_group": "juice"}
    assert particulars("how long for apple juice") == {"food": "apple_juice"}


@pytest.mark.parametrize("asked", ["how much broth", "how many carrots"])
def test_who_asks_how_much_of_a_food_asks_for_no_process(asked):
    assert asked_of_food(asked) is None


def test_who_asks_whether_and_how_long_asks_for_its_process():
    assert asked_of_food("how long do carrots take") == ("ask_hold", {"food": "carrots"})
    assert asked_of_food("can i can carrots") == ("ask_food", {"food": "carrots"})


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("can i can honey", "can i can honey"),
        ("how do i can honey", "how do i can honey"),
        ("is it done honey", "is it done"),
        ("yes you can honey", "yes you can"),
    ],
)
def test_what_is_said_to_somebody_is_left_out_but_where_it_is_what_is_canned(said, left):
    assert folded(said) == left
