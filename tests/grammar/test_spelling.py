"""Typed text is read in the engine's spelling; recognised text is shown in the cook's."""

from __future__ import annotations

import re
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.grammar import STAGES, GrammarBook, grammar_folder, normalise, written
from kitchenvoice.language import load_language

words = load_language("en")
CONTRACTIONS = sorted(
    {
        word
        for path in grammar_folder().glob("*.jsgf")
        for word in re.findall(r"\b[a-z]+'[a-z]+\b", path.read_text(encoding="utf-8"))
        if word not in ("stage's", "jar's")  # in comments
        if word not in ("we're", "it's", "i'd", "i'll", "day's", "crock's")  # without it another word
    }
)


@pytest.mark.parametrize("word", CONTRACTIONS)
def test_an_apostrophe_may_be_left_out(word: str) -> None:
    assert normalise(word.replace("'", "")) == word


def test_no_word_of_everyday_talk_is_spelt_into_a_command() -> None:
    """The filler takes those words for talk; a typed one may be a typo."""
    talk = (grammar_folder() / "common_words.txt").read_text(encoding="utf-8").split()
    spelt = tomllib.loads((grammar_folder() / "spelling.toml").read_text(encoding="utf-8"))["heard"]
    assert len(talk) > 1000
    assert not spelt.keys() & set(talk)


@pytest.mark.parametrize("typed", ["whats the headspace", "thats it", "im done", "I dont know"])
def test_sentences_typed_in_a_hurry_mean_the_same(book: GrammarBook, typed: str) -> None:
    grammar = book.grammar(STAGES, attention="optional", question="setup_units")
    proper = typed.lower().replace("im ", "i'm ").replace("ts ", "t's ").replace("dont", "don't")
    assert [(x.intent, x.slots) for x in grammar.parse(typed)] == [(x.intent, x.slots) for x in grammar.parse(proper)]
    assert proper != typed


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("i have 20 lb of carrots", "i have twenty pounds of carrots"),
        ("i have 20lbs of carrots", "i have twenty pounds of carrots"),
        ("i have 9 kg of carrots", "i have nine kilograms of carrots"),
        ("we used 40 oz", "we used forty ounces"),
        ("my altitude is 2,000 ft.", "my altitude is two thousand feet"),
        ("set a timer for 6 min", "set a timer for six minutes"),
        ("set a timer for 2 hrs", "set a timer for two hours"),
        ("start 7 qt of green beans raw pack", "start seven quarts of green beans raw pack"),
        ("start 9 pts of carrots hot pack", "start nine pints of carrots hot pack"),
    ],
)
def test_units_may_be_typed_short(book: GrammarBook, typed: str, said: str) -> None:
    grammar = book.grammar(STAGES, attention="optional")
    (short,), (full,) = grammar.parse(typed), grammar.parse(said)
    assert (short.intent, short.slots) == (full.intent, full.slots)


@pytest.mark.parametrize("typed", ["pressure is 80 kpa", "pressure is 1.2 bar", "my altitude is 2 miles"])
def test_units_of_another_kind_are_never_taken_for_ours(book: GrammarBook, typed: str) -> None:
    assert not book.grammar(STAGES, attention="optional").parse(typed)


@given(st.sampled_from(range(100)), st.sampled_from(["{} canners", "i have {} canners", "{} canners please"]))
def test_canners_are_shown_as_many_as_were_said(count: int, sentence: str) -> None:
    said = sentence.format(words.number(count))
    shown = written(normalise(said))
    assert shown == (said.replace("canners", "canner") if count == 1 else said)
    assert normalise(shown) == normalise(said)  # heard the same again


@pytest.mark.parametrize("said", ["in canner two", "canner number two", "change canner one", "the second canner"])
def test_a_canner_by_its_number_is_one(said: str) -> None:
    assert written(said) == said


def test_what_is_heard_in_two_words_is_shown_as_it_is_written() -> None:
    assert written(normalise("What's the headspace for huckleberries?")) == "what's the headspace for huckleberries"
