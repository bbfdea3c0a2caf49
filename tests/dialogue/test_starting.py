from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import Canner
from tests.dialogue.conftest import Cook

DIAL = PRACTICE_KITCHEN.canners[0]
NAMES = {"the big one": 1, "the small one": 2}


def test_the_whole_load_is_read_back_with_its_numbers(cook):
    assert cook.say("start seven quarts of green beans raw pack") == (
        "Seven quarts of green beans, raw pack, in canner one, dial gauge, at nine hundred feet."
        " Twenty five minutes at eleven pounds pressure. Head space one inch. Is that right?"
    )
    assert not cook.kitchen.loads


def test_what_is_missing_is_asked_for_in_turn_and_nothing_is_assumed(cook):
    assert cook.say("start a load") == "Which food?"
    assert "Which jars" in cook.bare("carrots")
    assert cook.bare("pints") == "Raw pack or hot pack?"
    assert cook.bare("hot pack") == "How many pints?"
    assert "Nine pints of carrots, hot pack" in cook.bare("nine")


@pytest.mark.parametrize(
    ("lines", "read_back"),
    [
        (("i want to do tomatoes", "crushed, pints", "hot pack, a boiling water canner", "seven"), "Seven pints"),
        (("i want to do tomatoes", "i think crushed, and we're doing pints", "seven hot in the water bath"), "Seven"),
        (("start a load", "green beans in quarts, seven of them, raw"), "Seven quarts of green beans, raw pack"),
        (("let's do corn", "whole kernel in pints", "nine raw, canner two"), "Nine pints of whole kernel corn, raw"),
        (("start nine pints of carrots hot pack", "it's quarts and there are seven"), "Seven quarts of carrots"),
        (("start nine pints of carrots hot pack", "no, make it eight pints raw"), "Eight pints of carrots, raw pack"),
        (("i'm doing peaches", "quarts, i've got seven of them", "well then the hot", "the water bath pot"), "Seven"),
        (("start a load", "i've got green beans everywhere", "my jars are quarts", "raw is easiest", "seven"), "Seven"),
        (("start a load of chicken", "without bones, pints", "eight, hot, in the weighted canner"), "Eight pints"),
    ],
)
def test_an_answer_may_tell_any_of_it_in_any_order(cook, lines, read_back):
    assert [cook.bare(each, typed=True) for each in lines][-1].startswith(read_back)


@pytest.mark.parametrize(
    ("lines", "answer"),
    [
        (("{} in the small one", "> yes"), "Load one, green beans, is started."),
        (("{} pack in the small canner",), "Seven quarts of green beans, raw pack, in the small one"),
        (("start a load of green beans in the small canner", "seven quarts", "raw"), "Seven quarts of green"),
        (("{} pack", "small one"), "Seven quarts of green beans, raw pack, in the small one"),
        (("{} pack", "the blue one"), "Which canner: the big one or the small one?"),
        (("{} pack", "the other one"), "Which canner: the big one or the small one?"),
        (("{} in the old one",), "Which canner: the big one or the small one?"),
    ],
)
def test_a_canner_is_taken_by_its_own_looks_and_by_no_others(lines, answer):
    canners = tuple(replace(each, name=name) for each, name in zip(PRACTICE_KITCHEN.canners, NAMES, strict=True))
    cook = Cook(GrammarBook.load(canners=NAMES), canners=canners, usual_canner=None)
    said = [line.removeprefix("> ").format("start seven quarts of green beans raw") for line in lines]
    assert [cook.bare(line, typed=True) for line in said][-1].startswith(answer)
    assert all(load.canner == NAMES["the small one"] for load in cook.kitchen.loads)


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("start seven quarts and nine pints of green beans raw in canner one", "One size of jar to a load. Which jars"),
        ("i have seven quarts and nine pints of carrots", "One size of jar to a load. Which jars"),
        ("start seven quarts of green bean casserole", "I have no tested process for"),
    ],
)
def test_a_tested_food_is_refused_for_no_words_beside_it_that_make_no_dish_of_it(cook, line, answer):
    assert cook.bare(line, typed=True).startswith(answer)


def test_a_long_list_of_names_is_told_once(cook):
    assert "crushed tomatoes" in cook.bare("i want to do tomatoes", typed=True)
    assert cook.bare("hot pack", typed=True) == "Which one?"
    assert "crushed tomatoes" in cook.bare("which ones are there", typed=True)


def test_the_jar_settles_which_fish_it_is(cook):
    assert "fish in quarts" in cook.say("start seven quarts of fish")
    cook.bare("cancel")
    assert cook.say("start a load of fish") == "Which jars: pints or quarts?"
    assert "fish in pints" in cook.bare("pints")


def test_fish_in_quarts_is_told_its_own_water_and_heating_before_the_jars_are_in(cook):
    cook.run("start seven quarts of fish", "> raw pack", "> yes")
    said = cook.say("clear")
    assert "Three quarts of water in the canner. Heat on high twenty minutes, vent open." in said
    assert "Two to three inches" not in said
    cook.wait(1)
    assert cook.replayed().loads[-1].process.water.startswith("three quarts")


@pytest.mark.parametrize(
    ("load", "water"),
    [
        ("start seven quarts of fish raw pack", "three quarts of water in the canner"),
        ("start nine pints of smoked salmon", "four quarts of cool tap water: no less, and not heated"),
    ],
)
@pytest.mark.parametrize(
    "asked", ["how much water goes in the canner", "how deep should the water be", "how hot should the water be"]
)
def test_no_inches_of_hot_water_are_told_where_a_food_has_water_of_its_own(cook, load, water, asked):
    cook.run(load, "> yes")
    told = cook.bare(asked, typed=True)
    assert water in told.lower()
    assert "inches" not in told


@pytest.mark.parametrize(
    "asked", ["how long do i vent", "when does the vent start counting", "when do i put the weight on"]
)
def test_fish_in_quarts_is_never_told_ten_minutes_of_vent_alone(cook, asked):
    cook.run("start seven quarts of fish", "> raw pack", "> yes", "seven jars packed", "jars are in", "lid is locked")
    assert "at least thirty minutes in all" in cook.bare(asked, typed=True)
    cook.run("heat is on", 10, "steam is steady", 20.1)
    assert any("Twenty minutes of venting are done" in told for told in cook.said)


@pytest.mark.parametrize(
    ("heat", "minutes"),
    [((), 30), (("heat is on", 12), 18), (("heat is on", 25), 10)],
    ids=["nobody said when", "steam after twelve minutes", "steam after twenty five"],
)
def test_fish_in_quarts_is_heated_and_vented_for_thirty_minutes_at_least(cook, heat, minutes):
    cook.run("start seven quarts of fish", "> raw pack", "> yes", "seven jars packed", "jars are in", "lid is locked")
    cook.run(*heat, "steam is steady")
    assert cook.load.timer("vent").seconds == pytest.approx(60 * minutes, abs=1)
    cook.run(minutes - 1, "weight is on")
    assert cook.load.stage == "vent"
    assert cook.replayed().loads[-1].process.heat_vent_minutes == 30


def test_how_long_it_boils_and_in_what_is_said_before_the_jars_are_filled(cook):
    cook.run("start seven quarts of carrots hot pack", "> yes", "clear", "done", "clear")
    filling = cook.say("next")
    assert filling.startswith("Cover with boiling water, bring to a boil and simmer five minutes.")
    assert "Fill each jar, hot pack." in filling


def test_minutes_that_a_caution_tells_are_not_told_twice(cook):
    cook.run("start seven quarts of green beans hot pack", "> yes", "clear", "done", "clear")
    assert cook.say("next").count("five minutes") == 1


@pytest.mark.parametrize(("food", "jars"), [("tuna", "pints"), ("crab", "half pints")])
def test_a_food_with_one_pack_is_not_asked_raw_or_hot(cook, food, jars):
    assert "packed by its own procedure" in cook.say(f"how long for {jars} of {food}")


@pytest.mark.parametrize(
    ("line", "asked"),
    [("done", " Which food?"), ("next", " Which food?"), ("jars are in", " Which food?"), ("time left", "")],
)
def test_while_a_load_is_put_together_nobody_is_told_to_start_one(cook, line, asked):
    cook.say("start a load")
    assert cook.say(line) == f"No load is going.{asked}"


def test_a_report_before_the_yes_says_that_no_load_is_going_and_asks_again(cook):
    cook.say("start seven quarts of green beans raw pack")
    assert cook.say("jars are in").startswith("No load is going. Seven quarts of green beans, raw pack, in canner one")
    assert cook.bare("yes").startswith("Load one, green beans, is started.")


@pytest.mark.parametrize(
    "asked",
    ["start a load", "start eight quarts of pumpkin", "start quarts of pumpkin", "start six quarts of tomatoes"],
)
def test_another_load_is_not_taken_for_an_answer(cook, asked):
    cook.say(asked)
    answer = cook.say("start seven quarts of green beans raw pack")
    assert answer.startswith("Seven quarts of green beans, raw pack")
    cook.bare("yes")
    assert [load.food for load in cook.kitchen.loads] == ["snap_beans"]


def test_an_answer_may_hold_more_than_was_asked_for(cook):
    cook.say("start a load")
    assert cook.bare("carrots in pints") == "Raw pack or hot pack?"


@pytest.mark.parametrize(
    ("line", "codes"),
    [
        ("start sixteen pints of carrots hot pack", "One six jars."),
        ("start seven quarts of green beans raw pack", ""),
        ("start eighteen pints of carrots hot pack", "One eight jars."),
    ],
)
def test_numbers_that_sound_like_others_are_said_digit_by_digit(cook, line, codes):
    answer = cook.say(line)
    assert codes in answer
    assert ("one six" in answer.lower()) == ("one six" in codes.lower())


def test_minutes_and_pounds_that_sound_like_others_are_said_digit_by_digit(make):
    answer = make(altitude_ft=5250).say("start seven quarts of green beans raw pack")
    assert "thirteen pounds pressure. One three pounds." in answer


def test_a_no_asks_what_is_different_and_keeps_the_rest(cook):
    cook.say("start seven quarts of carrots hot pack")
    assert "What is different" in cook.bare("no")
    assert "Seven pints of carrots, hot pack" in cook.bare("pints")
    cook.bare("no")
    assert "Nine pints of carrots" in cook.bare("nine")
    cook.bare("no")
    assert "Nine pints of carrots, raw pack" in cook.bare("raw pack")


@pytest.mark.parametrize(
    "opening", ["start a load", "start a load of carrots", "start seven quarts of green beans raw pack"]
)
@pytest.mark.parametrize("word", ["cancel", "never mind"])
def test_cancel_drops_the_load_at_any_question(cook, opening, word):
    cook.say(opening)
    assert cook.bare(word) == "No load started."
    assert cook.talk.question is None
    assert not cook.kitchen.loads


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("start seven pints of zucchini", "withdrawn"),
        ("start seven quarts of peppers hot pack", ""),
        ("start a load of mashed pumpkin", ""),
    ],
)
def test_what_was_never_tested_is_refused_with_its_reason(cook, line, why):
    answer = cook.say(line)
    assert answer.startswith("I have no tested process for that.")
    assert why in answer
    assert answer.removeprefix("I have no tested process for that. ") == cook.say("why")
    assert cook.talk.question is None or cook.talk.question.values["slot"] == "jar"
    assert not cook.kitchen.loads


def test_a_low_acid_food_is_never_offered_boiling_water(cook):
    assert "boiling water" not in cook.say("start seven quarts of green beans raw pack").lower()
    cook.bare("no")
    assert "no tested process" in cook.bare("boiling water")
    assert not cook.kitchen.loads


def test_a_food_of_several_kinds_is_asked_about(cook):
    assert cook.say("start seven quarts of beans").startswith("Which one:")
    assert cook.bare("lima beans") == "Raw pack or hot pack?"


def test_more_jars_than_the_canner_holds_are_not_taken(cook):
    assert cook.say("start nine quarts of green beans raw pack") == "Canner one holds seven quarts. How many go in?"
    assert "Seven quarts" in cook.bare("seven")


def test_without_known_capacity_nothing_is_said_about_it(make):
    cook = make(canners=(replace(DIAL, capacity={}, quart_jars=None),))
    assert "Nine quarts of green beans" in cook.say("start nine quarts of green beans raw pack")


def test_a_kitchen_without_canners_is_asked_for_its_gauge(make):
    cook = make(canners=(), usual_canner=None)
    assert cook.say("start seven quarts of green beans raw pack") == "Dial gauge, or weighted gauge?"
    answer = cook.bare("weighted")
    assert "in the pressure canner, weighted gauge" in answer
    assert "ten pounds pressure" in answer
    cook.bare("yes")
    assert cook.load.canner == 0


def test_a_canner_that_is_not_there_is_asked_about(cook):
    assert "I don't know canner five" in cook.say("start seven quarts of green beans raw pack in canner five")


def test_a_busy_canner_is_not_given_twice(holding):
    answer = holding.say("start seven quarts of carrots hot pack in canner one")
    assert answer == "Canner one still has green beans in it. Which canner: canner two?"


def test_an_unknown_altitude_is_asked_for_and_read_back(make):
    cook = make(altitude_ft=None)
    assert cook.say("start seven quarts of green beans raw pack") == "What is your altitude in feet?"
    assert cook.bare("fifty two hundred feet") == "Five thousand two hundred feet. Five two zero zero. Is that right?"
    assert cook.bare("no").startswith("Say the altitude again.")
    cook.bare("nine hundred feet")
    assert "at nine hundred feet" in cook.bare("yes")
    assert [control.name for control in cook.turn.controls] == ["altitude"]


def test_the_altitude_that_was_confirmed_is_the_one_that_is_said(cook):
    cook.say("my altitude is fifteen hundred feet")
    cook.bare("no")
    cook.bare("fifty two hundred feet")
    assert cook.bare("yes") == "Altitude five thousand two hundred feet."
    assert cook.talk.profile.altitude_ft == 5200


@pytest.mark.parametrize(
    ("said", "answers", "pounds"),
    [
        ("start seven quarts of green beans raw pack", (), "thirteen"),
        ("start quarts of green beans raw pack", ("seven",), "thirteen"),
        ("start a load", ("green beans", "quarts", "raw pack", "seven"), "thirteen"),
    ],
)
def test_a_load_that_is_put_together_goes_on_by_the_altitude_told_meanwhile(cook, said, answers, pounds):
    asked = cook.say(said)
    cook.say("my altitude is five thousand feet")
    answer = cook.bare("yes")
    assert answer.startswith("Altitude five thousand feet. ")
    if answers:
        assert answer.removeprefix("Altitude five thousand feet. ") == asked
    for each in answers:
        answer = cook.bare(each)
    assert f"at five thousand feet. Twenty five minutes at {pounds} pounds pressure." in answer
    cook.bare("yes")
    assert (cook.load.process.altitude_ft, cook.load.process.psi) == (5000, 13)


def test_an_altitude_put_off_leaves_a_load_by_the_old_one_unstarted(cook):
    cook.say("start seven quarts of green beans raw pack")
    cook.say("my altitude is five thousand feet")
    cook.say("cancel")
    cook.bare("yes")
    assert not cook.kitchen.loads


def test_a_new_altitude_leaves_the_numbers_of_a_started_load_and_says_so(holding):
    holding.say("my altitude is five thousand feet")
    assert "Green beans: set for another altitude. Say give up the load" in holding.bare("yes")
    assert holding.load.process.altitude_ft == 900


def test_a_load_set_for_another_altitude_is_not_vented(cook):
    cook.say("start seven quarts of green beans raw pack")
    cook.bare("yes")
    cook.say("seven jars are in")
    cook.say("my altitude is five thousand feet")
    cook.bare("yes")
    assert "This load was set for nine hundred feet" in cook.say("steam is steady")
    assert cook.load.timer("vent") is None
    assert "Give up load one" in cook.say("give up the load")
    answer = cook.bare("yes")
    assert answer.startswith(
        "Load one, green beans, is given up. Turn the heat off, and let the canner cool by itself."
    )
    assert not cook.kitchen.open_loads


def test_above_the_tables_nothing_is_guessed(make):
    answer = make(altitude_ft=9000).say("start seven quarts of green beans raw pack")
    assert "no tested process" in answer
    assert "above eight thousand feet" in answer


def test_a_dial_that_reads_high_has_a_higher_target(make):
    cook = make(canners=(replace(DIAL, dial_error_psi=1.0),))
    answer = cook.say("start seven quarts of green beans raw pack")
    assert "Twenty five minutes at twelve pounds pressure." in answer
    assert "reads one pound high" in answer
    cook.bare("yes")
    assert (cook.load.process.psi, cook.load.process.target_psi) == (11, 12)


@pytest.mark.parametrize(("said", "started"), [("y", True), ("ok", True), ("n", False)])
def test_a_letter_typed_answers_the_read_back(make, said, started):
    cook = make()
    cook.run("start seven quarts of green beans raw pack in canner one")
    cook.bare(said, typed=True)
    assert bool(cook.kitchen.loads) is started


def test_a_dial_whose_test_has_no_result_is_not_called_untested(make):
    cook = make(canners=(replace(DIAL, dial_error_psi=None),))
    answer = cook.say("start seven quarts of green beans raw pack")
    assert "what the test of that dial found" in answer and "test within" not in answer
    assert answer.endswith("Is that right, and do you start on a dial that may be off?")
    cook.bare("yes")
    assert next(x for x in cook.events if x.kind == "load_start").data["untested_dial"] is True


@pytest.mark.parametrize("tested", [None, date(2025, 8, 1)])
def test_an_untested_dial_is_named_in_the_question_and_in_the_record(make, tested):
    cook = make(canners=(replace(DIAL, dial_tested=tested),))
    answer = cook.say("start seven quarts of green beans raw pack")
    assert "no test within twelve months" in answer
    assert answer.endswith("Is that right, and do you start on an untested dial?")
    cook.bare("yes")
    assert next(x for x in cook.events if x.kind == "load_start").data["untested_dial"] is True


def test_a_dial_that_is_off_by_more_than_two_pounds_starts_no_load(make):
    cook = make(canners=(replace(DIAL, dial_error_psi=2.5),))
    answer = cook.say("start seven quarts of green beans raw pack")
    assert answer.endswith("No load started.")
    assert cook.say("yes") == "I haven't asked anything."


def test_a_tested_dial_is_recorded_as_such(holding):
    assert next(x for x in holding.events if x.kind == "load_start").data["untested_dial"] is False


def test_the_choices_of_a_table_are_offered_one_by_one(cook):
    cook.run("start seven quarts of tomato juice hot pack", "> pressure canner")
    assert cook.said[-1] == "The table gives a choice. Twenty minutes at six pounds pressure?"
    assert cook.bare("no") == "Fifteen minutes at eleven pounds pressure?"
    assert cook.bare("no") == "No load started."


def test_acid_is_told_before_the_yes_and_again_at_the_jars(cook):
    answer = cook.run("start seven quarts of tomato juice hot pack", "> boiling water")
    assert "Acid goes in every jar." in answer
    cook.run("> yes", "next", "clear", "next")
    assert "lemon juice" in cook.said[-1]


def test_lemon_juice_of_a_jam_goes_into_the_pot_and_no_jar_is_asked_about(cook):
    """2 tablespoons for apricots and for peaches, of other amounts of fruit, none for berries (Guide 7:6)."""
    answer = cook.run("start eight half pints of jam without pectin", "> hot pack")
    assert "Head space" in answer
    assert "acid" not in answer.lower()
    cook.run("> yes", *["next", "clear"] * 6)
    filling = next(text for text in cook.said if "Fill each jar" in text)
    assert "into the pot" in filling
    assert "berries need none" in filling
    assert "berries need none" in cook.say("how much lemon juice")
    cook.run("eight jars packed", "jars are in")
    assert not any("every jar" in text and "acid" in text.lower() for text in cook.said)
    assert cook.load.stage == "canner"


def test_acid_of_a_recipe_is_not_said_to_go_in_by_the_jar(cook):
    answer = cook.run("start nine pints of bread and butter pickles hot pack")
    assert "The acid of its recipe goes in" in answer
    assert "every jar" not in answer


def test_what_is_published_of_the_food_comes_before_filling(cook):
    cook.run("start seven quarts of pumpkin hot pack", "> yes", "clear", "done", "clear", "next")
    filling = next(text for text in cook.said if "Fill each jar" in text)
    assert filling.index("Do not mash or puree") < filling.index("Fill each jar")


@pytest.mark.parametrize("line", ["start zero quarts of green beans"])
def test_a_load_of_nothing_is_no_load(cook, line):
    assert "at least one jar" in cook.say(line)
    assert cook.talk.question is None


def test_a_kettle_is_no_pressure_canner(make):
    cook = make(canners=(Canner(number=3, name="the kettle"),), usual_canner=None)
    assert cook.say("start seven quarts of green beans raw pack") == "Dial gauge, or weighted gauge?"


def test_why_gives_the_reason_of_the_question_and_asks_it_again(cook):
    cook.say("start a load of carrots in pints")
    assert cook.say("why").endswith("Raw pack or hot pack?")
    assert "Nine" in cook.run("> hot pack", "> nine")


def test_a_food_without_a_printed_pack_goes_by_its_procedure(cook):
    cook.run("start seven pints of tuna")
    assert "packed by its own procedure" in cook.said[-1]
    assert "One hour and forty minutes" in cook.said[-1]
    cook.run("> yes")
    assert cook.load.pack == "see-procedure"


@pytest.mark.parametrize(
    ("said", "read", "typed"),
    [
        ("no, pints", "Seven pints of green beans, raw pack", False),
        ("no it's hot pack", "Seven quarts of green beans, hot pack", False),
        ("no, six pints", "Six pints of green beans", False),
        ("no i meant five", "Five quarts of green beans", False),
        ("no, in canner two", "in canner two", False),
        ("hang on, I only have six jars", "Six quarts of green beans, raw pack", True),
        ("I'd rather do pints", "Seven pints of green beans, raw pack", True),
        ("not beans, lima beans", "Seven quarts of lima beans, raw pack", True),
        ("what pressure again", "eleven pounds pressure", True),
    ],
)
def test_a_no_with_what_it_is_instead_is_read_back_anew(cook, said, read, typed):
    cook.run("start seven quarts of green beans raw pack in canner one")
    answer = cook.bare(said, typed=typed)
    assert read in answer
    assert answer.endswith("Is that right?")
    assert not cook.kitchen.loads


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("start seven quarts of tomatoes raw pack in water", "in water"),
        ("can seven quarts of tomatoes raw pack in juice", "in juice"),
    ],
)
def test_what_tomatoes_are_packed_in_may_come_last(cook, said, read):
    cook.bare(said, typed=True)
    assert f"Seven quarts of whole tomatoes {read}, raw pack" in cook.bare("boiling water", typed=True)


def test_a_jam_of_a_fruit_may_be_named_with_the_answer_about_its_pectin(cook):
    assert "Which one" in cook.say("start eight half pints of strawberry jam")
    cook.bare("strawberry jam without pectin")
    assert "Eight half pints of jam without pectin" in cook.bare("hot pack")


def test_to_which_jars_their_number_too_is_an_answer(cook):
    assert "Which jars" in cook.say("start a load of carrots hot pack")
    cook.bare("nine pints")
    assert (cook.talk.question.values["jar"], cook.talk.question.values["count"]) == ("pint", 9)


@pytest.mark.parametrize(
    ("start", "told", "lid"),
    [
        (
            "start seven quarts of green beans raw pack",
            "Fill tightly, and cover with boiling water.",
            "Let the bubbles out",
        ),
        (
            "start seven quarts of chicken with bones raw pack",
            "Fill loosely with raw pieces. No liquid.",
            "Let the bubbles",
        ),
        ("start seven quarts of salmon raw pack", "pack solid. No liquid is needed.", "No bubbles to let out here."),
    ],
)
def test_how_the_jars_are_filled_is_told_with_its_liquid_and_whether_there_are_bubbles(cook, start, told, lid):
    cook.run(start, "> yes")
    said = [cook.say("done") for _ in range(6)]
    assert any(told in each for each in said)
    assert any(each.startswith(lid) for each in said)
    assert cook.replayed().loads[-1].process.no_bubbles is ("salmon" in start)


UNLIKE = [
    "yes but with bacon", "yes except the altitude", "my gauge reads two high", "some of them are pints",
    "yes plus garlic", "they're cut in chunks", "yes but for twenty minutes",
]  # fmt: skip


@pytest.mark.parametrize("said", UNLIKE)
def test_after_words_against_the_read_back_a_yes_starts_nothing(cook, said):
    asked = cook.say("start seven quarts of green beans raw pack")
    assert "What is different?" in cook.bare(said, typed=True)
    assert cook.bare("yes", typed=True) == asked
    assert not cook.kitchen.loads
    assert "is started" in cook.bare("yes", typed=True)


@pytest.mark.parametrize(
    "said",
    [
        "i want to make nine pints of salsa with paste tomatoes hot pack in the water bath canner",
        "i'm canning nine pints of salsa with paste tomatoes in the water bath hot pack",
    ],
)
def test_a_wish_names_its_pot_and_pack_in_one_breath(cook, said):
    begun = "Nine pints of salsa with paste tomatoes, hot pack, in boiling water"
    assert cook.bare(said, typed=True).startswith(begun)


def test_a_canner_called_by_looks_is_no_part_of_the_food(cook):
    assert cook.bare("start a load of green beans in the small canner", typed=True).startswith("Which jars")
    assert cook.talk.question.values["food"] == "snap_beans"


@pytest.mark.parametrize("said", ["seven pints of green beans and corn raw", "i want to can green beans and corn"])
def test_two_foods_in_one_jar_are_said_to_be_two_loads(cook, said):
    answer = cook.bare(said, typed=True)
    assert answer.startswith("Green beans and corn in one jar: only a mix with a process of its own")
    assert "two loads" in answer
    assert cook.talk.question is None


@pytest.mark.parametrize(
    ("start", "refused", "instead", "go_on"),
    [
        ("i'm making chile con carne", "quarts", "half-pints, or pints", ("pints", "yes", "nine")),
        ("start nine pints of beets raw pack", "", "hot pack only", ("hot",)),
    ],
)
def test_after_a_refused_jar_or_pack_another_one_is_waited_for(cook, start, refused, instead, go_on):
    answers = [cook.bare(each, typed=True) for each in filter(None, (start, refused))]
    assert instead in answers[-1]
    assert answers[-1].count("?") == 0
    assert [cook.bare(each, typed=True) for each in go_on][-1].startswith("Nine pints of")


def test_a_food_that_the_guide_packs_by_its_procedure_is_asked_for_no_pack(cook):
    asked = cook.bare("start six half pints of crab in canner two", typed=True)
    assert asked.startswith("Six half pints of crab meat, packed by its own procedure, in canner two")


@pytest.mark.parametrize(
    ("start", "made", "acid"),
    [
        ("nine pints of salsa with paste tomatoes hot pack in boiling water", "Gloves for hot peppers", "acid is in"),
        ("six half pints of crab in canner two", "Simmer the crabs", "Acid goes in every jar"),
        ("seven quarts of sauerkraut raw pack in boiling water", "Fill firmly", "and is it fully fermented?"),
    ],
)
def test_how_a_food_is_made_is_said_once_before_its_acid_but_after_its_ferment(cook, start, made, acid):
    cook.bare(f"start {start}", typed=True)
    cook.bare("yes", typed=True)
    said = " ".join(cook.bare("done", typed=True) for _ in range(6))
    assert said.count(made) == said.count(acid) == 1
    assert (said.index(made) < said.index(acid)) is not (made == "Fill firmly")


def test_pasteurization_is_told_as_printed_and_no_load_is_led_by_it(cook):
    said = cook.bare(
        "start seven quarts of fermented dill pickles raw pack with low temperature pasteurization", typed=True
    )
    assert "one hundred eighty to one hundred eighty five degrees for thirty minutes" in said
    assert "I don't lead it" in said
    assert "Seven quarts of fermented dill pickles, raw pack, in boiling water" in said
    refused = cook.bare("start nine pints of peaches hot pack with low temperature pasteurization", typed=True)
    assert "No pasteurization process is published for peaches" in refused


def test_a_plan_counts_loads_by_the_kettle_and_refuses_before_it_asks(cook):
    cook.bare("i have fourteen pounds of peaches", typed=True)
    assert "one to two canner loads" in cook.bare("pints", typed=True)
    cook.bare("i have twenty pounds of carrots", typed=True)
    assert "thirteen to twenty pints" in cook.bare("pints", typed=True)
    assert "The guide prints no process for cabbage" in cook.bare("i have twenty five pounds of cabbage", typed=True)


def test_the_salt_of_a_recipe_is_told_where_a_jar_has_no_figure(cook):
    cook.run("start nine pints of chile con carne hot pack", "> yes")
    assert "five teaspoons of salt in the recipe" in cook.bare("how much salt", typed=True)
    assert cook.talk.kitchen.open_loads


def test_jars_for_two_canners_are_begun_one_load_at_a_time(cook):
    said = cook.bare("i'd like to put up 14 quarts of vegetable soup hot pack in both canners", typed=True)
    assert said == "One load at a time. The first one now. Canner one holds seven quarts. How many go in?"


def test_what_stands_behind_a_known_food_is_no_name_of_an_unknown_one(cook):
    assert "no tested process" not in cook.bare("start some carrots in the copper canner", typed=True)


@pytest.mark.parametrize(
    "said",
    [
        "okay we've got a ton of beans today, I want to do seven quarts of green beans, raw pack",
        "let's start with the beans, seven quarts of green beans raw pack",
    ],
)
def test_a_name_of_many_foods_beside_one_of_them_is_no_second_food(cook, said):
    assert cook.bare(said, typed=True).startswith("Seven quarts of green beans, raw pack")


@pytest.mark.parametrize("said", ["yes the hot one", "yes hot", "yes hello mary"])
def test_a_yes_that_names_another_pack_or_is_for_somebody_else_starts_nothing(cook, said):
    cook.run(cook.BEANS[0])
    cook.bare(said, typed=True)
    assert cook.kitchen.loads == ()


def test_a_yes_takes_the_only_jar_there_is_and_none_of_two(cook):
    assert "Instead: half-pints" in cook.say("start nine pints of cranberry orange chutney")
    assert "Nine half pints of cranberry orange chutney" in " ".join(
        [cook.bare("yes", typed=True), cook.bare("yes", typed=True)]
    )
    cook.bare("cancel", typed=True)
    assert "Which jars: half pints or pints" in cook.bare("start mango chutney", typed=True)
    assert cook.bare("yes", typed=True).startswith("A yes doesn't tell me that")


@pytest.mark.parametrize(
    ("food", "kind", "meant"),
    [
        ("salsa", "slicing tomatoes", "tomato_salsa_slicing"),
        ("salsa", "with tomato paste", "tomato_paste_salsa"),
        ("salsa", "tomatillo green", "tomatillo_green_salsa"),
        ("dill pickles", "quick", "dill_pickles_quick"),
        ("dill pickles", "fermented", "dill_pickles_fermented"),
        ("spaghetti sauce", "without meat", "spaghetti_sauce_no_meat"),
        ("soup", "with seafood", "soups_seafood"),
        ("jam", "with pectin", "jam_jelly_pectin"),
        ("ketchup", "country western", "ketchup_country_western"),
    ],
)
def test_one_of_several_foods_is_chosen_by_ear_by_what_tells_it_apart(cook, food, kind, meant):
    cook.say(f"start a load of {food}")
    cook.bare(kind)
    assert cook.talk.question.values["food"] == meant


@pytest.mark.parametrize(("food", "kind"), [("ketchup", "fermented"), ("salsa", "with meat"), ("soup", "ground")])
def test_what_tells_other_foods_apart_chooses_none(cook, food, kind):
    cook.say(f"start a load of {food}")
    cook.bare(kind)
    assert cook.talk.question.values["food"] is None


@pytest.mark.parametrize("said", ["fifteen minutes", "the fifteen minutes one", "no fifteen minutes at eleven pounds"])
def test_a_pair_of_the_table_may_be_named_by_its_minutes(cook, said):
    assert "Twenty minutes at six pounds" in cook.say("start seven quarts of crushed tomatoes hot pack in canner one")
    assert "Fifteen minutes at eleven pounds pressure" in cook.bare(said)


def test_minutes_that_the_table_does_not_print_are_not_taken(cook):
    cook.say("start seven quarts of crushed tomatoes hot pack in canner one")
    assert "Twenty minutes at six pounds pressure?" in cook.bare("twelve minutes")
    assert "Twenty minutes at six pounds pressure?" in cook.bare("fifteen minutes at six pounds")


def test_pounds_over_the_choice_are_the_reading_of_the_load_that_holds(holding):
    holding.say("start seven pints of crushed tomatoes hot pack in canner two")
    assert "Nine is below eleven pounds" in holding.bare("nine pounds", typed=True)


@pytest.mark.parametrize("said", [("seven jars packed",), ("seven jars are in",)])
def test_what_may_not_go_into_a_soup_is_told_where_its_step_is_passed_over(cook, said):
    cook.run("start seven quarts of vegetable soup hot pack in canner one", "> yes")
    told = cook.say(*said)
    assert "only half full of solids" in told
    assert "No noodles" in told
    assert "Cook meat until tender" not in told  # that is done by now


def test_what_was_told_at_its_step_is_not_told_again_when_the_jars_are_packed(cook):
    cook.run("start seven quarts of vegetable soup hot pack in canner one", "> yes", "clear", "done")
    assert "No noodles" in cook.say("clear")
    assert "No noodles" not in cook.say("seven jars packed")


@pytest.mark.parametrize(("food", "hands"), [("carrots", "Peel"), ("green beans", "one-inch pieces")])
def test_how_a_food_is_cut_is_not_told_of_jars_in_the_canner(cook, food, hands):
    cook.run(f"start seven quarts of {food} raw pack in canner one", "> yes", "clear")
    told = cook.say("seven jars are in")
    assert "Not yet checked" in told
    assert hands not in told
    assert told.endswith("Say lid is locked.")


def test_how_a_food_is_cut_is_told_where_it_is_packed(cook):
    cook.run("start seven quarts of carrots raw pack in canner one", "> yes", "clear", "done", "clear")
    assert "Peel" in cook.say("next")


def test_what_was_put_right_over_the_read_back_is_quoted_with_the_start(cook):
    cook.run("start seven quarts of carrots raw pack", "> no nine pints", "> yes")
    (begun,) = [event for event in cook.events if event.kind == "load_start"]
    assert begun.data["count"] == 9
    assert begun.heard.endswith("start seven quarts of carrots raw pack, no nine pints")
