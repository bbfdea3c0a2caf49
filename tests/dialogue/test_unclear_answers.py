"""What is neither a clear yes nor a clear no settles no doubt as held, whatever is asked."""

from __future__ import annotations

import pytest

from .conftest import typed

UNCLEAR = (
    "never mind", "forget it", "not quite", "not really", "not exactly", "it's fine", "all good", "looks okay",
    "i'm sure it's okay", "that's okay", "keep going", "i think so", "yeah for a bit", "yes, i turned it up", "okay",
    "i turned it up", "more or less", "i hope so", "probably", "whatever", "i don't think so",
)  # fmt: skip
OF_A_HOLD = (
    "i think i rushed the venting", "i lifted the lid a second", "somebody fiddled with the burner",
    "tom turned the stove down when he came in", "half of these are pints", "i turned it off, the beans looked done",
    "i was out of the room", "the weight fell off and i put it back",
)  # fmt: skip
OF_COOLING = ("the lid's off", "i've got the fan blowing on it", "some of the water came out of the jars")
OF_JARS = ("there's mold in one", "one of them smells funny")


def is_open(load):
    """True if the load counts for nothing, or a doubt is kept of it."""
    return bool(load.doubts or load.kept or load.faults or load.unfit) or not (load.claims or load.stands)


def settled_by(cook, told):
    """Return the unclear answers after which nothing is open any more."""
    typed(cook, told)
    assert is_open(cook.load)
    answered = {said: cook.copy() for said in UNCLEAR}
    for said, other in answered.items():
        typed(other, said)
    return [said for said, other in answered.items() if not is_open(other.load)]


@pytest.mark.parametrize("told", OF_A_HOLD)
def test_no_unclear_answer_lets_a_hold_go_on_as_if_nothing_was(holding, told):
    assert settled_by(holding, told) == []


@pytest.mark.parametrize("told", ["i took one jar out", "somebody fiddled with the burner"])
def test_nor_a_boil(boiling, told):
    assert settled_by(boiling, told) == []


@pytest.mark.parametrize("told", OF_COOLING)
def test_nor_a_canner_that_cools(holding, told):
    holding.run(26, "heat is off", 10)
    assert settled_by(holding, told) == []


@pytest.mark.parametrize("told", OF_JARS)
def test_nor_jars_that_are_counted(counting, told):
    assert settled_by(counting, told) == []


@pytest.mark.parametrize("said", ["no", "that wasn't for you"])
def test_what_was_of_something_else_is_forgotten(holding, said):
    typed(holding, "the jars got a bump", said)
    assert not is_open(holding.load)


@pytest.mark.parametrize("said", ["yes", "yes it did", "ten", "yes, ten"])
def test_a_clear_yes_lets_it_go_on(holding, said):
    typed(holding, "i think i rushed the venting", said)
    assert holding.load.claims and not holding.load.doubts


@pytest.mark.parametrize(
    "said", ["no, seven", "nine and a half", "it was more like six, then i put the weight on", "eight"]
)
def test_fewer_minutes_are_no_whole_vent_and_no_pressure(holding, said):
    typed(holding, "i think i rushed the venting")
    assert "vent" in holding.load.doubts[0].kind
    assert "doesn't count" in typed(holding, said)
    assert not holding.load.holding and "pressure_low" not in holding.kinds()
