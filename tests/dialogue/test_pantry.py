"""The shelf by voice, and what is told beside a load: the box of its lids, the amount that went in."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import MORNING, Cook

DAY = 86_400.0


class Shelf:
    """A shelf with rows of (food, jar, jars left, days ago)."""

    def __init__(self, *rows):
        self.rows = [(food, jar, left, MORNING - days * DAY) for food, jar, left, days in rows]

    def on_shelf(self, food=None, jar=None):
        return [row for row in self.rows if food in (None, row[0]) and jar in (None, row[1])]

    def put_up(self, food=None):
        return [row for row in self.rows if food in (None, row[0])]


FULL = (("carrots", "pint", 9, 300), ("snap_beans", "quart", 6, 30), ("carrots", "pint", 2, 5))


def test_everything_on_the_shelf_is_told_by_food_and_jar(make):
    assert make(pantry=Shelf(*FULL)).say("what's on the shelf") == (
        "On the shelf: eleven pints of carrots and six quarts of green beans."
    )


def test_of_a_long_list_six_kinds_are_told_and_the_rest_counted(make):
    foods = ("carrots", "snap_beans", "beets", "okra", "peaches")
    shelf = Shelf(*((food, jar, 1, 1) for food in foods for jar in ("pint", "quart")))
    assert (
        make(pantry=shelf).say("what's on the shelf").endswith("one pint of beets, one quart of beets and four more.")
    )


@pytest.mark.parametrize("line", ["what should we eat first", "what should i use first", "what should be used first"])
def test_what_to_use_first_comes_with_the_published_time_and_its_source(make, line):
    assert make(pantry=Shelf(*FULL)).say(line) == (
        "First: nine pints of carrots, six quarts of green beans then two pints of carrots."
        " Best within about twelve months, says North Dakota State University Extension."
    )


@pytest.mark.parametrize(
    ("left", "told"),
    [(9, "Nine of them, the oldest, were packed over twelve months ago."), (1, "One of them, the oldest, was packed")],
)
def test_jars_that_are_past_their_best_are_told_wherever_the_shelf_is(make, left, told):
    cook = make(pantry=Shelf(("carrots", "pint", left, 366), ("snap_beans", "quart", 6, 364)))
    for line in ("what's on the shelf", "what should be used first"):
        answer = cook.say(line)
        assert told in answer
        assert answer.endswith("best within that time, says North Dakota State University Extension.")


def test_jars_of_a_group_of_foods_are_told_by_their_own_names(make):
    cook = make(pantry=Shelf(("snap_beans", "quart", 6, 3), ("lima_beans", "pint", 4, 2), ("carrots", "pint", 9, 1)))
    answer = cook.say("how many jars of beans are left")
    assert answer.startswith("Six quarts of green beans on the shelf. Four pints of ")
    assert "carrots" not in answer


def test_of_a_food_that_is_not_there_nothing_else_is_told(make):
    assert make(pantry=Shelf(*FULL)).say("how many jars of peaches are left") == (
        "There are no jars of peaches on my list."
    )


def opened_in(cook):
    return [dict(event.data) for event in cook.events if event.kind == "opened"]


def test_a_group_means_the_one_of_it_that_is_on_the_shelf(make):
    cook = make(pantry=Shelf(*FULL))
    assert cook.say("i opened a quart of beans") == "Opened: one quart of green beans."
    assert opened_in(cook) == [{"food": "snap_beans", "count": 1, "jar": "quart"}]


def test_of_a_group_with_several_on_the_shelf_it_is_asked_which(make):
    cook = make(pantry=Shelf(("snap_beans", "quart", 6, 3), ("lima_beans", "quart", 4, 2)))
    asked = cook.say("i opened two quarts of beans")
    assert asked.startswith("Which one: ")
    assert "green beans" in asked
    assert opened_in(cook) == []
    assert cook.bare("green beans") == "Opened: two quarts of green beans."
    assert opened_in(cook) == [{"food": "snap_beans", "count": 2, "jar": "quart"}]


def test_the_question_which_is_left_by_naming_what_is_not_there(make):
    cook = make(pantry=Shelf(("snap_beans", "quart", 6, 3), ("lima_beans", "quart", 4, 2)))
    cook.say("we opened a quart of beans")
    assert cook.bare("carrots") == "There are no jars of carrots on my list."
    assert opened_in(cook) == []


def test_more_jars_than_there_are_are_not_taken(make):
    cook = make(pantry=Shelf(*FULL))
    assert cook.say("we opened seven quarts of green beans") == (
        "Only six quarts of green beans on my list, so I took nothing off it."
    )
    assert opened_in(cook) == []


def noted(cook, kind):
    return [(event.load, dict(event.data)) for event in cook.events if event.kind == kind]


def test_the_box_of_the_lids_and_the_amount_are_noted_with_the_load(cook):
    cook.run(*Cook.BEANS)
    assert cook.say("lid box three") == "Lid box three, for green beans."
    assert cook.say("we used fourteen pounds") == "Fourteen pounds used for green beans."
    assert cook.say("i used one bushel") == "One bushel used for green beans."
    assert noted(cook, "lid_box") == [(1, {"box": 3})]
    assert noted(cook, "used") == [(1, {"amount": 14.0, "unit": "pound"}), (1, {"amount": 1.0, "unit": "bushel"})]


def test_a_box_is_taken_back_like_any_report(cook):
    cook.run(*Cook.BEANS)
    cook.say("the lids are from box twelve")
    assert cook.say("scratch that").startswith("Taken back: the lid box.")


def test_with_two_loads_being_packed_it_is_asked_whose_lids(cook):
    cook.run(*Cook.BEANS, *Cook.CARROTS)
    assert "Which load" in cook.say("lid box four")
    assert noted(cook, "lid_box") == []
    cook.bare("the carrots")
    assert noted(cook, "lid_box") == [(2, {"box": 4})]


def test_without_a_load_there_is_none_to_note_it_with(cook):
    cook.say("lid box four")
    assert noted(cook, "lid_box") == []


LAST_YEAR = (("snap_beans", "quart", 14, 400), ("carrots", "pint", 9, 5))


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            "how many did we do last year",
            "In twenty twenty five you put up fourteen quarts of green beans, by my record.",
        ),
        ("how many carrots did we put up last year", "My record has none of that put up in twenty twenty five."),
        ("when did i last can beans", "Green beans, last: fourteen quarts, in July twenty twenty five."),
        ("when did we last do peaches", "My record has no jars of peaches put up."),
    ],
)
def test_what_was_put_up_in_other_years_is_told_from_the_record(make, said, told):
    assert make(pantry=Shelf(*LAST_YEAR)).bare(said, typed=True) == told


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("plan 28 lb carrots in quarts", "Twenty eight pounds of carrots will make nine to fourteen quarts"),
        ("plan for 28 pounds of carrots", "Which jars"),
        ("what are the numbers for pints of carrots", "Pints of carrots, raw pack or hot pack, at nine hundred feet"),
    ],
)
def test_a_plan_and_a_process_may_be_asked_for_in_the_words_of_the_commands(make, said, answer):
    assert make().bare(said, typed=True).startswith(answer)
