"""The explorer: its copies are copies, what it takes together is alike, and nothing it tries breaks the oracle."""

from __future__ import annotations

import pytest
from days import SEEDS, alphabet
from explorer import Node
from sentences import CLAIMS

HOLDING = ("hold", "asked for the heat", "two hold, whose heat is off")
ASKED = {"which", "heat", "wrong", "retake", "steam", "steady", "gauge", "state", "other"}
"""What the program asks about, of `QUESTIONS`."""


def seed(name):
    return next(each for each in SEEDS if each.name == name)


def told(node, step):
    return [(reply.text, reply.recorded) for reply, _ in node.replies(step)]


@pytest.mark.parametrize("name", [each.name for each in SEEDS])
def test_a_copy_answers_as_the_original_and_leaves_it_alone(name):
    node = Node.at(seed(name))
    before = node.key(0.0)
    for step in alphabet(seed(name)):
        one, other = node.then(step), node.then(step)
        assert told(one, step) == told(other, step)
        assert one.key(0.0) == other.key(0.0)
    assert node.key(0.0) == before


@pytest.mark.parametrize("name", HOLDING)
def test_states_that_are_taken_together_answer_alike(name):
    first, pairs, begun = {}, [], Node.at(seed(name))
    for one in alphabet(seed(name)):
        after = begun.then(one)
        told(after, one)
        for two in ("> no", "> yes", "scratch that", "how long is left", 3.0):
            node = after.then(two)
            told(node, two)
            key = node.key(0.0)
            if key in first:
                pairs.append((first[key], node))
            first.setdefault(key, node)
    assert pairs
    for one, other in pairs[:: max(1, len(pairs) // 25)]:
        for step in ("> no", "> yes", "scratch that", "heat is off", "to just after the end"):
            assert told(one.then(step), step) == told(other.then(step), step)


def test_the_oracle_knows_the_words_of_claims_and_questions():
    """One that doesn't recognise a claim any more would let all of them pass."""
    seen = set()
    for each in SEEDS:
        node = Node.at(each)
        for step in alphabet(each):
            after = node.then(step)
            told(after, step)
            seen |= after.oracle.seen
    assert seen >= {name for name, _ in CLAIMS} | ASKED
