"""From what is on hand to jars and loads, and when they will be done."""

import contextlib
import json
import math
from fractions import Fraction

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.cli.plan import plan_command
from kitchenvoice.errors import BadInput
from kitchenvoice.reference import Quantity, day_plan, foods, lookup, parse_have, plan
from kitchenvoice.reference.library import product
from kitchenvoice.reference.measures import Span
from kitchenvoice.reference.recipes import amounts

JARS = ["half-pint", "pint", "pint-and-half", "quart", "half-gallon"]
RAW_QUARTS = {"pack": "raw", "method": "pressure", "gauge": "dial", "altitude_ft": 100}


@pytest.mark.parametrize(
    ("said", "amount", "unit"),
    [
        ("28 lb", 28, "pound"),
        ("28lb", 28, "pound"),
        ("17.5 pounds", Fraction("17.5"), "pound"),
        ("2 bushels", 2, "bushel"),
        ("a bushel", 1, "bushel"),
        ("half a bushel", Fraction(1, 2), "bushel"),
        ("a half bushel", Fraction(1, 2), "bushel"),
        ("2 1/2 bushels", Fraction(5, 2), "bushel"),
        ("two and a half bushels", Fraction(5, 2), "bushel"),
        ("2½ bushels", Fraction(5, 2), "bushel"),
        ("three quarters of a peck", Fraction(3, 4), "peck"),
        ("1/2 peck", Fraction(1, 2), "peck"),
        ("12 oz", 12, "ounce"),
        ("10 kg", 10, "kilogram"),
        ("3 crates", 3, "crate"),
        ("one lug", 1, "lug"),
        ("1 bag", 1, "bag"),
        ("14 jars", 14, "jar"),
        ("14 quarts", 14, "quart"),
        ("2 rows of 7 jars", 14, "jar"),
        ("two rows of seven", 14, "jar"),
        ("three rows of six pints", 18, "pint"),
        ("12 half pints", 12, "half_pint"),
        ("a half-gallon", 1, "half_gallon"),
        ("half a pint", Fraction(1, 2), "pint"),
    ],
)
def test_an_amount_is_understood(said, amount, unit):
    assert parse_have(said) == Quantity(Fraction(amount), unit)


@pytest.mark.parametrize(
    "said",
    [
        "",
        "lb",
        "28",
        "lots of pounds",
        "-3 lb",
        "0 lb",
        "1/0 lb",
        "nan lb",
        "1e9 lb",
        "2 3 lb",
        "half half lb",
        "9999999 lb",
        "3 pots",
    ],
)
def test_an_amount_that_is_not_understood_says_how_to_say_it(said):
    with pytest.raises(BadInput, match="like"):
        parse_have(said)


@given(st.text(max_size=40))
def test_an_amount_is_understood_or_asked_for_again(said):
    with contextlib.suppress(BadInput):
        assert parse_have(said).amount > 0


@pytest.mark.parametrize(
    ("food", "have", "jar", "low", "high", "typical"),
    [
        ("green beans", "28 lb", "quart", 11, 18, 14),
        ("green beans", "1 bushel", "quart", 12, 20, 15),
        ("green beans", "30 lb", "quart", 12, 20, 15),
        ("green beans", "2 pecks", "quart", 6, 10, 7),
        ("green beans", "1 bushel", "pint", 24, 40, 30),
        ("tomato sauce", "1 bushel", "quart", 7, 12, None),
        ("quick dill pickles", "8 lb", "pint", 7, 9, None),
        ("bread and butter pickles", "6 lb", "pint", 8, 8, None),
        ("pumpkin", "16 lb", "quart", 7, 7, 7),
        ("cherries", "400 oz", "quart", 8, 12, 10),
    ],
)
def test_a_range_stays_a_range(food, have, jar, low, high, typical):
    jars = plan(food, have, jar, 7).jars
    assert jars is not None
    assert (jars.low, jars.high, jars.typical) == (low, high, typical)


def test_kilograms_are_converted_exactly():
    pounds, kilograms = plan("carrots", "100 lb", "quart", 7), plan("carrots", "45.359237 kg", "quart", 7)
    assert pounds.jars == kilograms.jars
    grams = plan("carrots", "45359.237 grams", "quart", 7)
    assert grams.jars == pounds.jars


@pytest.mark.parametrize(
    ("food", "have"),
    [
        ("asparagus", "1 bushel"),
        ("carrots", "1 crate"),
        ("pumpkin", "1 peck"),
        ("ground beef", "10 lb"),
        ("apple juice", "1 bushel"),
        ("tuna", "5 lb"),
    ],
)
def test_what_has_no_published_yield_is_refused(food, have):
    made = plan(food, have, "pint", 7)
    assert made.status == "refused"
    assert made.jars is None
    assert "No yield" in (made.reason or "")


def test_a_jar_without_a_process_is_not_planned():
    made = plan("peppers", "25 lb", "quart", 7)
    assert made.status == "refused"
    assert made.source


def test_missing_inputs_are_asked_for_in_order():
    assert plan(None).missing == ("food", "have", "jar", "capacity")
    assert plan("carrots").missing == ("have", "jar", "capacity")
    assert plan("beans", "28 lb", "quart", 7).missing == ("food",)
    assert plan("carrots", "28 lb", "quart").missing == ("capacity",)
    assert plan("carrots", "28 lb", "quart", 0).missing == ("capacity",)
    assert plan("carrots", "28 lb", "bucket", 7).missing == ("jar",)


def test_the_last_load_is_said():
    made = plan("green beans", "28 lb", "quart", 7)
    assert made.loads is not None
    assert made.last_load is not None
    assert (made.loads.low, made.loads.high, made.loads.typical) == (2, 3, 2)
    assert (made.last_load.at_fewest, made.last_load.at_most, made.last_load.at_typical) == (4, 4, 7)
    assert "The fewest jars, 11: 1 full load and a last one of 4." in made.notes
    assert "The most jars, 18: 2 full loads and a last one of 4." in made.notes


def test_salt_lids_and_acid_follow_the_jars():
    made = plan("whole tomatoes in water", "42 lb", "quart", 7)
    assert made.jars is not None
    assert made.salt_tsp is not None
    assert made.lemon_juice_tbsp is not None
    assert made.citric_acid_tsp is not None
    assert made.lids == made.jars
    assert made.salt_tsp.high == made.jars.high
    assert made.lemon_juice_tbsp.high == 2 * made.jars.high
    assert made.citric_acid_tsp.high == made.jars.high / 2
    assert "mu_gh1456" in made.source


@given(
    st.sampled_from([food.id for food in foods()]),
    st.integers(1, 4_000),
    st.sampled_from(["lb", "oz", "kg", "bushels", "pecks", "crates", "lugs", "bags"]),
    st.sampled_from(JARS),
    st.integers(1, 40),
)
@settings(max_examples=300, deadline=None)
def test_a_plan_always_adds_up(food, tenths, unit, jar, capacity):
    made = plan(food, f"{tenths / 10} {unit}", jar, capacity)
    assert made.source
    if made.status == "refused":
        assert made.reason
        assert made.jars is None
        return
    assert made.jars is not None
    assert made.loads is not None
    assert made.last_load is not None
    assert 0 <= made.jars.low <= made.jars.high
    if made.jars.typical is not None:
        assert made.jars.low <= made.jars.typical <= made.jars.high
    for jars, loads, last in (
        (made.jars.low, made.loads.low, made.last_load.at_fewest),
        (made.jars.high, made.loads.high, made.last_load.at_most),
    ):
        assert loads == math.ceil(jars / capacity)
        assert jars == (loads - 1) * capacity + last if jars else last == 0
        assert last <= capacity
    json.dumps(made.as_dict(), allow_nan=False)


def test_a_pressure_day_is_built_from_published_figures_only():
    day = plan("carrots", "35 lb", "quart", 7, **RAW_QUARTS).day
    assert day is not None
    stages = {stage.name: (stage.low, stage.high) for stage in day.stages}
    assert stages == {
        "pack": (30, 45),
        "heat up": (12, 15),
        "vent": (10, 10),
        "come up": (3, 5),
        "hold": (30, 30),
        "cool": (20, 60),
        "wait before the lid": (10, 10),
    }
    assert {stage.name for stage in day.stages if not any("Guide" in each for each in stage.source)} == {"pack"}
    assert [(w.ends_low, w.ends_high) for w in day.windows] == [(115, 175), (230, 350), (345, 525)]
    assert "Packing a load, 30 to 45 minutes, is common practice, with no source" in day.note
    assert "estimate for planning" in day.note
    assert "gauge at zero" in day.note


def test_two_canners_take_turns():
    day = plan("carrots", "35 lb", "quart", 7, canners=2, **RAW_QUARTS).day
    assert day is not None
    assert [(w.load, w.canner, w.starts_low) for w in day.windows] == [(1, 1, 0), (2, 2, 30), (3, 1, 115)]


def test_one_cook_packs_one_load_at_a_time():
    answer = lookup("green beans", jar="quart", **RAW_QUARTS)
    made = day_plan(answer, 4, 4, pack_minutes=(30, 45), heat_minutes=(15, 25))
    assert [(w.starts_low, w.starts_high) for w in made.windows] == [(0, 0), (30, 45), (60, 90), (90, 135)]


def test_a_boiling_water_day_holds_and_rests():
    answer = lookup("peaches", pack="hot", jar="quart", method="boiling-water", altitude_ft=0)
    day = day_plan(answer, 2)
    assert day is not None
    assert [(stage.name, stage.low) for stage in day.stages] == [
        ("pack", 30),
        ("heat up", 20),
        ("hold", 25),
        ("rest", 5),
    ]
    assert day.windows[-1].ends_high == 210


def test_alternatives_make_the_hold_a_range():
    answer = lookup("tomato sauce", pack="hot", jar="pint", method="pressure", gauge="dial", altitude_ft=0)
    day = day_plan(answer, 1)
    assert day is not None
    hold = next(stage for stage in day.stages if stage.name == "hold")
    assert (hold.low, hold.high) == (15, 20)


@pytest.mark.parametrize(("loads", "canners"), [(0, 1), (101, 1), (1, 5), (1, 0)])
def test_no_day_for_what_is_no_day(loads, canners):
    assert day_plan(lookup("carrots", jar="pint", **RAW_QUARTS), loads, canners) is None


def test_no_day_without_a_process():
    assert day_plan(lookup("carrots"), 1) is None
    assert plan("carrots", "35 lb", "quart", 7).day is None


def test_jars_on_hand_are_planned_as_many_as_they_are():
    made = plan("green beans", "two rows of eight quarts", "quart", 7)
    assert (made.jars.low, made.jars.high, made.loads.low, made.last_load.at_most) == (16, 16, 3, 2)


@pytest.mark.parametrize("have", ["14 pints", "2.5 jars"])
def test_jars_of_another_size_or_parts_of_jars_are_not_counted(have):
    assert plan("green beans", have, "quart", 7).status == "refused"


def test_the_cooks_own_packing_and_heating_times_make_the_windows_of_each_stage():
    answer = lookup("green beans", jar="quart", **RAW_QUARTS)
    made = day_plan(answer, 3, 2, pack_minutes=(30, 45), heat_minutes=(15, 25))
    first, third = made.windows[0], made.windows[2]
    assert [stage.name for stage in first.stages][:4] == ["pack", "heat up", "vent", "come up"]
    assert (first.stages[2].starts_low, first.stages[2].starts_high) == (45, 70)
    assert (first.stages[-1].ends_low, first.stages[-1].ends_high) == (first.ends_low, first.ends_high)
    assert (third.stages[0].starts_low, third.stages[0].starts_high) == (first.ends_low, first.ends_high)
    assert "your own figure" in made.source


@pytest.mark.parametrize(
    ("given", "heat", "source"),
    [
        ({"food": "salmon", "pack": "raw", "method": "pressure", "gauge": "dial"}, (20, 20), "Guide 5:12"),
        ({"food": "peaches", "pack": "hot", "method": "boiling-water"}, (20, 30), "Guide 1:17"),
        ({"food": "peaches", "pack": "hot", "method": "atmospheric-steam"}, (15, 30), "no source"),
    ],
)
def test_heating_up_is_that_of_the_food_or_the_canner_and_says_where_from(given, heat, source):
    made = day_plan(lookup(jar="quart", altitude_ft=0, **given), 1)
    stage = made.stages[1]
    assert (stage.name, stage.low, stage.high) == ("heat up", *heat)
    assert source in str(stage.source)
    assert ("no source: give" in made.note) and (("Heating up" in made.note) is ("no source" in source))


def test_too_little_for_one_jar_is_said_in_words():
    made = plan("carrots", "8 oz", "quart", 7)
    assert made.jars is not None
    assert (made.status, made.jars.high) == ("ok", 0)
    assert made.text == "8 ounces of carrots will not fill one quart."
    assert not any("jars, 0" in note for note in made.notes)
    assert plan("carrots", "half a pound", "pint", 9).text == "Half a pound of carrots will not fill one pint."
    some = plan("carrots", "2 1/2 lb", "quart", 7)
    assert some.text == "2.5 pounds of carrots will make 0 to 1 quart, on average 1; that is 0 to 1 canner load."
    assert some.notes[:2] == ("The fewest jars, 0: not one full jar.", "The most jars, 1: one load of 1.")


@pytest.mark.parametrize(
    ("have", "split"),
    [
        ("2 rows of 7 jars", "14 jars: 2 full loads."),
        ("15 jars", "15 jars: 2 full loads and a last one of 1."),
        ("3 jars", "3 jars: one load of 3."),
        ("1 jar", "1 jar: one load of 1."),
    ],
)
def test_counted_jars_are_split_into_loads_without_talk_of_yields(have, split):
    assert plan("green beans", have, "quart", 7).notes == (
        split,
        "Jars already filled must not wait for a second load.",
    )


def test_thousands_may_be_parted_by_a_comma():
    assert parse_have("1,250 lb") == parse_have("1250 lb")
    with pytest.raises(BadInput):
        parse_have("1,25 lb")


def test_what_a_plan_still_needs_is_what_it_lists_as_missing():
    made = plan(None, "28 lb", "pint", 9)
    assert (made.missing, made.reason) == (("food",), "Still needed: the food.")
    asked = plan("beans", "28 lb", "pint", 9)
    assert asked.missing == ("food",)
    assert asked.reason.startswith("Which beans")


def test_where_no_yield_is_printed_the_refusal_says_how_to_go_on():
    assert plan("green beans", "1 crate", "pint", 9).reason.endswith("Weigh it and say the pounds.")
    assert plan("chicken with bones", "10 lb", "quart", 7).reason.endswith("Count the jars instead.")
    assert plan("chicken with bones", "10 jars", "quart", 7).status == "ok"


def test_a_misspelt_food_is_not_planned():
    made = plan("grean beans", "28 lb", "quart", 7)
    assert (made.status, made.jars) == ("refused", None)
    assert made.reason.endswith("Did you mean green beans?")


@pytest.mark.parametrize(
    ("food", "have", "goes_by"),
    [
        ("jam without pectin", "5 lb", "4 cups of crushed fruit"),
        ("fruit cocktail", "3 lb", "3 pounds of peaches and 3 pounds of pears and 1.5 pounds of green grapes"),
        ("mango salsa", "2 lb", "6 cups of unripe mango"),
    ],
)
def test_a_recipe_that_does_not_go_by_weight_says_what_it_goes_by(food, have, goes_by):
    made = plan(food, have, "half-pint", 7)
    assert made.status == "refused"
    assert goes_by in made.reason
    assert "batches" in made.reason


@pytest.mark.parametrize(
    ("food", "have", "jar", "what", "amount", "unit", "keep"),
    [
        ("pickled beets", "14 lb", "pint", "vinegar, 5 percent", 8, "cup", "never_less"),
        ("pickled beets", "14 lb", "pint", "sugar", 4, "cup", "free"),
        ("chile salsa", "10 lb", "pint", "onions", 2, "lb", "never_more"),
        ("sauerkraut", "50 lb", "quart", "canning salt", 1.5, "cup", "never_less"),
        ("pickled asparagus", "7 lb", "twelve-ounce", "white vinegar, 5 percent", 3, "cup", "never_less"),
        ("pickled asparagus", "10 lb", "pint", "white vinegar, 5 percent", 4.5, "cup", "never_less"),
        ("apple pie filling", "1 batch", "quart", "bottled lemon juice", 0.75, "cup", "never_less"),
        ("apple pie filling", "3 quarts", "quart", "bottled lemon juice", 6, "tbsp", "never_less"),
        ("peach salsa", "2 batches", "half-pint", "cider vinegar, 5 percent", 2.5, "cup", "never_less"),
    ],
)
def test_a_plan_has_what_the_recipe_takes(food, have, jar, what, amount, unit, keep):
    made = plan(food, have, jar, 7)
    found = {part.what: part for part in made.recipe}[what]
    assert (found.low, found.high, found.unit, found.keep) == (amount, amount, unit, keep)
    assert any(source.startswith("aib539_2015 (Guide") for source in made.source)


@given(st.fractions(min_value=Fraction(1, 3), max_value=40, max_denominator=7))
def test_acid_is_never_rounded_down_nor_vegetables_up(batches):
    made = plan("chile salsa", Quantity(batches, "batch"), "pint", 9)
    parts = {part.what: part for part in made.recipe}
    assert Fraction(str(parts["vinegar, 5 percent"].low)) >= batches
    assert Fraction(str(parts["chile peppers"].high)) <= 2 * batches


@pytest.mark.parametrize("jars", [3, 14])
def test_what_jars_take_is_in_one_proportion_so_no_reading_across_has_too_little_acid(jars):
    """Nothing may be changed in proportion to the acid (Guide 3 and 6): of a range of yields all goes by one."""
    seen = 0
    for item in (product(food.id) for food in foods()):
        for recipe in item.recipes:
            printed = {each.what: each for each in recipe.ingredients}
            have, span = Quantity(Fraction(jars), "pint"), Span(jars, jars)
            for part in amounts(recipe, have, span, "pint") if recipe.jars else ():
                seen += 1
                assert part.low == part.high or printed[part.what].most, (item.id, part)
    assert seen > 100


def test_the_plan_of_a_recipe_names_what_there_is_of():
    assert plan("pickled beets", "14 lb", "pint", 7).text == (
        "14 pounds of beets will make 16 pints of pickled beets; that is 3 canner loads."
    )


@pytest.mark.parametrize("food", [food.id for food in foods()])
def test_every_food_can_be_planned_from_jars(food):
    jar = next(item.jars[-1] for item in foods() if item.id == food)
    made = plan(food, "14 jars", jar, 7)
    assert (made.status, made.jars.low, made.loads.high, made.lids.low) == ("ok", 14, 2, 14)
    assert made.source


@pytest.mark.parametrize("words", ["12 half pints jam without pectin", "12 half-pints jam without pectin"])
def test_half_pints_are_counted_as_jars(words):
    told = CliRunner().invoke(plan_command, [*words.split(), "--capacity", "9"]).output
    assert told.startswith("12 half-pints of jam without pectin: that is 2 canner loads.")


def test_a_jar_of_two_words_is_no_amount_of_its_own():
    told = CliRunner().invoke(plan_command, ["2 batches jam without pectin half pints", "--capacity", "9"]).output
    assert told.startswith("2 batches of jam without pectin will make 6 to 14 half-pints")


@pytest.mark.parametrize(
    ("line", "made"),
    [
        ("2 batches strawberry jam without pectin", "6 to 8 half-pints"),
        ("2 batches of peach jam without pectin", "12 to 14 half-pints"),
        ("2 batches of jam without pectin", "6 to 14 half-pints"),
    ],
)
def test_a_recipe_is_called_by_what_the_guide_counts_to_it(line, made):
    told = CliRunner().invoke(plan_command, [*line.split(), "half", "pints", "--capacity", "9"]).output
    assert made in told and "carried over by volume" not in told
