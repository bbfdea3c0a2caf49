"""What is back was away: a hold that was lost, or that is asked about, starts anew by it, however it is told."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import typed

BACK = {
    "holding": ("it's back at eleven", "back up at eleven", "i pushed on the handles, it's better now, back at eleven"),
    "weighted": ("rocking again", "there, it's rocking again", "now it jiggles", "okay the weight's jiggling again"),
    "boiling": (
        "rolling again",
        "boiling again now",
        "okay rolling boil again",
        "i stirred the fire, it's rolling again",
    ),
}
TOLD = {
    "holding": ("the needle was all over the place", "had a power blip a few minutes ago", "heat is off"),
    "weighted": (
        "it just sort of hissed for a good few minutes, no jiggle",
        "fuse blew, the hob is dead",
        "heat is off",
    ),
    "boiling": ("only simmering at the mo", "it went off the boil when i topped it up with cold water", "heat is off"),
}
LOST = {"holding": "pressure dropped", "weighted": "weight stopped rocking", "boiling": "we lost the boil"}
NOT_YET = ("tell me when {}", "if {} i'll say", "i hope {}", "i don't think {}", "not yet, {}", "almost {}")
EACH = [(canner, back) for canner, said in BACK.items() for back in said]
ASKED = [(canner, told, back) for canner, back in EACH for told in TOLD[canner]]


@pytest.mark.parametrize(("canner", "told", "back"), ASKED)
def test_over_the_question_about_a_loss_what_is_back_is_a_yes_and_starts_the_hold_anew(request, canner, told, back):
    cook = request.getfixturevalue(canner)
    cook.wait(300)
    typed(cook, told)
    assert cook.load.doubt
    typed(cook, back)
    assert cook.load.holding and not cook.load.doubt
    assert cook.load.hold.started_t == cook.t
    assert cook.load.restarts == 1
    assert cook.replayed() == cook.kitchen


@pytest.mark.parametrize(("canner", "back"), EACH)
def test_after_a_loss_the_hold_starts_anew_by_what_is_back(request, canner, back):
    cook = request.getfixturevalue(canner)
    cook.wait(300)
    typed(cook, LOST[canner])
    cook.wait(5)
    typed(cook, back)
    assert cook.load.holding and cook.load.hold.started_t == cook.t


@pytest.mark.parametrize("asked", [True, False])
@pytest.mark.parametrize("frame", NOT_YET)
@pytest.mark.parametrize(("canner", "back"), [(canner, said[0]) for canner, said in BACK.items()])
def test_nothing_starts_by_what_may_not_be_back(request, canner, back, frame, asked):
    cook = request.getfixturevalue(canner)
    cook.wait(300)
    typed(cook, TOLD[canner][0] if asked else LOST[canner])
    started_t = cook.load.hold.started_t
    typed(cook, frame.format(back))
    assert cook.load.hold.started_t == started_t
    assert cook.load.doubt or cook.load.hold.lost_t is not None


def test_a_weight_that_rocks_again_puts_no_dial_in_question(holding):
    loaded = ("nine jars packed", "jars are in", *holding.VENTING, 10.1, "weight is on", "weight is rocking")
    holding.run(*holding.CARROTS, *(f"carrots {line}" if isinstance(line, str) else line for line in loaded))
    beans, carrots = holding.kitchen.open_loads
    typed(holding, "carrots stopped rocking")
    typed(holding, "rocking again")
    beans, carrots = holding.kitchen.open_loads
    assert carrots.hold.started_t == holding.t and not beans.doubts


def test_a_loss_told_while_nothing_counts_is_not_held_against_the_hold_that_follows(holding):
    typed(holding, "pressure dropped")
    holding.wait(60)
    typed(holding, "blast, it's gone under again", "eleven")
    assert holding.load.holding and not holding.load.kept


def test_a_loss_told_while_another_may_still_be_denied_is_kept(holding):
    typed(holding, "i think it dropped", "no but the flame went out for a bit")
    assert holding.load.kept


@pytest.mark.parametrize(
    "said", ["got it going", "i've got it lit", "turned it on", "okay i lit it", "got the burner on"]
)
def test_what_was_lit_was_out(holding, said):
    holding.wait(300)
    typed(holding, "the flame went out")
    assert "goes on" not in typed(holding, said)
    holding.wait(90)
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["it never went out", "it's still on", "no it's on"])
def test_what_never_went_out_goes_on(holding, said):
    holding.wait(300)
    typed(holding, "the flame went out")
    assert "goes on" in typed(holding, said)
    assert holding.load.holding


def test_pressure_that_is_all_gone_in_a_hold_lets_air_in(holding):
    holding.wait(300)
    assert "it vents again" in typed(holding, "the pressure is all gone")
    assert "The vent starts over" in typed(holding, "pressure is eleven")
    assert not holding.load.holding


@pytest.mark.parametrize("said", ["the dial one", "the one with the dial", "the one on the dial"])
def test_a_canner_that_is_named_is_no_reading(holding, said):
    typed(holding, said)
    assert holding.load.holding and "pressure_is" not in holding.kinds()[-2:]


@pytest.mark.parametrize("said", ["it kept sinking under the mark", "it kept dropping below the mark"])
def test_what_fell_while_it_held_is_not_what_falls_as_it_cools(holding, said):
    holding.run(26, "heat is off", 10)
    assert "Was the pressure below eleven" in typed(holding, said)
    assert "held" not in typed(holding, "what's on the record")
