"""Patterns for sentences: what fits, what they spell out, and what isn't a pattern."""

import pytest

from kitchenvoice.reference.wordings import Pattern, parse

CAN_I = {"can_i": parse("(can | may) (i | we)", {})}


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("why", ["why"]),
        ("why | how come", ["why", "how come"]),
        ("how (full | high) [now]", ["how full", "how full now", "how high", "how high now"]),
        ("<can_i> go", ["can i go", "can we go", "may i go", "may we go"]),
        ("[oh [no]] what's that", ["what's that", "oh what's that", "oh no what's that"]),
        ("(a | [b]) c", ["a c", "c", "b c"]),
    ],
)
def test_a_pattern_spells_out_its_sentences_and_fits_those_only(text, sentences):
    pattern = parse(text, CAN_I)
    assert list(pattern.sentences()) == sentences
    for sentence in sentences:
        words = sentence.split()
        assert pattern.fits(words)
        assert not pattern.fits([*words, words[0]])
        assert not pattern.fits(words[:-1]) or " ".join(words[:-1]) in sentences
        assert not pattern.fits([*words[:-1], "gravel"])
    assert pattern.words == {word for sentence in sentences for word in sentence.split()}
    assert pattern.longest == max(len(sentence.split()) for sentence in sentences)


def test_a_text_longer_than_every_sentence_is_not_looked_at(monkeypatch):
    pattern = parse("the [the] (the | the lid)", CAN_I)
    assert pattern.fits(["the"] * 3)
    monkeypatch.setattr(Pattern, "ends", None)
    assert not pattern.fits(["the"] * 5)


@pytest.mark.parametrize(
    "text",
    ["", "[maybe]", "(a", "a)", "[a", "(a]", "a ] b", "<nobody> a", "a & b", "<", "a | ", "Why", "half-pint", "7"],
)
def test_what_is_no_pattern_is_named(text):
    with pytest.raises(ValueError, match="isn't a pattern"):
        parse(text, CAN_I)
