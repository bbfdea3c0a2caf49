"""The network against its definition: all sentences of small random grammars, enumerated and compared."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.grammar.covering import Cover
from kitchenvoice.grammar.jsgf import (
    Alternatives,
    GrammarFile,
    GrammarRule,
    OptionalPart,
    RuleToken,
    Sequence,
    Tag,
    Tagged,
)
from kitchenvoice.grammar.linking import Linker
from kitchenvoice.grammar.matching import Walk

WORDS = st.sampled_from(["a", "b", "c", "d"])
EXPANSIONS = st.recursive(
    WORDS.map(RuleToken),
    lambda inner: st.one_of(
        st.lists(inner, min_size=2, max_size=3).map(lambda parts: Sequence(tuple(parts))),
        st.lists(inner, min_size=2, max_size=3).map(lambda parts: Alternatives(tuple(parts))),
        inner.map(OptionalPart),
        inner.map(lambda part: Tagged(part, Tag("slot", "x", "count"))),
    ),
    max_leaves=7,
)


def spelled(part) -> set[tuple[str, ...]]:
    match part:
        case RuleToken(text):
            return {(text,)}
        case Alternatives(choices):
            return set().union(*(spelled(each) for each in choices))
        case OptionalPart(inner):
            return spelled(inner) | {()}
        case Tagged(inner, _):
            return spelled(inner)
        case Sequence(parts):
            found = {()}
            for each in parts:
                found = {left + right for left in found for right in spelled(each)}
            return found
    raise AssertionError(part)


def linked(part):
    rule = GrammarRule("x", True, part, 1)
    return Linker({"g": GrammarFile("g", (), {"x": rule})}, {}).node("g", "x")


def steps(sentences):
    return {pair for words in sentences for pair in zip(("", *words), (*words, ""), strict=True)}


@given(EXPANSIONS, st.lists(WORDS, max_size=6))
def test_a_text_is_read_exactly_if_it_is_a_sentence_and_goes_on_exactly_if_one_begins_with_it(part, words):
    language = spelled(part)
    walk = Walk(linked(part), words)
    text = tuple(words)
    assert bool(walk.readings) == (text in language)
    assert walk.goes_on == any(len(each) > len(text) and each[: len(text)] == text for each in language)


@given(EXPANSIONS)
def test_the_cover_holds_sentences_only_and_every_step_from_word_to_word(part):
    language = spelled(part)
    cover = Cover().of(linked(part))
    assert set(cover) <= language
    assert steps(cover) == steps(language)
    assert len(cover) <= len(language)


@given(EXPANSIONS)
def test_every_sentence_is_read(part):
    node = linked(part)
    assert all(Walk(node, words).readings for words in spelled(part))
