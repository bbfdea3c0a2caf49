"""What is told once the jars are on the shelf is asked about, and counts if nobody takes it back."""

from __future__ import annotations

import pytest

from tests.dialogue.conftest import typed

COUNTED = (26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 721)


@pytest.fixture
def closed(holding):
    holding.run(5, "pressure is eleven", 5, "pressure is eleven", 5, "pressure is eleven", 5, "pressure is eleven", 5)
    holding.run(*COUNTED[1:], "seven sealed none failed", "> yes", "close the load")
    assert not holding.kitchen.open_loads
    assert holding.kitchen.loads[0].shelved == 7
    return holding


@pytest.mark.parametrize(
    "said",
    [
        "i forgot to say the pressure dropped in the hold",
        "it lost pressure in the hold",
        "the jiggler quit for a while",
        "it didn't hold the whole time",
    ],
)
def test_a_loss_that_is_told_late_is_asked_about_and_a_yes_takes_the_jars_off_the_shelf(closed, said):
    assert "on the shelf?" in typed(closed, said)
    typed(closed, "yes")
    assert closed.kitchen.loads[0].faults


@pytest.mark.parametrize(("after", "faults"), [((2,), 1), (("> no",), 0)])
def test_a_loss_that_is_told_late_counts_unless_somebody_says_that_it_was_not_about_them(closed, after, faults):
    closed.run("pressure dropped", *after)
    assert len(closed.kitchen.loads[0].faults) == faults


@pytest.mark.parametrize("said", ["heat is off", "the mail is here", "what a day"])
def test_what_is_no_loss_leaves_them_where_they_are(closed, said):
    typed(closed, said)
    closed.run(2)
    assert not closed.kitchen.loads[0].faults
