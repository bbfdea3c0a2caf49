"""What is said in one breath: reports beside each other, a yes with more, numbers that are no jars packed, what nobody
knows yet. Nothing of it is lost, and none is taken for a loss that isn't one."""

from __future__ import annotations

import pytest

from .conftest import typed


@pytest.fixture
def weighted(cook):
    cook.run(*cook.CARROTS, "nine jars packed", "jars are in", *cook.VENTING, 10.1, "weight is on", "weight is rocking")
    assert cook.load.holding
    return cook


@pytest.fixture
def opening(holding):
    holding.run(*(5, "pressure is eleven") * 4, 5.1, "heat is off", 46, "gauge is at zero", 11)
    assert holding.load.at_zero
    return holding


@pytest.mark.parametrize(
    "away", ["i wasn't looking, now it says", "i had my back turned, it says", "i looked away and now it's at"]
)
def test_a_low_number_counts_though_nobody_looked_before(holding, away):
    holding.run(2)
    typed(holding, f"{away} nine")
    assert holding.load.hold.lost_t is not None


@pytest.mark.parametrize("said", ["it's a bit high so i turned it down", "it was climbing and i turned it down"])
def test_heat_turned_down_asks_for_the_reading(holding, said):
    assert "What does the gauge read?" in typed(holding, said)
    assert holding.load.hold.lost_t is None


@pytest.mark.parametrize("said", ["turned it down, still eleven", "it says eleven, turning it down a bit"])
def test_a_reading_beside_lowered_heat_is_the_answer(holding, said):
    assert "?" not in typed(holding, said)
    assert holding.kinds()[-1] == "pressure_is"


def test_a_reading_beside_lowered_heat_starts_the_hold_and_asks_nothing(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on")
    assert "?" not in typed(cook, "it says eleven and i turned it down")
    assert cook.load.holding


@pytest.mark.parametrize("said", ["slowed right down", "it has slowed a lot", "the weight slowed down"])
def test_a_slower_weight_is_asked_about(weighted, said):
    assert "Is the weight still rocking?" in typed(weighted, said)
    assert weighted.load.hold.lost_t is None


@pytest.mark.parametrize("said", ["i can smell something burning", "it smells like something's burning"])
def test_a_smell_of_burning_may_be_the_toast(holding, said):
    assert "If it is the canner" in typed(holding, said)
    assert holding.load.hold.lost_t is None


def test_as_many_as_planned_may_be_all_of_them(cook):
    cook.run(*cook.BEANS, "two jars packed")
    assert "Is it seven in all?" in typed(cook, "seven jars packed")
    typed(cook, "yes")
    assert cook.load.packed == 7


@pytest.mark.parametrize("said", ["make it five quarts", "i only have six good jars", "let's do five jars instead"])
def test_a_plan_put_right_packs_nothing(cook, said):
    cook.run(*cook.BEANS)
    typed(cook, said)
    assert cook.load.packed == 0


def test_a_count_put_right_is_that_count(cook):
    cook.run(*cook.BEANS, "two jars packed")
    typed(cook, "oops i said two but it's one")
    assert cook.load.packed == 1


def test_a_yes_with_the_report_that_waits_for_it_is_enough(cook):
    cook.run(*cook.SAUCE, "seven jars packed")
    typed(cook, "it's boiling")
    assert cook.talk.question.about == "catch_up"
    assert typed(cook, "yes it's boiling").count("oil. The time starts") == 1
    assert cook.load.holding


def test_a_yes_and_more_is_both(cook):
    cook.run(*cook.SAUCE, "seven jars packed")
    typed(cook, "it's boiling", "yes, and the jars are in")
    assert "hold_started" in cook.kinds()


def test_lid_and_weight_come_off_in_one_breath(opening):
    typed(opening, "weight off, lid off")
    assert opening.load.lid_off


@pytest.mark.parametrize("said", ["out they come", "they're on the towel, all seven", "they are coming out now"])
def test_jars_come_out_in_natural_words(opening, said):
    typed(opening, "lid is off", said)
    assert opening.load.stage == "rest"


def test_what_did_not_seal_is_no_denial_of_the_jars_that_are_out(opening):
    typed(opening, "lid is off", "jars are out and two didn't seal")
    assert opening.load.stage == "rest"
    assert opening.load.tally == (0, 2)


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("got them out, six fine and one broken", 6),
        ("one came out without its bottom", 6),
        ("one just fell on the floor", 6),
    ],
)
def test_a_jar_that_broke_is_counted(opening, said, left):
    typed(opening, "lid is off", said)
    assert opening.load.standing == left


def test_liquid_that_is_low_in_some_is_noted(opening):
    typed(opening, "lid is off", "jars are out", "the water's low in two of them")
    assert "liquid_lost" in opening.kinds()


@pytest.mark.parametrize("said", [
    "one of them is leaking", "one's leaking down the side", "one of them is dripping on the counter",
    "this one's weeping", "that jar's oozing onto the towel", "one jar is losing liquid", "a jar is leaking",
])  # fmt: skip
@pytest.mark.parametrize("waited", [1, 722])
def test_a_leaking_jar_failed_wherever_it_is_told(opening, said, waited):
    typed(opening, "lid is off", "jars are out")
    opening.run(waited)
    typed(opening, said)
    assert opening.load.tally == (0, 1)


@pytest.mark.parametrize(
    "said", ["one has a leaky lid", "one of them's weeping at the lid", "one's wet around the lid"]
)
def test_a_wet_jar_is_not_asked_back_as_sealed(opening, said):
    typed(opening, "lid is off", "jars are out")
    opening.run(722)
    assert "sealed?" not in opening.bare(said, typed=True)


@pytest.mark.parametrize("said", ["one is low on liquid", "one lost some liquid", "one of the jars is siphoning"])
def test_a_jar_that_lost_liquid_may_have_sealed(opening, said):
    typed(opening, "lid is off", "jars are out")
    opening.run(722)
    typed(opening, said)
    assert opening.load.tally == (0, 0)


def test_water_over_the_jars_ends_no_step_of_a_pressure_load(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    assert "Two to three inches" in typed(cook, "the jars are under water")
    assert cook.load.step == "lid"


@pytest.mark.parametrize("said", ["all sound", "all sound and hot", "yes, all whole"])
def test_the_jar_check_takes_its_own_words(cook, said):
    cook.run(*cook.BEANS, "> clear", "> done")
    assert cook.load.step == "jar_check"
    typed(cook, said)
    assert cook.load.step != "jar_check"


def test_nothing_is_said_twice_in_one_answer(cook):
    cook.run(*cook.BEANS, "two jars packed")
    assert typed(cook, "i'm out of beans, only six jars").count("Fill as many") == 1
    assert cook.load.packed == 2


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("should the rings be really tight", "Fingertip tight"),
        ("did i say two or three", "Two packed"),
    ],
)
def test_questions_while_packing(cook, said, answer):
    cook.run(*cook.BEANS, "two jars packed")
    assert answer in typed(cook, said)


@pytest.mark.parametrize(
    ("said", "answer"),
    [("there's no dial on this one", "This one needs none"), ("how far should it go", "ten pound")],
)
def test_questions_at_a_weighted_canner(weighted, said, answer):
    assert answer in typed(weighted, said)
    assert not weighted.load.doubts


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("nothing comes out when i nudge the weight", "Don't go by that"),
        ("they're still boiling in the jars", "Fresh from the canner they bubble"),
        ("what if i forget it overnight", "the jars come out"),
    ],
)
def test_questions_at_a_canner_that_cools(holding, said, answer):
    holding.run(*(5, "pressure is eleven") * 4, 5.1, "heat is off", 20)
    assert answer in typed(holding, said)
    assert not holding.load.at_zero


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("it won't lock", "Don't force it"),
        ("it's hissing", "Is it a strong, steady stream"),
        ("the little button popped up", "Say lid is locked"),
        ("do i wait for it to boil before i close it", "Fasten it"),
    ],
)
def test_at_a_loaded_canner(cook, said, answer):
    cook.run(*cook.BEANS, *cook.LOADED)
    assert answer in typed(cook, said)


def test_the_same_load_again_is_read_back(opening):
    typed(opening, "lid is off", "jars are out")
    assert "Is that right?" in typed(opening, "same again please")


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("which one is due first", "left"),
        ("what are you waiting for", "Packing"),
        ("what do you still need", "Packing"),
    ],
)
def test_what_is_open_of_two_loads(holding, said, answer):
    holding.run(*holding.CARROTS, "> two jars packed")
    assert answer in typed(holding, said)


@pytest.mark.parametrize("said", ["it stopped but it's going again", "it quit", "nothing's moving"])
def test_what_stopped_unnamed_is_asked_about_whatever_holds(weighted, boiling, said):
    for each in (weighted, boiling):
        assert "at any time?" in typed(each, said)
        typed(each, "yes")
        assert each.load.hold.lost_t is not None


@pytest.mark.parametrize("said", ["the flame went out and i lit it again", "the burner died but it's back on"])
def test_heat_that_is_back_is_asked_about_once(holding, said):
    assert typed(holding, said).count("?") == 1
    assert holding.load.doubt


def test_heat_that_goes_off_after_it_was_back_is_told(holding):
    typed(holding, "i lit it again but the flame went out")
    assert "heat_off" in [doubt.kind for doubt in holding.load.doubts]


def test_a_number_with_a_report_beside_it_is_no_number_of_jars(holding):
    holding.run(5)
    assert "mind the glass" in typed(holding, "eleven and i think a jar broke")
    assert holding.kinds()[-1] == "pressure_is"


@pytest.mark.parametrize(
    ("said", "lost"), [("i said eleven but it's ten", True), ("i meant ten not twelve", True), ("still eleven", False)]
)
def test_the_lower_of_two_numbers_counts(holding, said, lost):
    holding.run(5)
    typed(holding, said)
    assert (holding.load.hold.lost_t is not None) is lost


@pytest.mark.parametrize("said", ["i said ten but it's eleven", "i meant twelve not ten"])
def test_a_low_number_that_is_put_right_is_asked_about(holding, said):
    holding.run(5)
    assert "Did the pressure drop here?" in typed(holding, said)


@pytest.mark.parametrize("said", ["wait only six came out one broke", "six came out fine, one broke"])
def test_a_broken_jar_comes_off_before_the_others_are_counted(opening, said):
    assert "?" not in typed(opening, "lid is off", said)
    assert opening.load.standing == 6


def test_jars_out_are_counted_again_while_they_rest(opening):
    typed(opening, "lid is off", "jars are out", "actually it was six jars, not seven", "yes")
    assert opening.load.standing == 6


@pytest.mark.parametrize(
    ("said", "packed"),
    [("the carrots are at three", 3), ("the carrots are at eleven", 0), ("the gauge on the carrots is at three", 0)],
)
def test_a_small_number_of_a_load_in_packing_is_of_its_jars(holding, said, packed):
    holding.run(*holding.CARROTS)
    typed(holding, said)
    assert holding.load.packed == packed


def test_jars_that_still_wait_are_not_out(holding):
    holding.run(*holding.CARROTS)
    assert "Packing." in typed(holding, "the carrots are still on the counter")
    assert not holding.kitchen.doubts
    typed(holding, "the beans are still on the counter")
    assert holding.kitchen.doubts


@pytest.mark.parametrize(("said", "answer"), [("it's about five", "Not there yet"), ("it's about eleven", "be sure")])
def test_only_an_unsure_reading_that_begins_something_has_to_be_sure(cook, said, answer):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on")
    assert answer in typed(cook, said)


def test_a_wait_that_begins_a_sentence_says_nothing_of_when(cook):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, 10.1, "weight is on")
    typed(cook, "wait for eleven")
    assert not cook.load.holding
    typed(cook, "wait, it's at eleven")
    assert cook.load.holding
