"""Numbers that aren't the load's: no reading settles them, and no jar goes on the shelf before they are put right."""

from __future__ import annotations

import pytest

OUT = (46, "gauge is at zero", 11, "lid is off", "jars are out", 721, "seven sealed none failed", "> yes")


@pytest.fixture
def typing(holding):
    """A cook who types: the words of everyday are only typed."""
    return lambda text: holding.bare(f"kitchen voice {text}", typed=True)


@pytest.mark.parametrize("said", ["it's corn", "they are half gallon jars", "i meant carrots"])
def test_another_food_or_jar_told_in_a_hold_is_settled_by_no_reading(holding, typing, said):
    holding.wait(300)
    assert "say give up the load" in typing(said)
    holding.run("pressure is eleven")
    assert "wasn't processed as tested" in holding.wait(1260)
    assert holding.load.processed_t is not None
    holding.run("heat is off", *OUT)
    assert "aren't for the shelf" in holding.say("close the load")
    assert holding.load.shelved == 0
    assert not any("in full" in text for text in holding.said[-20:] if "hold" in text)


def test_put_right_the_hold_is_whole(holding, typing):
    typing("it's corn")
    assert "Then its numbers are right." in typing("it's green beans")
    assert "The hold is done, twenty five minutes in full." in holding.wait(1501)


def test_told_in_time_no_vent_begins_by_them(cook):
    cook.run(*cook.BEANS, *cook.LOADED, "lid is locked")
    cook.bare("kitchen voice it's corn", typed=True)
    assert "Say give up the load" in cook.say("steam is steady")
    assert cook.load.timer("vent") is None


@pytest.mark.parametrize("stage", [(), ("heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out")])
def test_told_after_the_end_it_keeps_every_jar_off_the_shelf(holding, typing, stage):
    holding.run(26, *stage)
    assert "none of its jars goes on the shelf" in typing("they are half gallon jars")
    assert holding.load.unfit == 7
    typing("they are quarts")
    assert holding.load.unfit == 0


@pytest.mark.parametrize(
    ("feet", "unfit"), [("five thousand", 7), ("two hundred", 0), ("one thousand five hundred", 0)]
)
def test_an_altitude_that_needs_more_makes_the_jars_unfit_until_it_is_set_back(holding, feet, unfit):
    holding.run(f"altitude is {feet} feet", "> yes", 26)
    assert holding.load.unfit == unfit
    assert any("hold is done" in text for text in holding.said) is (unfit == 0)
    holding.run("altitude is nine hundred feet", "> yes")
    assert holding.load.unfit == 0
