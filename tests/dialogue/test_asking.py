from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        (
            "what pressure do i need",
            "The target is eleven pounds pressure on the dial gauge, or slightly above. You reported eleven just now.",
        ),
        (
            "how long do i process",
            "Twenty five minutes at eleven pounds pressure. Twenty five minutes of hold left.",
        ),
        ("how much salt", "One teaspoon in each quart, for taste only."),
        ("how much lemon juice", "No acid goes in green beans."),
        ("what's the head space", "Head space one inch."),
        ("how long do i vent", "Ten minutes of steady steam, before the weight goes on."),
        ("how much water", "Two to three inches of hot water in a pressure canner. More if its manual says so."),
        ("how many jars", "Seven quarts in the load."),
        ("what's the count", "Seven quarts loaded."),
        ("what's my altitude", "Nine hundred feet."),
        ("time left", "Twenty five minutes of hold left."),
    ],
)
def test_questions_are_answered_from_the_look_up_and_the_reports(holding, line, answer):
    assert holding.say(line) == answer


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("what pressure do i need", "No pressure: a full rolling boil."),
        ("how long do i process", "Fifteen minutes. Fifteen minutes of the boil left."),
        ("how long do i vent", "Boiling water isn't vented. The time starts at a full boil."),
        ("how much water", "Water at least one inch over the lids."),
        ("time left", "Fifteen minutes of the boil left."),
        (
            "where are we",
            "Holding at a boil, fifteen minutes left. Keep the full boil all the time, with the lid on. If the boil"
            " stops, say we lost the boil.",
        ),
    ],
)
def test_a_boiling_water_load_is_spoken_of_as_a_boil(boiling, line, answer):
    assert boiling.say(line) == answer


@pytest.mark.parametrize("line", ["time left", "where are we", "why"])
def test_without_a_load_there_is_nothing_to_tell(cook, line):
    assert cook.say(line) == "No load is going. Say start a load."


@pytest.mark.parametrize("line", ["what pressure do i need", "how much salt"])
def test_without_a_load_it_is_told_what_a_number_depends_on(cook, line):
    assert "Name the food" in cook.say(line)


def test_a_lost_hold_has_no_time_left(holding):
    holding.run(5, "pressure dropped")
    answer = holding.say("time left")
    assert answer.startswith("The hold isn't running. It starts over in full: twenty five minutes.")
    assert " left" not in answer.replace("time left", "")


def test_a_lost_boil_and_a_done_one_are_called_a_boil(boiling):
    boiling.run(3, "heat is off")
    assert "The boil has stopped" in boiling.bare("yes")
    assert "The boil has waited" in boiling.wait(70)
    assert boiling.say("where are we").startswith("The time is stopped.")
    boiling.run("heat is on", "full boil", 20)
    assert any("The boil ended" in text for text in boiling.said)


def test_what_is_ahead_or_over_is_told_where_nothing_runs(cook):
    cook.run(*cook.BEANS, "seven jars packed")
    assert cook.say("is it done").startswith("No timer is running. ")
    cook.run("jars are in", "lid is locked")
    assert cook.say("is it done").startswith("Venting hasn't started. ")
    cook.run("steam is steady", 3, "the steam stopped")
    assert cook.say("is it done").startswith("Venting isn't running. It starts over in full. ")
    cook.run("steam is steady", 11, "got it")
    assert cook.say("is it done").startswith("Venting is over. Use a mitt.")
    cook.run("weight is on")
    assert cook.say("is it done").startswith("The hold hasn't started. ")
    cook.run("pressure is eleven", 26)
    assert cook.say("is it done").startswith("Green beans. The hold ended one minute ago.")
    cook.run("got it")
    assert cook.say("is it done") == "The hold is over. Turn the heat off. Say heat is off."
    cook.run("heat is off")
    assert cook.say("is it done").startswith("Most canners take twenty to sixty minutes to cool. Leave it")
    cook.run(46, "gauge is at zero", 11, "got it")
    assert cook.say("is it done").startswith("The wait is over. The steam under the lid burns.")


def test_of_several_loads_the_one_at_the_stove_is_told(two):
    two.run("the carrots", "nine jars packed", "jars are in", "lid is locked")
    assert two.say("is it done").startswith("Carrots. Venting hasn't started. ")


def test_a_hold_that_is_over_is_told_beside_another_load_that_runs(two):
    two.run("the green beans", *two.LOADED, *two.VENTING, *two.HOLDING, 26, "got it")
    two.run("the carrots", "nine jars packed", "jars are in", *two.VENTING, 1)
    assert two.say("is it done") == (
        "Green beans. The hold is over. Turn the heat off. Say heat is off. Carrots. Nine minutes of venting left."
    )


def test_each_load_tells_its_own_time(two):
    two.run("the green beans", "seven jars packed", "jars are in", *two.VENTING, 3)
    assert two.say("time left") == "Green beans. Seven minutes of venting left."
    assert two.say("how long is left on the carrots").startswith("Carrots. No timer is running.")


def test_packed_jars_are_told_while_packing(cook):
    cook.run(*cook.BEANS, "five jars packed")
    assert cook.say("how many jars") == "Seven quarts planned. Five packed."
    assert cook.say("what's the count") == "Five packed."


def test_the_count_of_seals_is_told(counting):
    counting.run("six sealed one failed", "> yes")
    assert counting.say("how many sealed") == "Six sealed, one failed."


def test_a_failed_jar_is_told_how_long_it_has(counting):
    counting.run("six sealed one failed", "> yes")
    answer = counting.say("what do i do with a jar that didn't seal")
    assert "left of the twenty four hours." in answer
    assert "new lid" in answer
    counting.wait(13 * 3600)
    assert counting.say("what about the jar that failed").startswith("The twenty four hours are over.")


def test_without_a_failed_jar_the_rule_is_told(cook):
    assert cook.say("what do i do with a jar that didn't seal").startswith("Within twenty four hours")


def test_why_explains_the_step_or_what_was_refused_just_now(holding):
    assert "without a break" in holding.say("why")
    holding.run(26, "heat is off")
    assert "throws boiling food" in holding.run("lid is off", "why")
    holding.say("time left")
    assert "slow cooling" in holding.say("why")


class Shelf:
    def __init__(self, *rows):
        self.rows = rows

    def on_shelf(self, food=None, jar=None):
        return [row for row in self.rows if food in (None, row[0]) and jar in (None, row[1])]


def test_the_shelf_is_told_oldest_first(make):
    cook = make(
        pantry=Shelf(("carrots", "pint", 9, 1.0), ("snap_beans", "quart", 6, 2.0), ("snap_beans", "pint", 2, 3.0))
    )
    assert cook.say("what should we eat first") == (
        "First: nine pints of carrots, six quarts of green beans then two pints of green beans."
        " Seventeen of them, the oldest, were packed over twelve months ago."
        " They are best within that time, says North Dakota State University Extension."
    )
    assert cook.say("how many jars of green beans are left") == (
        "Six quarts of green beans on the shelf. Two pints of green beans on the shelf."
    )
    assert cook.say("we opened a jar of carrots") == "Opened: one pint of carrots."
    assert "There are no jars of" in cook.say("we opened a jar of peaches")


def test_without_a_record_the_shelf_is_not_guessed(cook):
    assert cook.say("what's on the shelf") == "I can't read the shelf list now."


def test_an_empty_shelf_is_told_as_such(make):
    assert make(pantry=Shelf()).say("what's on the shelf") == "The shelf list is empty."


def test_planning_says_ranges_as_ranges(cook):
    answer = cook.say("how many quarts will twenty eight pounds of green beans make")
    assert "eleven to eighteen quarts" in answer


def test_planning_asks_for_food_and_jar(cook):
    assert cook.say("i have twenty pounds of beans").startswith("Which one:")
    assert "Which jars" in cook.bare("lima beans")
    assert "pints" in cook.bare("pints")


def test_a_choice_asked_again_keeps_its_names_and_takes_what_comes_later_first(cook):
    asked = cook.bare("how long for pints of corn", typed=True)
    assert cook.bare("hot pack", typed=True) == asked
    assert cook.bare("six", typed=True).endswith(asked)
    assert cook.bare("whole kernel corn", typed=True) == (
        "Pints of whole kernel corn, hot pack, at nine hundred feet: fifty five minutes at eleven pounds pressure"
        " on a dial gauge that reads true or fifty five minutes at ten pounds pressure on a weighted gauge."
    )


@pytest.mark.parametrize(
    ("group", "answer", "food"),
    [
        ("salsa", "the slicing tomatoes", "tomato_salsa_slicing"),
        ("salsa", "tomato paste", "tomato_paste_salsa"),
        ("salsa", "the green chile one", "tomato_green_chile_salsa"),
        ("dill pickles", "quick ones", "dill_pickles_quick"),
        ("dill pickles", "low salt", "dill_pickles_reduced_sodium"),
        ("spaghetti sauce", "no meat", "spaghetti_sauce_no_meat"),
        ("strawberry jam", "with pectin", "jam_jelly_pectin"),
        ("rabbit", "boneless", "chicken_boneless"),
        ("beans", "green", "snap_beans"),
        ("relish", "corn", "corn_relish"),
        ("cantaloupe", "cantaloupe", None),
        ("pickles", "dill", None),
        ("spaghetti sauce", "no", None),
    ],
)
def test_of_several_foods_a_typed_answer_names_one_by_what_tells_it_apart(cook, group, answer, food):
    cook.bare(f"start seven pints of {group}", typed=True)
    cook.bare(answer, typed=True)
    assert cook.talk.question.values["food"] == food


def test_a_question_of_a_plan_is_asked_under_no_report(cook):
    cook.run(*cook.BEANS)
    assert "Which one" in cook.say("i have twenty pounds of apples")
    assert "Which one" not in cook.say("seven jars packed")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("what will twenty pounds of chile salsa make", "and four cups of vinegar, five percent, never less."),
        (
            "what will twenty pounds of carrots make",
            "the last after two hours and twenty five minutes to three hours and forty",
        ),
        (
            "what will forty pounds of crushed tomatoes make",
            "thirty tablespoons of bottled lemon juice or seven and a half",
        ),
        (
            "what will six pounds of carrots make",
            "Packing counts thirty minutes to forty five minutes, common practice",
        ),
    ],
)
def test_a_plan_tells_lids_acid_recipe_and_when_the_loads_are_out(cook, asked, told):
    said = cook.run(asked, "> pints" if "salsa" in asked else "> quarts")
    assert told in said
    assert " lids" in said


@pytest.mark.parametrize("asked", ["can i can honey", "how do i can honey"])
def test_a_food_that_is_also_a_word_for_somebody_is_refused_by_name(cook, asked):
    assert cook.bare(asked, typed=True).startswith("I have no tested process for honey")


@pytest.mark.parametrize(
    "asked", ["when do i put in the lemon juice", "when does the acid go in", "how much lemon juice"]
)
def test_when_its_acid_goes_in_is_told_of_the_load(cook, asked):
    cook.run("start seven pints of figs hot pack in boiling water", "> yes")
    assert cook.bare(asked, typed=True).endswith("It goes into the jar before the figs.")


def test_lemon_juice_is_no_juice_to_choose_among(cook):
    cook.run("start seven pints of figs hot pack in boiling water", "> yes")
    assert "Never leave it out" in cook.bare("can i leave out some of the lemon juice", typed=True)
    assert cook.talk.question is None


def test_a_food_of_several_kinds_is_the_kind_that_is_in_the_load(cook):
    cook.run("start seven quarts of vegetable soup hot pack in canner one", "> yes")
    assert "It needs a pressure canner" in cook.bare("how long do i boil the soup", typed=True)


def test_a_plan_is_of_what_the_food_is_for(cook):
    cook.bare("i have twenty five pounds of cabbage for sauerkraut", typed=True)
    assert "will make nine quarts of sauerkraut" in cook.bare("quarts", typed=True)


def test_after_the_hold_the_record_answers_which_pressure_there_is(holding):
    holding.run(*(5, "pressure is eleven") * 4, 5.1, "heat is off")
    told = holding.say("what pressure do i need")
    assert told.endswith("you reported eleven. Zero wasn't reported. Leave the lid and the weight on.")
    holding.run(46, "gauge is at zero")
    assert holding.say("what pressure do i need").startswith("By your report it is at zero.")


def test_a_count_that_is_under_way_answers_how_many(counting):
    assert counting.say("what's the count") == "Seven quarts loaded."
    counting.run("six sealed")
    assert counting.say("what's the count") == "Six sealed and zero failed so far. That isn't logged yet."
