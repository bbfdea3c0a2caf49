"""Combination of two recognisers' n-best lists."""

from __future__ import annotations

import pytest

from kitchenvoice.hearing.recognise.posteriors import put_together


def test_a_text_that_both_heard_comes_first() -> None:
    one = (("weight is on", "wait is on"), (0.6, 0.4))
    other = (("wait is on", "white is on"), (0.9, 0.1))
    texts, posteriors = put_together(one, other)
    assert texts == ("wait is on", "weight is on", "white is on")
    assert posteriors == pytest.approx((0.65, 0.3, 0.05))


def test_the_posteriors_still_make_one() -> None:
    _, posteriors = put_together((("a", "b"), (0.7, 0.3)), (("c",), (1.0,)))
    assert sum(posteriors) == pytest.approx(1.0)
