"""A load in a steam canner by voice: its column, its cover, and other loads beside it."""

import pytest

PEACHES = ("start seven pints of peaches hot pack in the steam canner", "> yes")
IN = ("next", "> clear", "seven jars packed", "jars are in", "heat is on")


@pytest.fixture
def steam(cook):
    cook.run(*PEACHES, *IN)
    assert cook.load.stage == "come_up"
    return cook


@pytest.mark.parametrize(
    "said", ["the steam column is steady", "steam is steady", "there's eight inches of steam", "the column is steady"]
)
def test_the_column_starts_the_time(steam, said):
    assert "The time starts now: twenty minutes" in steam.say(said)
    assert steam.load.holding


@pytest.mark.parametrize("said", ["full boil", "weight is rocking", "weight is on", "pressure is eleven"])
def test_nothing_else_does(steam, said):
    steam.say(said)
    assert steam.load.hold is None


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("steam stopped", "steam"),
        ("the column dropped", "steam"),
        ("the steam is not steady", "steam"),
        ("we lost the boil", "steam"),
        ("i took the lid off", "steam"),
    ],
)
def test_what_loses_it(steam, said, why):
    steam.run("steam is steady", 5, said)
    assert steam.load.hold.lost_t == steam.t
    assert steam.load.hold.why == why
    assert "starts over in full" in steam.said[-2]


def test_a_check_of_it_is_answered_by_a_yes_the_report_or_a_no(steam):
    steam.run("steam is steady", 2.1)
    assert "Is the column still steady?" in steam.said[-1]
    assert "Steady." in steam.bare("yes")
    while "Is the column still steady?" not in steam.wait(5):
        pass
    assert "Steady." in steam.bare("the steam is steady")
    assert steam.load.holding


def test_a_no_to_the_check_loses_it(steam):
    steam.run("steam is steady", 2.1, "> no")
    assert steam.load.hold.why == "steam"


@pytest.mark.parametrize("minutes", [5, 20.5])
def test_a_denial_of_steam_in_or_just_after_its_time_puts_it_in_question(steam, minutes):
    steam.run("steam is steady", minutes, "no steady steam")
    assert "Was the cover shut and the column steady all the time, with the heat on?" in steam.said[-1]
    steam.wait(400)
    assert steam.load.hold.lost_t is not None
    assert steam.load.processed_t is None


def test_a_yes_after_its_end_says_that_the_time_is_up(steam):
    steam.run("steam is steady", 20.5, "no steady steam")
    assert "Then the time is up." in steam.bare("yes")


def test_after_a_gap_it_is_asked_and_silence_loses_it(steam):
    steam.run("steam is steady", 5)
    answer = steam.cut(300)
    assert "Was the cover shut and the column steady all the time?" in answer
    steam.wait(400)
    assert not steam.load.holding


def test_steam_beside_a_vent_is_asked_for(steam):
    steam.run("start seven quarts of green beans raw pack in canner one", "> yes", "seven jars packed", "jars are in")
    steam.say("lid is locked")
    answer = steam.say("steam is steady")
    assert "Which load: green beans or peaches?" in answer
    assert "The time starts now" in steam.bare("the peaches")
    assert steam.kitchen.loads[0].holding
    assert steam.kitchen.loads[1].timer("vent") is None


def test_steam_that_stopped_beside_a_vent_breaks_the_vent_and_puts_the_column_in_question(steam):
    steam.say("steam is steady")
    steam.run("start seven quarts of green beans raw pack in canner one", "> yes", "seven jars packed", "jars are in")
    steam.run("lid is locked", "green beans, steam is steady", 2)
    assert steam.kitchen.loads[1].timer("vent") is not None
    steam.say("the steam stopped")
    peaches, beans = steam.kitchen.loads
    assert beans.timer("vent") is None
    assert [doubt.kind for doubt in peaches.doubts] == ["in_question"]
    assert peaches.holding


def test_a_boil_beside_it_is_of_the_water(steam):
    steam.run(
        "start seven pints of apple sauce hot pack", "> boiling water", "> yes", "seven jars packed", "jars are in"
    )
    steam.run("done", "heat is on", "full boil")
    peaches, sauce = steam.kitchen.loads
    assert sauce.holding
    assert peaches.hold is None
    steam.say("steam is steady")
    assert steam.kitchen.loads[0].holding


def test_what_can_be_said_and_asked_of_it(steam):
    assert "steam is steady" in steam.say("what can i say")
    assert "Cover" in steam.say("why") or "column" in steam.said[-1]
    assert "steady column of steam" in steam.say("what pressure do we need")
    assert "steady column of eight to ten inches" in steam.say("how long do we vent")
    assert "as its maker says" in steam.say("how much water")
    steam.run("steam is steady")
    assert "of the steaming left" in steam.say("how long is left")
    assert "holding in steam" in steam.say("where are we").lower()


def test_a_column_taken_back_is_asked_of(steam):
    steam.run("steam is steady", 5, "scratch that")
    assert "steam steady" in steam.said[-1]


@pytest.mark.parametrize(("minutes", "said", "answer"), [(5, "scratch that", "no"), (21, "lid is off", "yes")])
def test_a_column_denied_over_another_question_is_asked_of_after_it(steam, minutes, said, answer):
    steam.run("steam is steady", minutes, said)
    assert steam.say("no steady steam").startswith("Yes or no?")
    assert "the column steady all the time" in steam.bare(answer)
    assert steam.load.doubt


def test_the_guide_is_told_of_once(cook):
    cook.run(*PEACHES)
    assert sum("page one ten" in text for text in cook.said) == 1
    cook.run("start seven pints of peaches hot pack in the steam canner")
    assert sum("page one ten" in text for text in cook.said) == 1
