"""Where the acid of a food goes, as the guide prints it: into every jar, into its recipe, or made by a ferment."""

from dataclasses import replace

import pytest

from kitchenvoice.dialogue.step_words import words_of
from kitchenvoice.language import load_language
from kitchenvoice.process import Load, Process, Stage, fold, step_of, steps_of
from kitchenvoice.reference.details import acid_for
from kitchenvoice.reference.library import product, product_ids

BY_THE_JAR = {
    "asian_pears": "2:20",
    "crab": "5:9",
    "figs": "2:14",
    "tomatillos": "3:13",
    "tomato_juice": "3:5",
    "tomato_sauce": "3:5",
    "tomato_vegetable_juice": "3:5",
    "tomatoes_crushed": "3:5",
    "tomatoes_whole_juice": "3:5",
    "tomatoes_whole_no_liquid": "3:5",
    "tomatoes_whole_water": "3:5",
}
"""The only foods of guides 2 to 7 whose acid is printed by the jar, with the page."""
FERMENTS = {"dill_pickles_fermented": "6:7", "sauerkraut": "6:8"}
OF_SOME_FRUITS = {"jam_no_pectin": "7:6"}
SOUR = ("vinegar", "lemon", "citric")


def asks_for_acid(food, acid, *, brief):
    process = Process(method="boiling-water", minutes=20, acid=acid.text, acid_in=acid.goes)
    step = next((each for each in steps_of(Stage.PACK, process) if each.id == "acid"), None)
    if step is None:
        return ""
    named = {"food": food, "food_name": food, "pack": "hot", "jar": "pint", "canner_name": "", "planned": 7}
    load = Load(id=1, number=1, canner=0, process=process, opened_t=0.0, stage=Stage.PACK, step="acid", **named)
    assert step_of(load) is step
    return words_of(load_language("en"), load, step, brief=brief)


def test_the_acid_goes_where_the_guide_prints_it(every):
    def check(food):
        acid = acid_for(product(food).acid, "pint")
        where = "jar" if food in BY_THE_JAR else "ferment" if food in FERMENTS else "recipe"
        assert acid.goes == ("pot" if food in OF_SOME_FRUITS else where)
        printed = {**BY_THE_JAR, **FERMENTS}.get(food)
        assert printed is None or any(f"Guide {printed}" in source for source in acid.source)

    every(check, [food for food in product_ids() if product(food).acid])


def test_every_sour_line_that_a_recipe_must_have_is_in_its_acid(every):
    """Only where less of it is forbidden, not where it is for taste."""

    def check(food):
        needed = [
            each.what.split(",")[0]
            for recipe in product(food).recipes
            for each in recipe.ingredients
            if each.keep in ("never_less", "as_printed") and any(word in each.what for word in SOUR)
        ]
        acid = product(food).acid
        assert not needed or acid is not None
        if acid is not None and acid.kind != "per_jar":
            assert not [what for what in needed if what not in acid.recipe and food not in OF_SOME_FRUITS]

    every(check, product_ids())


def test_the_step_asks_for_the_acid_where_it_goes_and_only_there(every):
    def check(food):
        acid = acid_for(product(food).acid, "pint")
        for brief in (False, True):
            said = asks_for_acid(food, acid, brief=brief)
            assert ".." not in said
            if food in OF_SOME_FRUITS:
                assert said == ""
            elif food in BY_THE_JAR:
                assert "every jar" in said
            else:
                assert acid.recipe in said
                assert "jar" not in said
                assert ("ferment" in said.lower()) is (food in FERMENTS)

    every(check, [food for food in product_ids() if product(food).acid])


@pytest.mark.parametrize(
    ("start", "asked", "told"),
    [
        ("start nine pints of bread and butter pickles hot pack", "four cups of vinegar", "in the recipe in full"),
        ("start seven quarts of sauerkraut hot pack", "is it fully fermented", "made by a full ferment"),
    ],
)
def test_a_recipe_is_asked_for_its_acid_and_no_jar_is(cook, start, asked, told):
    cook.run(start, "> yes")
    assert asked in cook.to("acid")
    cook.say("jars are in")
    assert told in cook.said[-1]
    assert told in cook.bare("no")
    assert cook.load.stage == "pack"
    assert not any("every jar" in text for text in cook.said)


def test_a_recipe_without_its_acid_is_so_in_every_jar_and_nobody_is_asked_in_how_many(cook):
    cook.run("start nine pints of bread and butter pickles hot pack", "> yes", "nine jars packed", "jars are in")
    cook.run("> yes", "done", "heat is on", "full boil", 11, "heat is off", 5.1)
    assert "How many" not in cook.say("i forgot the acid")
    assert cook.load.unfit == 9


WRONG_ACID = (
    "one jar has none", "i forgot it in one", "i missed one", "it was water", "it was the wrong bottle", "i used half",
    "i used lime", "i used teaspoons instead of tablespoons", "one didn't get any", "the last one has none",
    "i skipped two jars", "i left it out of one", "the juice was old", "i used fresh lemons", "that was plain water",
)  # fmt: skip


@pytest.mark.parametrize("line", WRONG_ACID)
@pytest.mark.parametrize("there", [(), ("done", "heat is on")])
def test_what_was_wrong_with_the_acid_after_its_yes_starts_no_time(cook, line, there):
    cook.run("start seven quarts of crushed tomatoes hot pack in boiling water", "> yes", "seven jars packed")
    cook.run("jars are in", "> yes", *there)
    cook.bare(line, typed=True)
    assert "acid" not in cook.load.checked
    cook.run("done", "heat is on", 4, "full boil", 1)
    assert cook.load.holds == ()


def test_a_load_of_an_older_record_asks_by_the_jar(cook):
    cook.run("start nine pints of figs hot pack", "> yes")
    started = next(event for event in cook.events if event.kind == "load_start")
    assert started.data["acid_in"] == "jar"
    older = {name: value for name, value in started.data.items() if name != "acid_in"}
    (load,) = fold([replace(started, data=older)]).loads
    assert load.process == cook.load.process


@pytest.mark.parametrize(
    "filled",
    ["all packed", "all of them are packed", "they're all filled", "all nine are filled", "ready for the canner"],
)
def test_jars_told_filled_tell_nothing_of_the_acid(make, filled):
    cook = make()
    cook.run("start nine pints of salsa with paste tomatoes hot pack in boiling water", "> yes")
    cook.to("acid")
    cook.bare(filled, typed=True)
    assert (cook.load.packed, "acid" in cook.load.checked) == (9, False)
    assert "the acid" in cook.say("jars are in")


def test_all_done_is_of_the_acid_where_that_is_asked(make):
    cook = make()
    cook.run("start nine pints of salsa with paste tomatoes hot pack in boiling water", "> yes")
    cook.to("acid")
    cook.bare("that's all done", typed=True)
    assert "acid" in cook.load.checked
    assert cook.bare("is the acid in", typed=True).startswith(
        "You told me that the acid is in. How much it was I can't"
    )


@pytest.mark.parametrize(
    "told", ["yes all of the lemon juice went in", "i put the lemon juice in", "the acid is in there"]
)
def test_acid_told_in_is_its_report_where_that_is_asked_and_none_before(make, told):
    cook = make()
    cook.run("start seven pints of figs hot pack in boiling water", "> yes")
    cook.bare(told, typed=True)
    assert "acid" not in cook.load.checked
    cook.to("acid")
    cook.bare(told, typed=True)
    assert "acid" in cook.load.checked
    assert not cook.load.doubts


@pytest.mark.parametrize("told", ["i put half the lemon juice in", "i forgot to put the lemon juice in"])
def test_acid_told_short_is_no_report_of_it(make, told):
    cook = make()
    cook.run("start seven pints of figs hot pack in boiling water", "> yes")
    cook.to("acid")
    cook.bare(told, typed=True)
    assert "acid" not in cook.load.checked


JARS, SALSA = "start twelve half pints of crab in canner two", "start nine pints of salsa with paste tomatoes hot pack"


@pytest.mark.parametrize(
    ("start", "said", "told"),
    [
        (JARS, "lemon went in every jar", True),
        (JARS, "i put lemon in every jar", True),
        (JARS, "there's lemon juice in every jar", True),
        (JARS, "they've all got lemon", True),
        (JARS, "lemon went in", False),
        (JARS, "lemon went in half of the jars", False),
        (JARS, "lemon didn't go in every jar", False),
        (JARS, "all in", False),
        (JARS, "every jar is filled", False),
        (SALSA, "all of the lemon juice went in", True),
        (SALSA, "lemon went in every jar", False),
    ],
)
def test_the_acid_is_told_in_the_words_of_its_own_question(cook, start, said, told):
    cook.run(start, *(["> boiling water"] if start == SALSA else []), "> yes")
    cook.to("acid")
    cook.bare(said, typed=True)
    done = [each for each in cook.events if each.kind == "step_done" and each.data.get("step") == "acid"]
    assert bool(done) is told


@pytest.mark.parametrize(
    ("said", "step"), [("jars boiled", "fill"), ("boiled ten minutes", "fill"), ("they haven't boiled", "sterilize")]
)
def test_that_the_empty_jars_were_boiled_is_told_in_the_words_of_its_question(cook, said, step):
    cook.run("start eight half pints of jam with pectin hot pack", "> yes", "done", "clear")
    assert cook.load.step == "sterilize"
    cook.bare(said, typed=True)
    assert cook.load.step == step
    assert not cook.load.doubts


@pytest.mark.parametrize(
    ("load", "told"),
    [
        ("start seven quarts of asian pears hot pack", "Only lemon juice is printed"),
        ("start seven quarts of figs hot pack in boiling water", "a half teaspoon of citric acid"),
        ("start nine pints of crab", "one teaspoon of citric acid"),
    ],
)
def test_vinegar_is_not_offered_where_none_is_printed(cook, load, told):
    cook.run(load, "> yes")
    said = cook.bare("can i use vinegar instead of lemon juice", typed=True)
    assert said.startswith("No vinegar is printed for it: ")
    assert told in said


def test_vinegar_in_tomatoes_is_told_by_its_spoons(cook):
    cook.run("start seven quarts of crushed tomatoes hot pack in boiling water", "> yes")
    assert "four tablespoons of five percent" in cook.bare("can i use vinegar instead of lemon juice", typed=True)


def test_what_makes_a_ferment_sour_is_told_before_it_is_confirmed(cook):
    cook.run("start five quarts of sauerkraut raw pack", "> yes")
    assert "fully fermented first: three to four weeks" in cook.to("bit_1")
    assert "Was all of it in" in cook.to("acid")
    assert cook.say("done").startswith("Fill firmly and cover with juice. Say done.")
