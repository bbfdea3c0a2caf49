"""Text normalisation: written and spoken forms."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.speaking import for_the_ear, for_the_eye
from kitchenvoice.speaking.text_normalisation import number_in_words


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
        ("[15] sealed", "fifteen, one five sealed"),
        ("[50] jars, [12] lids, [25] rings", "fifty, five zero jars, twelve lids, twenty five rings"),
        ("Nothing to change here.", "Nothing to change here."),
        ("", ""),
    ],
)
def test_text_is_made_for_the_ear(written: str, heard: str) -> None:
    assert for_the_ear(written) == heard


def test_the_eye_sees_the_number_without_marks() -> None:
    assert for_the_eye("[15] sealed, [2] failed") == "15 sealed, 2 failed"


@given(st.integers(0, 999_999))
def test_a_number_in_words_is_the_same_number_to_another_reader(number: int) -> None:
    from text_to_num import text2num

    assert text2num(number_in_words(number), "en") == number


@given(st.text(max_size=80))
def test_what_was_made_for_the_ear_is_not_changed_a_second_time(text: str) -> None:
    once = for_the_ear(text)
    assert for_the_ear(once) == once or any(character.isdigit() for character in once)


@pytest.mark.parametrize("number", [-1, 1_000_000])
def test_numbers_beyond_the_words_are_refused(number: int) -> None:
    with pytest.raises(ValueError, match="not between"):
        number_in_words(number)
