"""Text normalisation: written and spoken forms."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.language import load_language
from kitchenvoice.speaking.text_normalisation import for_the_ear, language_of

ENGLISH = load_language()


@pytest.mark.parametrize(
    ("written", "heard"),
    [
        ("Leave 1/2 inch.", "Leave half an inch."),
        ("Leave ½ inch.", "Leave half an inch."),
        ("Leave 1/4 inch of headspace.", "Leave a quarter of an inch of headspace."),
        ("Leave 1 1/4 inches.", "Leave 1 and a quarter inches."),
        ("Leave 1¼ inches.", "Leave 1 and a quarter inches."),
        ("Add 1/2 tsp of salt.", "Add half a teaspoon of salt."),
        ("Add 1/2 of it.", "Add a half of it."),
        ("Hold 11 psi.", "Hold 11 P S I."),
        ("At 11psi for 25 min.", "At 11 P S I for 25 minutes."),
        ("psi is what the gauge shows.", "P S I is what the gauge shows."),
        ("1 min left.", "1 minute left."),
        ("It takes 25 minutes.", "It takes 25 minutes."),
        ("6-8 min", "6 to 8 minutes"),
        ("6–8 quarts", "6 to 8 quarts"),
        ("You are at 1,001 ft.", "You are at 1001 feet."),
        ("12.5 lb of beans", "12 point 5 pounds of beans"),
        ("10 oz. of water", "10 ounces of water"),
        ("Ready in 5 min. Then wait.", "Ready in 5 minutes. Then wait."),
        ("Put 7 in the canner.", "Put 7 in the canner."),
        ("At 3:05 and 4:00 and 12:30.", "At 3 oh 5 and 4 o'clock and 12 30."),
        ("212 °F", "212 degrees Fahrenheit"),
        ("Nothing to change here.", "Nothing to change here."),
        ("", ""),
    ],
)
def test_text_is_made_for_the_ear(written: str, heard: str) -> None:
    assert for_the_ear(written, ENGLISH) == heard


@given(st.text(max_size=80))
def test_what_was_made_for_the_ear_is_not_changed_a_second_time(text: str) -> None:
    once = for_the_ear(text, ENGLISH)
    assert for_the_ear(once, ENGLISH) == once or any(character.isdigit() for character in once)


@pytest.mark.parametrize(("voice", "tag"), [("gmw/en-us", "en"), ("de", "de"), ("gmw/de", "de"), ("roa/fr", "en")])
def test_a_voice_tells_its_language(voice: str, tag: str) -> None:
    assert language_of(voice).tag == tag


def test_a_german_voice_says_the_units_in_german() -> None:
    assert for_the_ear("3-4 qt, 5 min, 2.5 lb", load_language("de")) == "3 bis 4 Quart, 5 Minuten, 2 Komma 5 Pfund"
