"""A no before a statement that nobody asked for is of what was said before: the statement counts. No denial is lost."""

from __future__ import annotations

import pytest

from .conftest import typed


@pytest.mark.parametrize("said", ["no it's not at zero yet", "no the gauge is not at zero yet"])
def test_not_yet_is_as_good_after_a_no(holding, said):
    holding.run(26, "heat is off", 10)
    assert typed(holding, said) == typed(holding.copy(), said.removeprefix("no "))
    assert not holding.load.at_zero
    assert not holding.load.doubts


def test_a_loss_after_a_no_is_one(holding):
    typed(holding, "no the pressure dropped")
    assert not holding.load.claims


@pytest.mark.parametrize("said", ["no jars broke", "no pressure lost", "no steam is coming out"])
def test_what_is_denied_keeps_its_no(holding, said):
    typed(holding, said)
    assert holding.load.broken == 0
    assert holding.load.claims
