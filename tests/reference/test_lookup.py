"""What the look-up asks for, refuses and adds, one sentence a test."""

import itertools
import math
import re
from decimal import Decimal

import pytest

from kitchenvoice.reference import Answer, foods, lookup
from kitchenvoice.reference.library import product, product_ids

PRESSURE = {"pack": "hot", "jar": "pint", "method": "pressure", "gauge": "dial", "altitude_ft": 500}
BOILING = {"pack": "hot", "jar": "pint", "method": "boiling-water", "altitude_ft": 500}
LOW = [food.id for food in foods() if food.acidity == "low"]


@pytest.mark.parametrize("field", ["pack", "jar", "method", "gauge", "altitude_ft"])
@pytest.mark.parametrize("empty", [None, "", "   "])
def test_nothing_is_assumed_for_a_missing_field(field, empty):
    answer = lookup("carrots", **{**PRESSURE, field: empty})
    assert answer.status == "incomplete"
    assert answer.missing == (field,)
    assert answer.minutes is None


def test_missing_fields_are_listed_in_the_order_to_ask():
    assert lookup(None).missing == ("food", "pack", "jar", "method", "altitude_ft")
    assert lookup("carrots").missing == ("pack", "jar", "method", "altitude_ft")
    assert lookup("carrots", method="pressure").missing == ("pack", "jar", "gauge", "altitude_ft")
    assert lookup("peaches", method="boiling water").missing == ("pack", "jar", "altitude_ft")


def test_choices_say_what_the_table_offers():
    asked = lookup("beets", method="pressure")
    assert asked.choices["pack"] == ("hot",)
    assert asked.choices["gauge"] == ("dial", "weighted")
    assert "quart" not in lookup("peppers").choices["jar"]
    assert lookup("apple juice").choices["jar"][-1] == "half-gallon"
    assert lookup("carrots").choices["method"] == ("pressure",)


def test_a_gauge_is_not_asked_for_in_boiling_water():
    answer = lookup("peaches", **BOILING)
    assert answer.status == "ok"
    assert answer.gauge is None
    assert answer.psi is None


def test_a_low_acid_food_never_gets_a_boiling_water_process(every):
    def check(food, method):
        for pack, jar, altitude in itertools.product(
            ("raw", "hot", None), ("half-pint", "pint", "quart", None), (0, 5_000, None)
        ):
            answer = lookup(food, pack=pack, jar=jar, method=method, altitude_ft=altitude)
            assert answer.status == "refused"
            assert answer.minutes is None

    every(check, itertools.product(LOW, ["boiling-water", "boiling_water", "water bath", "steam canner"]))


@pytest.mark.parametrize(
    ("altitude", "psi"),
    [(0, 11), (-0.5, 11), (2_000, 11), (2_000.0001, 12), (Decimal("2000.5"), 12), ("4000", 12), (8_000, 14)],
)
def test_altitude_is_rounded_up_to_the_next_foot(altitude, psi):
    assert lookup("carrots", **{**PRESSURE, "altitude_ft": altitude}).psi == psi


@pytest.mark.parametrize("altitude", [8_000.001, 8_001, 1e308, 10**400, math.inf])
def test_above_eight_thousand_feet_is_referred_to_the_extension_office(altitude):
    for given in (PRESSURE, BOILING, {**PRESSURE, "gauge": "weighted"}):
        answer = lookup("peaches", **{**given, "altitude_ft": altitude})
        assert answer.status == "refused"
        assert "Extension office" in (answer.reason or "")


@pytest.mark.parametrize("altitude", [-1, -282.0, -math.inf, -(10**400)])
def test_below_sea_level_is_refused(altitude):
    assert lookup("carrots", **{**PRESSURE, "altitude_ft": altitude}).status == "refused"


@pytest.mark.parametrize("altitude", [math.nan, "high up", True, [], Decimal("NaN"), "nan"])
def test_an_altitude_that_is_no_number_is_asked_for_again(altitude):
    answer = lookup("carrots", **{**PRESSURE, "altitude_ft": altitude})
    assert answer.status == "incomplete"
    assert answer.missing == ("altitude_ft",)


def test_half_pints_take_the_pint_process_and_pint_and_a_halfs_the_quart_process(every):
    def check(food):
        for small, large in (("half-pint", "pint"), ("pint-and-half", "quart")):
            rule = product(food).jar(small.replace("-", "_"))
            for method, gauge, pack in itertools.product(
                ("pressure", "boiling-water"), ("dial", "weighted"), ("raw", "hot", "see-procedure")
            ):
                given = {"method": method, "gauge": gauge, "pack": pack, "altitude_ft": 1_500}
                one, other = lookup(food, jar=small, **given), lookup(food, jar=large, **given)
                if rule.use and rule.by_rule:
                    assert (one.status, one.minutes, one.psi) == (other.status, other.minutes, other.psi)
                    assert one.status == "refused" or "aib539_2015 (Guide 1:23)" in one.source
                elif rule.use is None:
                    assert one.status == "refused"

    every(check, [food.id for food in foods()])


@pytest.mark.parametrize("jar", ["500 ml", "1 liter", "1 L", "litre", "750ml", "half liter", "250 ml jars", "gallon"])
def test_metric_and_gallon_jars_are_refused_by_name(jar):
    answer = lookup("carrots", **{**PRESSURE, "jar": jar})
    assert answer.status == "refused"
    assert "etric" in (answer.reason or "") or "gallon" in (answer.reason or "")


def test_half_gallons_are_only_for_apple_and_grape_juice():
    for food in foods():
        answer = lookup(food.id, jar="half gallons", pack="hot", method="boiling-water", altitude_ft=0)
        assert (answer.status == "ok") == (food.id in {"apple_juice", "grape_juice"}), food.id


@pytest.mark.parametrize(
    "appliance",
    [
        "electric multi-cooker",
        "electric_multi_cooker",
        "oven",
        "microwave",
        "dishwasher",
        "open kettle",
        "pressure cooker",
    ],
)
def test_an_appliance_without_a_tested_process_is_refused_by_name(appliance):
    for food in ("carrots", "peaches", "beans", None, "a thing nobody knows"):
        answer = lookup(food, **{**PRESSURE, "method": appliance})
        assert answer.status == "refused"
        assert answer.instead


def test_atmospheric_steam_follows_its_published_rule():
    short = lookup("peaches", **{**BOILING, "method": "atmospheric steam"})
    assert (short.status, short.minutes) == ("ok", lookup("peaches", **BOILING).minutes)
    assert "nchfp_steam" in short.source
    assert any("45 minutes" in caution for caution in short.cautions)
    edge = lookup("tomatoes in water", **{**BOILING, "jar": "quart", "method": "steam", "altitude_ft": 1_000})
    assert (edge.status, edge.minutes) == ("ok", 45)
    beyond = lookup("tomatoes in water", **{**BOILING, "jar": "quart", "method": "steam", "altitude_ft": 1_001})
    assert beyond.status == "refused"


def test_fish_in_quarts_has_a_canner_rule_of_its_own():
    for food in ("fish_quarts", "fish in quarts", "salmon", "halibut"):
        answer = lookup(food, **{**PRESSURE, "pack": "raw", "jar": "quart"})
        assert (answer.minutes, answer.psi) == (160, 11)
        needs = answer.canner
        assert (needs.water_quarts, needs.heat_minutes, needs.vent_minutes, needs.least_minutes) == (3, 20, 10, 30)
        assert "30 minutes" in needs.text
        assert any("160 minutes must be complete" in caution for caution in answer.cautions)


def test_smoked_fish_wants_a_large_canner_and_cool_water():
    needs = lookup("smoked salmon", **{**PRESSURE, "pack": "see procedure"}).canner
    assert (needs.water_quarts, needs.cool, needs.size_quarts) == (4, True, (16, 22))
    assert lookup("carrots", **PRESSURE).canner is None


@pytest.mark.parametrize("food", ["crab", "oysters", "smoked fish", "tuna"])
def test_where_the_guide_prints_no_pack_its_procedure_decides(food):
    asked = lookup(food, **{**PRESSURE, "pack": None})
    assert (asked.missing, asked.choices["pack"]) == (("pack",), ("see-procedure",))
    assert lookup(food, **{**PRESSURE, "pack": asked.choices["pack"][0]}).status == "ok"
    for pack in ("raw", "hot"):
        refused = lookup(food, **{**PRESSURE, "pack": pack})
        assert (refused.status, refused.minutes) == ("refused", None)
        assert "procedure" in refused.reason


@pytest.mark.parametrize(
    ("food", "small", "large"),
    [("clams", 60, 70), ("crab", 70, 80)],
)
def test_half_pints_with_a_row_of_their_own_take_that(food, small, large):
    pack = "hot" if food == "clams" else "see procedure"
    for gauge in ("dial", "weighted"):
        given = {**PRESSURE, "gauge": gauge, "pack": pack}
        assert lookup(food, **{**given, "jar": "half-pint"}).minutes == small
        assert lookup(food, **given).minutes == large
    assert "aib539_2015 (Guide 1:23)" not in lookup(food, **{**PRESSURE, "jar": "half-pint", "pack": pack}).source


def test_twelve_ounce_jars_are_for_the_two_foods_that_print_them():
    offered = {food.id for food in foods() if "twelve-ounce" in food.jars}
    assert offered == {"fish_pints", "pickled_asparagus"}
    assert lookup("salmon", **{**PRESSURE, "pack": "raw", "jar": "12 oz"}).minutes == 100
    assert lookup("pickled asparagus", **{**BOILING, "pack": "raw", "jar": "12-ounce jars"}).minutes == 10


@pytest.mark.parametrize(
    ("food", "pack"),
    [
        ("quick dill pickles", "raw"),
        ("fermented dill pickles", "raw"),
        ("bread and butter pickles", "hot"),
        ("sweet gherkins", "raw"),
        ("fourteen day pickles", "raw"),
        ("quick sweet pickles", "hot"),
        ("zucchini pickles", "hot"),
    ],
)
def test_a_few_pickles_may_be_pasteurized_with_a_thermometer(food, pack):
    answer = lookup(food, pack=pack, jar="pint", method="low-temperature pasteurization")
    assert (answer.status, answer.minutes, answer.water_f, answer.psi) == ("ok", 30, (180, 185), None)
    assert answer.altitude_ft is None  # none was given, none is assumed
    assert "never below 180" in answer.cautions[0]
    assert "thermometer" in answer.cautions[0]
    assert answer.source[0] == "aib539_2015 (Guide 6:5)"


def test_only_those_pickles_may_be_pasteurized():
    allowed = [food.id for food in foods() if product(food.id).pasteurization]
    assert len(allowed) == 7
    for food in foods():
        answer = lookup(food.id, pack=food.packs[0], jar=food.jars[0], method="pasteurization")
        assert (answer.status == "ok") == (food.id in allowed), food.id


@pytest.mark.parametrize(
    ("food", "jar", "pack", "sterile"),
    [
        ("jam without pectin", "half-pint", "hot", True),
        ("apple butter", "pint", "hot", True),
        ("apple butter", "quart", "hot", False),
        ("grape juice", "quart", "hot", True),
        ("grape juice", "half-gallon", "hot", False),
        ("quick sweet pickles", "pint", "hot", True),
        ("quick sweet pickles", "pint", "raw", False),
        ("peach pineapple spread", "pint", "hot", False),
        ("pickled beets", "pint", "hot", False),
    ],
)
def test_jars_are_sterile_where_the_process_is_short(food, jar, pack, sterile):
    answer = lookup(food, jar=jar, pack=pack, method="boiling-water", altitude_ft=0)
    assert answer.sterile_jars is sterile
    assert answer.minutes >= 10 or sterile


@pytest.mark.parametrize(
    ("food", "pack", "first", "then"),
    [
        ("cantaloupe pickles", "hot", 1, 0.5),
        ("peach apple salsa", "hot", 1.25, 0.5),
        ("pickled carrots", "hot", 1, 0.5),
        ("pickled onions", "hot", 1, 0.5),
        ("chayote and pear relish", "hot", 1, 0.5),
        ("low sodium dill pickles", "raw", 0.5, 0.25),
    ],
)
def test_a_headspace_in_two_steps_says_both(food, pack, first, then):
    answer = lookup(food, **{**BOILING, "pack": pack})
    assert (answer.headspace_first_in, answer.headspace_in) == (first, then)
    assert "for the pieces, then liquid to" in answer.headspace_text


def test_baby_food_has_the_headspace_of_its_fruit():
    answer = lookup("baby food", **{**BOILING, "jar": "half-pint"})
    assert (answer.minutes, answer.headspace_in, answer.headspace_text) == (20, None, "that of the fruit itself")


def test_fish_is_settled_by_the_jar_and_asked_about_without_one():
    assert lookup("fish", pack="raw", method="pressure", gauge="dial", altitude_ft=0).missing == ("food", "jar")
    assert lookup("fish", pack="raw", jar="pints", method="pressure", gauge="dial", altitude_ft=0).minutes == 100


def test_bones_settle_the_chicken():
    given = {**PRESSURE, "pack": "raw"}
    assert lookup("chicken", **given).choices["food"] == ("chicken_bone_in", "chicken_boneless")
    assert lookup("chicken", bones=True, **given).minutes == 65
    assert lookup("chicken", bones=False, **given).minutes == 75
    assert lookup("chicken_bone_in", bones=False, **given).status == "refused"


def test_what_tomatoes_are_packed_in_settles_the_tomatoes():
    assert lookup("tomatoes", **BOILING).missing == ("food",)
    assert lookup("tomatoes", medium="water", **BOILING).minutes == 40
    assert lookup("tomatoes", medium="juice", **BOILING).minutes == 85
    assert lookup("tomatoes_whole_water", medium="juice", **BOILING).status == "refused"


@pytest.mark.parametrize(
    ("food", "qualifiers"),
    [
        ("tomatoes in water", {"acid_added": False}),
        ("dried beans in water", {"soaked": False}),
        ("mushrooms", {"wild": True}),
        ("winter squash", {"style": "mashed"}),
        ("sweet potatoes", {"style": "puree"}),
        ("sweet potatoes", {"dry_packed": True}),
        ("peaches", {"variety": "white"}),
        ("carrots", {"phase_of_the_moon": "full"}),
    ],
)
def test_a_particular_that_the_table_does_not_cover_is_refused(food, qualifiers):
    given = BOILING if food in ("tomatoes in water", "peaches") else PRESSURE
    assert lookup(food, **given).status == "ok"
    refused = lookup(food, **given, **qualifiers)
    assert refused.status == "refused"
    assert refused.minutes is None


def test_an_unknown_variety_is_answered_with_a_caution():
    answer = lookup("pears", variety="Seckel", **BOILING)
    assert answer.status == "ok"
    assert any("seckel" in caution for caution in answer.cautions)


def test_a_berry_without_a_hot_pack_is_refused_hot_and_answered_raw():
    assert lookup("raspberries", **BOILING).status == "refused"
    raw = lookup("raspberries", **{**BOILING, "pack": "raw"})
    assert raw.status == "ok"
    assert lookup("elderberries", **BOILING).status == "refused"
    assert lookup("blueberries", **BOILING).status == "ok"


def test_lima_headspace_depends_on_the_size_of_the_beans():
    raw = {"pack": "raw", "jar": "quart", "method": "pressure", "gauge": "dial", "altitude_ft": 0}
    assert lookup("lima beans", **raw).headspace_in == {"small beans": 1.5, "large beans": 1.25}
    assert lookup("lima beans", bean_size="small", **raw).headspace_in == 1.5
    assert lookup("lima beans", **{**raw, "jar": "pint"}).headspace_in == 1
    assert lookup("lima beans", **{**raw, "pack": "hot"}).headspace_in == 1


@pytest.mark.parametrize(
    ("food", "jar", "salt"),
    [
        ("carrots", "pint", 0.5),
        ("carrots", "quart", 1),
        ("greens", "quart", 0.5),
        ("green peas", "pint", 0.5),
        ("mushrooms", "half-pint", 0.25),
        ("carrots", "half-pint", None),
        ("winter squash", "quart", None),
    ],
)
def test_salt_is_what_is_printed_for_the_jar(food, jar, salt):
    answer = lookup(food, **{**PRESSURE, "jar": jar})
    assert answer.salt_tsp_per_jar == salt
    assert answer.salt_text


@pytest.mark.parametrize(
    ("jar", "lemon", "citric", "printed_for"),
    [
        ("pint", 1, 0.25, "pint"),
        ("quart", 2, 0.5, "quart"),
        ("half-pint", 1, 0.25, "pint"),
        ("pint-and-half", 2, 0.5, "quart"),
    ],
)
def test_tomatoes_always_come_with_their_acid(jar, lemon, citric, printed_for):
    for given in (BOILING, PRESSURE):
        acid = lookup("crushed tomatoes", **{**given, "jar": jar}).acid
        assert acid is not None
        assert acid.required
        assert (acid.lemon_juice_tbsp, acid.citric_acid_tsp, acid.printed_for) == (lemon, citric, printed_for)
        assert acid.source


def test_an_option_can_be_chosen_and_a_bad_one_is_refused():
    given = {"pack": "hot", "jar": "pint", "method": "pressure", "gauge": "dial", "altitude_ft": 2_500}
    chosen = lookup("tomato sauce", option="20 min at 7 psi", **given)
    assert (chosen.minutes, chosen.psi) == (20, 7)
    assert lookup("tomato sauce", option=12, **given).status == "refused"
    assert lookup("carrots", option="24 minutes", **{**given, "jar": "pint"}).status == "refused"
    assert lookup("carrots", option="25 minutes", **given).status == "ok"


def test_an_unknown_food_is_refused_and_named():
    answer = lookup("moon rocks", **PRESSURE)
    assert answer.status == "refused"
    assert "moon rocks" in (answer.reason or "")


def test_a_remark_on_one_pack_is_heard_with_that_pack_only():
    hot, raw = (lookup("asparagus", **{**PRESSURE, "pack": pack}).cautions for pack in ("hot", "raw"))
    assert any(text.startswith("Hot pack:") for text in hot)
    assert not any(text.startswith("Raw pack") for text in hot)
    assert any(text.startswith("Raw pack:") for text in raw)
    assert not any(text.startswith("Hot pack") for text in raw)
    assert len(hot) == len(raw) == 1


def test_what_is_told_before_filling_has_the_minutes_of_the_preparation_once():
    given = {"pack": "hot", "jar": "quart", "method": "pressure", "gauge": "dial", "altitude_ft": 0}
    carrots, beans = lookup("carrots", **given), lookup("green beans", **given)
    assert carrots.before_filling == (
        " ".join((carrots.preparation, *carrots.cautions)),
    )  # all of it work of the hands
    assert beans.before_filling == (f"{beans.preparation} {beans.cautions[0]}",)
    assert "vinegar" in beans.cautions[-1]
    raw = lookup("carrots", **{**given, "pack": "raw"})
    assert raw.before_filling == (f"Fill tightly, and cover with hot water. {raw.cautions[0]}",)
    assert lookup("carrots").before_filling == ()


def test_lemon_juice_of_a_jam_is_told_by_its_fruit_and_not_by_the_jar():
    """The rows of the table of page 7-6."""
    acid = lookup("jam without pectin", pack="hot", jar="half-pint", method="boiling-water", altitude_ft=900).acid
    assert acid is not None
    assert not acid.required
    rows = ("4 to 4-1/2 cups of crushed apricots", "5-1/2 to 6 cups of crushed peaches", "berries need none")
    for said in ("into the pot", "2 tablespoons", *rows):
        assert said in acid.text


def test_before_filling_the_preparation_is_told_and_no_figure_of_a_caution_is_lost():
    figure = re.compile(r"\d+(?:-\d/\d|/\d)?")
    for food in product_ids():
        for way in product(food).preparations:
            answer = Answer("ok", preparation=way.text, cautions=tuple(each.text for each in product(food).cautions))
            told = answer.before_filling
            assert told[0] == way.text
            assert set(figure.findall(" ".join(answer.cautions))) <= set(figure.findall(" ".join(told))), food
            assert ("5 percent" in " ".join(answer.cautions)) == ("5 percent" in " ".join(told)), food
