from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.grammar.numbers import mixed, whole
from kitchenvoice.language import load_language

words = load_language("en")
ONLY_WORDS = re.compile(r"[a-z', ]+$")


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0, "zero"),
        (13, "thirteen"),
        (30, "thirty"),
        (45, "forty five"),
        (100, "one hundred"),
        (212, "two hundred twelve"),
        (5280, "five thousand two hundred eighty"),
        (999_999, "nine hundred ninety nine thousand nine hundred ninety nine"),
        (10.5, "ten and a half"),
        (0.25, "a quarter"),
        (1.375, "one and three eighths"),
        (0.3, "zero point three"),
        (11.2, "eleven point two"),
    ],
)
def test_numbers_are_said_as_words(value, said):
    assert words.number(value) == said


@pytest.mark.parametrize("value", [-1, 1_000_000, float("nan"), float("inf")])
def test_what_cannot_be_said_is_refused(value):
    with pytest.raises(ValueError, match="can't be said"):
        words.number(value)


@given(st.integers(0, 20_000))
def test_a_whole_number_means_the_same_when_it_is_heard_again(value):
    assert whole(tuple(words.number(value).split())) == value


@given(st.integers(1, 25), st.sampled_from([0, 0.5, 0.25, 0.75]))
def test_a_pressure_means_the_same_when_it_is_heard_again(whole_psi, part):
    assert mixed(tuple(words.number(whole_psi + part).split())) == whole_psi + part


@given(st.integers(1, 20_000))
def test_digits_spell_the_number(value):
    spelt = [whole((word,)) for word in words.digits(value).split()]
    assert "".join(map(str, spelt)) == str(value)


def test_teens_and_tens_and_nothing_else_are_said_twice():
    twice = {value for value in range(100) if words.twice(value) != words.number(value)}
    assert twice == {13, 14, 15, 16, 17, 18, 19, 30, 40, 50, 60, 70, 80, 90}
    assert words.twice(15) == "fifteen, one five"
    assert words.twice(50) == "fifty, five zero"


@pytest.mark.parametrize(
    ("value", "rival", "said"),
    [(15, None, ", one five"), (15, 50, ", one five"), (9, 5, ", and not five"), (9, None, "")],
)
def test_a_code_tells_a_number_from_its_rival(value, rival, said):
    assert words.code(value, rival) == said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "zero seconds"),
        (1, "one second"),
        (59, "fifty nine seconds"),
        (60, "one minute"),
        (90, "one and a half minutes"),
        (600, "ten minutes"),
        (1350, "twenty two and a half minutes"),
        (3600, "one hour"),
        (5400, "ninety minutes"),
        (3660, "one hour and one minute"),
        (43_200, "twelve hours"),
    ],
)
def test_times_are_said_as_exactly_as_they_matter(seconds, said):
    assert words.duration(seconds) == said


@given(st.floats(0, 200_000))
def test_every_time_is_said_in_words(seconds):
    assert ONLY_WORDS.match(words.duration(seconds))


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (1, "one inch"),
        (0.5, "half an inch"),
        (0.25, "a quarter inch"),
        (1.25, "one and a quarter inches"),
        (2, "two inches"),
    ],
)
def test_lengths(value, said):
    assert words.inches(value) == said


@pytest.mark.parametrize(
    ("value", "said"), [(0.5, "half a teaspoon"), (1, "one teaspoon"), (0.25, "a quarter teaspoon")]
)
def test_spoons(value, said):
    assert words.spoon(value) == said


@pytest.mark.parametrize(
    ("jar", "count", "said"),
    [
        ("quart", 7, "seven quarts"),
        ("pint", 1, "one pint"),
        ("half-pint", None, "half pints"),
        ("pint-and-half", 2, "two pint and a half jars"),
        ("twelve-ounce", 7, "seven twelve ounce jars"),
        ("twelve-ounce", 1, "one twelve ounce jar"),
    ],
)
def test_jars(jar, count, said):
    assert words.jars(jar, count) == said


def test_sea_level_and_other_altitudes():
    assert words.altitude(0) == "sea level"
    assert words.altitude(1200) == "one thousand two hundred feet"


def test_lists_are_joined_as_a_sentence_does():
    assert words.listed([]) == ""
    assert words.listed(["a"]) == "a"
    assert words.listed(["a", "b", "c"]) == "a, b or c"
    assert words.listed(("a", "b"), "and") == "a and b"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("1-1/2 inches", "one and a half inches"),
        ("between 5,000 and 6,000 feet", "between five thousand and six thousand feet"),
        ("2 tablespoons", "two tablespoons"),
        ("boil 2-3 minutes", "boil two to three minutes"),
    ],
)
def test_written_numbers_are_put_into_words(written, said):
    assert words.in_words(written) == said
