"""Spoken numbers as figures, checked against the way each number is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.language import in_figures, load_language

ENGLISH, GERMAN = load_language("en"), load_language("de")


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("Thirteen, one three. Twelve minutes to go.", "13. 12 minutes to go."),
        ("Thirty minutes at ten pounds. Three zero minutes. One five?", "30 minutes at 10 pounds. 1 5?"),
        ("Canner two: ten and a half pounds, twenty five minutes.", "Canner 2: 10½ pounds, 25 minutes."),
        ("Zero point three. Five thousand two hundred eighty feet.", "0.3. 5280 feet."),
        ("Use it by August twelve, twenty twenty seven.", "Use it by August 12, 2027."),
        (
            "One at a time: no one tends it, and someone seventy-ish.",
            "One at a time: no one tends it, and someone seventy-ish.",
        ),
        (
            "Load one, five left. A pint-and-a-half jar, a quarter inch.",
            "Load 1, 5 left. A pint-and-a-half jar, ¼ inch.",
        ),
        ("twelve to twenty four hours", "12 to 24 hours"),
        ("In canner one: half an inch, one pound, one hour.", "In canner 1: ½ inch, 1 pound, 1 hour."),
        ("", ""),
    ],
)
def test_english_numbers_are_written(said: str, written: str) -> None:
    assert in_figures(ENGLISH, said) == written


def test_german_numbers_are_written() -> None:
    said = "Fünfundzwanzig Minuten bei elf Pfund, auf neunhundert Fuß; zehneinhalb, null Komma drei, in Topf eins."
    assert in_figures(GERMAN, said) == "25 Minuten bei 11 Pfund, auf 900 Fuß; 10½, 0,3, in Topf 1."


@given(st.integers(2, 9_999), st.sampled_from([ENGLISH, GERMAN]))
def test_every_number_comes_back_as_it_was(value, language):
    assert in_figures(language, f"It is {language.number(value)}, now.") == f"It is {value}, now."


@given(st.text(max_size=200))
def test_a_text_without_number_words_is_as_it_was(text):
    plain = "".join(sign for sign in text if not sign.isalpha())
    assert in_figures(ENGLISH, plain) == plain
