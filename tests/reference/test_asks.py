"""Whether a text asks or tells, by how it begins and ends."""

import pytest

from kitchenvoice.reference.nearness import asks


@pytest.mark.parametrize("text", ["can't we stop", "couldn't i just boil those", "won't it burst", "don't you know"])
def test_a_denied_verb_asks_before_somebody_or_something(text):
    assert asks(text)


@pytest.mark.parametrize("text", ["can't keep it at eleven", "couldn't hold it up", "won't stay up", "don't see any"])
def test_a_denied_verb_tells_where_nobody_is_named(text):
    assert not asks(text)


def test_what_ends_like_a_question_asks_however_it_begins():
    assert asks("can't keep it at eleven is that bad")
