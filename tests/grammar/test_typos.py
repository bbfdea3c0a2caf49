"""Typos are named, and never acted on."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.grammar import STAGES, GrammarBook
from kitchenvoice.grammar.typos import mistyped
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Utterance

T = 1_786_521_600.0


def said(turn: Turn) -> str:
    """Join the sentences of a turn."""
    return " ".join(each.text for each in turn.announcements)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("strat a load", ("strat", "start")),
        ("presure is eleven", ("presure", "pressure")),
        ("start seven qarts of green beans raw pack", ("qarts", "quarts")),
        ("start seven quarts tomatos", ("tomatos", "tomatoes")),  # not a sentence, but the word is clear
        ("xyzzy a load", None),
        ("it's boilng", ("boilng", "boiling")),
        ("exit", None),  # no "next"
        ("start a load", None),
        ("strat a laod", None),  # two of them: anybody's guess
        ("pressure is 80 kpa", None),  # an unknown unit is no typo
    ],
)
def test_one_strange_word_is_named_with_the_nearest_that_makes_a_sentence(
    plain: GrammarBook, typed: str, found: tuple[str, str] | None
) -> None:
    assert mistyped(typed, plain.grammar(STAGES, attention="optional")) == found


def test_an_answer_is_looked_for_among_the_answers(plain: GrammarBook) -> None:
    assert mistyped("dail", plain.grammar(("idle",), attention="optional", question="setup_gauge")) == ("dail", "dial")


def test_a_slip_is_told_and_changes_nothing_and_the_question_stays(plain: GrammarBook) -> None:
    talk = Conversation(plain, PRACTICE_KITCHEN)
    talk.begin(T, typed=True)
    talk.hear(Utterance(("start seven quarts of green beans raw pack in canner one",)), T, typed=True)
    turn = talk.hear(Utterance(("yess",)), T, typed=True)
    assert said(turn) == "I don't know yess. I know yes."
    assert not turn.events
    assert talk.open_question(T) is not None
    assert [event.kind for event in talk.hear(Utterance(("yes",)), T, typed=True).events] == ["load_start"]


def test_what_is_spoken_is_never_mended(plain: GrammarBook) -> None:
    talk = Conversation(plain, PRACTICE_KITCHEN)
    talk.begin(T)
    assert said(talk.hear(Utterance(("kitchen voice strat a load",)), T)) == "Say that again?"
