"""What is typed of a canner that may be under pressure, in words not known: the caution that fits comes first."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import typed

LID = "Leave the lid on"
OPENING = [
    "let me get these quarts out",
    "twisting its handles now",
    "prising the cover up with a knife",
    "i need it for the carrots, popping the lid now",
    "nudging the weight up a little to let it hiss",
]
HURRYING = [
    ("i'm going to stand it under the tap to hurry it", "Never use cold water"),
    ("my niece hosed it", "Never use cold water"),
    ("ice pack on the lid now", ""),
    ("stood it on the step in the snow", "Don't hurry it"),
]
BESIDE = [
    "my fingers are like ice",
    "i'm washing the ladle in the sink",
    "let me get my glasses",
    "having a cold drink",
]


@pytest.fixture
def waiting(holding):
    holding.run(26, "heat is off", 50, "gauge is at zero", 2)
    return holding


@pytest.mark.parametrize("said", OPENING)
def test_what_may_open_it_begins_with_the_caution_and_is_no_other_matter(cooling, said):
    answer = typed(cooling, said)
    assert answer.startswith(LID) and answer.count(LID) == 1
    assert "glasses" not in answer and "Did you mean: let me" not in answer


@pytest.mark.parametrize("said", ["popping the lid now", "twisting its handles now", "the weight came off ages ago"])
def test_at_zero_the_caution_tells_what_is_left_to_wait(waiting, said):
    assert typed(waiting, said).startswith("Leave the lid on. Eight minutes still to wait.")
    assert waiting.load.at_zero


@pytest.mark.parametrize(("said", "begins"), HURRYING)
def test_what_may_hurry_the_cooling_is_warned_of_and_asked_before_the_load_counts(cooling, said, begins):
    assert typed(cooling, said).startswith(begins)
    assert [doubt.kind for doubt in cooling.load.kept] == ["of_cooling"]
    cooling.run(40, "gauge is at zero", 10, "lid is off", "jars are out", 725, "seven sealed", "yes")
    assert "Has it cooled by itself" in cooling.said[-1]
    typed(cooling, "no")
    assert [fault.kind for fault in cooling.load.faults] == ["cooling"]


def test_of_what_hurried_the_cooling_nothing_else_is_asked(cooling):
    typed(cooling, "stood it on the step in the snow")
    assert "Has it cooled by itself" in typed(cooling, "yes")
    assert [doubt.kind for doubt in cooling.load.doubts] == ["of_cooling"]
    typed(cooling, "yes")
    assert not (cooling.load.doubts or cooling.load.remarks)


def test_who_wants_to_hurry_it_is_told_and_asked_nothing(cooling):
    assert "hurry" in typed(cooling, "i want to cool it faster")
    assert not cooling.load.kept


@pytest.mark.parametrize("said", BESIDE)
def test_talk_of_the_kitchen_brings_no_caution(cooling, said):
    answer = typed(cooling, said)
    assert LID not in answer and "cold water" not in answer
    assert not cooling.load.kept


# ---------------------------------------------------------------- a lid that is off


def test_a_zero_and_the_lid_off_in_one_breath_are_both_taken_with_the_wait_that_was_left(holding):
    holding.run(26, "heat is off", 46)
    answer = typed(holding, "it's at zero, weight's off and the lid is off too")
    assert answer.startswith("At zero, and the lid off ten minutes early") and LID not in answer
    assert holding.load.lid_off
    (event,) = [each for each in holding.events if each.kind == "lid_off"]
    assert event.data["left_s"] == 600
    assert "The ten minutes are up" not in holding.wait(900)
    assert "Seven quarts out" in typed(holding, "jars are out")


def test_jars_told_out_after_a_lid_that_was_told_off_are_out(waiting):
    assert typed(waiting, "the lid's off").startswith(LID)
    answer = typed(waiting, "jars are out")
    assert answer.startswith("At zero, and the lid off eight minutes early") and LID not in answer
    assert waiting.load.stage == "rest"


def test_jars_told_out_before_a_zero_was_told_leave_the_pressure_to_be_asked(holding):
    holding.run(26, "heat is off", 60)
    typed(holding, "the lid's off")
    answer = typed(holding, "all seven are on the towel")
    assert LID not in answer and answer.endswith("Was all the pressure gone before it came off?")
    assert holding.load.stage == "rest"
    typed(holding, "no")
    assert holding.load.all_unfit


@pytest.mark.parametrize("said", ["oh no i mean the lid of the jam pot", "sorry, i meant the soup pot", "scratch that"])
def test_a_lid_that_was_another_ones_is_taken_back_in_the_same_breath(cooling, said):
    typed(cooling, "lid is off", said)
    assert not cooling.load.doubts
    assert "Not processed as tested" not in cooling.wait(2000)


def test_a_lid_that_was_another_ones_is_asked_about_later(cooling):
    typed(cooling, "lid is off")
    cooling.wait(90)
    typed(cooling, "oh no i mean the lid of the jam pot")
    assert cooling.load.doubted("opened")


@pytest.mark.parametrize("answer", ["yes", None])
def test_a_zero_that_was_told_among_other_words_lets_air_in(holding, answer):
    typed(holding, "gauge fell to zero, no steam nothing", *([answer] if answer else []))
    if answer is None:
        holding.wait(400)
    assert holding.load.step == "vent_again"


@pytest.mark.parametrize(
    "said",
    [
        "they're still bubbling in the jars",
        "one jar lost about half its liquid",
        "some of the water came out of the jars",
    ],
)
def test_what_is_seen_in_an_open_canner_alone_asks_whether_it_stayed_shut(cooling, said):
    assert typed(cooling, said).endswith("Has it stayed shut since the heat went off?")
    typed(cooling, "no")
    assert cooling.load.all_unfit


@pytest.mark.parametrize("said", ["will they be bubbling", "i hear the lids popping"])
def test_what_is_heard_or_asked_opens_no_canner(cooling, said):
    typed(cooling, said)
    assert not cooling.load.doubted("opened")


@pytest.mark.parametrize("said", [
    "it's so hot in here I put the fan on the canner", "I put the box fan next to it", "I'm fanning it with a towel",
    "I've got it by the open window in the draft", "I've got the AC blowing right on it",
    "there's a cold draft on it from the back door", "I opened the window to get a breeze on it",
])  # fmt: skip
def test_air_blown_at_a_canner_is_warned_of_and_kept(holding, said):
    holding.run(26, "heat is off", 5)
    assert typed(holding, said).startswith("Don't hurry it in any way")
    assert "of_cooling" in [each.kind for each in holding.load.kept]


@pytest.mark.parametrize("said", [
    "the fan is on in the living room", "my husband's a big fan of beans", "I turned the fan off",
    "my wife has the fan on her", "I turned the fan on because it's hot in here",
])  # fmt: skip
def test_a_fan_that_blows_elsewhere_is_none_of_ours(holding, said):
    holding.run(26, "heat is off", 5)
    typed(holding, said)
    assert "of_cooling" not in [each.kind for each in holding.load.kept]
