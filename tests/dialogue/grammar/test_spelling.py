"""What is typed is read as the engine would have heard it; what is heard is shown as she would write it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.dialogue import words
from kitchenvoice.dialogue.grammar import STAGES, GrammarBook, grammar_folder, normalise, written

CONTRACTIONS = sorted(
    {
        word
        for path in grammar_folder().glob("*.jsgf")
        for word in re.findall(r"\b[a-z]+'[a-z]+\b", path.read_text(encoding="utf-8"))
        if word not in ("stage's", "we're")  # in a comment; "were" is a word of its own
    }
)


@pytest.mark.parametrize("word", CONTRACTIONS)
def test_an_apostrophe_may_be_left_out(word: str) -> None:
    assert normalise(word.replace("'", "")) == word


@pytest.mark.parametrize("typed", ["whats the headspace", "its boiling", "thats it", "im done", "I dont know"])
def test_sentences_typed_in_a_hurry_mean_the_same(book: GrammarBook, typed: str) -> None:
    grammar = book.grammar(STAGES, attention="optional", question="setup_units")
    proper = typed.lower().replace("im ", "i'm ").replace("ts ", "t's ").replace("dont", "don't")
    assert [(x.intent, x.slots) for x in grammar.parse(typed)] == [(x.intent, x.slots) for x in grammar.parse(proper)]
    assert proper != typed


@given(st.sampled_from(range(100)), st.sampled_from(["{} canners", "i have {} canners", "{} canners please"]))
def test_canners_are_shown_as_many_as_she_said(count: int, sentence: str) -> None:
    said = sentence.format(words.number(count))
    shown = written(normalise(said))
    assert shown == (said.replace("canners", "canner") if count == 1 else said)
    assert normalise(shown) == normalise(said)  # heard the same again


@pytest.mark.parametrize("said", ["in canner two", "canner number two", "change canner one", "the second canner"])
def test_a_canner_by_its_number_is_one(said: str) -> None:
    assert written(said) == said


def test_what_is_heard_in_two_words_is_shown_as_it_is_written() -> None:
    assert written(normalise("What's the headspace for huckleberries?")) == "what's the headspace for huckleberries"
