"""Round trip of spoken numbers, say(n) -> parse -> n, over every range."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_to_num import text2num

from kitchenvoice.grammar.numbers import NotANumber, mixed, whole
from kitchenvoice.language import load_language

words = load_language("en")


def answer(book, question, text):
    """The number understood from an answer to an open question."""
    found = {
        reading.slots["value"]
        for reading in book.grammar((), attention="optional", question=question).parse(text)
        if reading.intent == "number"
    }
    assert len(found) <= 1, found
    return found.pop() if found else None


def slot(book, stage, text, name):
    (reading,) = book.grammar([stage], attention="optional").parse(text)
    return reading.slots[name]


def test_every_count_is_understood(book, every):
    def check(count):
        assert answer(book, "count", words.number(count)) == count
        if count:
            assert slot(book, "pack", f"{words.number(count)} jars packed", "count") == count

    every(check, range(100))


@pytest.mark.parametrize(
    ("text", "count"),
    [("none", 0), ("zero", 0), ("a dozen", 12), ("half a dozen", 6), ("two dozen", 24), ("one", 1), ("seven jars", 7)],
)
def test_counts_are_said_in_other_ways(book, text, count):
    assert answer(book, "count", text) == count


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("another jar", 1),
        ("that's one more", 1),
        ("one more", 1),
        ("three more", 3),
        ("a dozen packed", 12),
        ("none packed", 0),
        ("minus one", -1),
        ("take two off", -2),
    ],
)
def test_jars_are_counted_up_and_down(book, text, count):
    assert slot(book, "pack", text, "count") == count


@given(st.integers(0, 100))
def test_every_pressure_in_quarters_is_understood(book, quarters):
    psi = quarters / 4
    for form in ("{}", "{} psi", "{} pounds", "{} pounds pressure", "{} pounds of pressure"):
        assert answer(book, "pressure", form.format(words.number(psi))) == psi or psi in (0.25, 0.5, 0.75)


@given(st.integers(0, 250))
def test_every_pressure_in_tenths_is_understood(book, tenths):
    figures = f"{words.number(tenths // 10)} point {words.number(tenths % 10)}"
    assert answer(book, "pressure", figures) == tenths / 10
    assert slot(book, "hold", f"the gauge reads {figures}", "pressure") == tenths / 10


@pytest.mark.parametrize(
    "text", ["thirty", "twenty six", "twenty five and a half", "minus one", "ten and", "point five"]
)
def test_what_no_gauge_shows_is_no_pressure(book, text):
    assert answer(book, "pressure", text) is None


@given(st.integers(1, 1440))
def test_every_minute_of_a_day_is_understood(book, minutes):
    hours, rest = divmod(minutes, 60)
    forms = [f"{words.number(minutes)} minutes", words.duration(60 * minutes)]
    if hours and rest:
        forms += [f"{words.number(hours)} hours {words.number(rest)} minutes"]
    for form in forms:
        assert slot(book, "hold", f"set a timer for {form}", "minutes") == minutes
        assert answer(book, "minutes", form) == minutes


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("half a minute", 0.5),
        ("ten seconds", 1 / 6),
        ("thirty seconds", 0.5),
        ("ninety seconds", 1.5),
        ("a minute and a half", 1.5),
        ("two and a half minutes", 2.5),
        ("ten minutes and thirty seconds", 10.5),
        ("ten minutes and a half", 10.5),
        ("a minute", 1),
        ("half an hour", 30),
        ("a quarter of an hour", 15),
        ("three quarters of an hour", 45),
        ("an hour", 60),
        ("one hour", 60),
        ("an hour and a half", 90),
        ("an hour and a quarter", 75),
        ("one and a half hours", 90),
        ("an hour and twenty minutes", 80),
        ("two hours and ten minutes", 130),
        ("twenty four hours", 1440),
        ("a hundred minutes", 100),
        ("one hundred and five minutes", 105),
    ],
)
def test_times_are_said_in_other_ways(book, text, minutes):
    assert slot(book, "idle", f"start a timer for {text}", "minutes") == pytest.approx(minutes, abs=1e-5)


@pytest.mark.parametrize("text", ["zero seconds", "twenty four hours and one minute", "zero minutes"])
def test_a_timer_shorter_than_a_second_or_longer_than_a_day_is_no_timer(book, text):
    assert book.grammar(["idle"], attention="optional").parse(f"set a timer for {text}") == ()


@given(st.integers(0, 20_000))
def test_every_altitude_in_feet_is_understood(book, feet):
    assert answer(book, "altitude", words.number(feet)) == feet
    assert slot(book, "plan", f"my altitude is {words.number(feet)} feet", "altitude_ft") == feet


@given(st.integers(10, 20_000))
def test_every_altitude_is_understood_figure_by_figure(book, feet):
    assert answer(book, "altitude", words.digits(feet)) == feet


@given(st.integers(11, 99), st.integers(0, 99))
def test_altitudes_in_hundreds_are_understood(book, hundreds, rest):
    spoken = f"{words.number(hundreds)} hundred" + (f" {words.number(rest)}" if rest else "")
    assert answer(book, "altitude", spoken) == 100 * hundreds + rest
    if rest >= 10:
        assert answer(book, "altitude", f"{words.number(hundreds)} {words.number(rest)}") == 100 * hundreds + rest


@given(st.integers(1, 6096))
def test_metres_become_feet_rounded_up(book, metres):
    feet = answer(book, "altitude", f"{words.number(metres)} meters")
    assert feet == math.ceil(metres * 10_000 / 3_048)
    assert feet * 3_048 >= metres * 10_000


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("sea level", 0),
        ("at sea level", 0),
        ("zero feet", 0),
        ("sixteen hundred meters", 5250),
        ("fifty two eighty", 5280),
        ("five two zero zero", 5200),
        ("one oh five oh", 1050),
        ("a thousand feet", 1000),
        ("five thousand two hundred and eighty feet", 5280),
        ("twenty thousand and one feet", None),
        ("seven thousand meters", None),
    ],
)
def test_altitudes_are_said_in_other_ways(book, text, feet):
    assert answer(book, "altitude", text) == feet


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("one inch", 1),
        ("an inch", 1),
        ("half an inch", 0.5),
        ("a half inch", 0.5),
        ("a quarter inch", 0.25),
        ("a quarter of an inch", 0.25),
        ("three quarters of an inch", 0.75),
        ("an eighth of an inch", 0.125),
        ("an inch and a quarter", 1.25),
        ("an inch and a half", 1.5),
        ("one and a quarter inches", 1.25),
        ("two inches", 2),
        ("two and three quarters inches", 2.75),
        ("one and a half", 1.5),
        ("half", 0.5),
    ],
)
def test_lengths_are_understood(book, text, inches):
    assert answer(book, "inches", text) == inches


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("twenty eight pounds", 28, "pound"),
        ("two and a half bushels", 2.5, "bushel"),
        ("half a bushel", 0.5, "bushel"),
        ("a bushel", 1, "bushel"),
        ("a bushel and a half", 1.5, "bushel"),
        ("three quarters pound", 0.75, "pound"),
        ("two point five kilos", 2.5, "kilogram"),
        ("one hundred and twenty ounces", 120, "ounce"),
        ("a lug", 1, "lug"),
        ("two crates", 2, "crate"),
        ("a peck", 1, "peck"),
    ],
)
def test_amounts_of_food_are_understood(book, text, amount, unit):
    (reading,) = book.grammar(["plan"], attention="optional").parse(f"i have {text} of pears")
    assert reading.slots == {"amount": amount, "unit": unit, "food": "pears"}


@given(st.integers(0, 99_999))
def test_whole_numbers_agree_with_another_reader(number):
    spoken = words.number(number)
    assert whole(tuple(spoken.split())) == number == text2num(spoken, "en")


@given(st.integers(0, 8 * 999))
def test_eighths_survive_saying_and_reading(eighths):
    assert mixed(tuple(words.number(eighths / 8).split())) == eighths / 8


@pytest.mark.parametrize("text", ["", "carrots", "ten carrots", "point"])
def test_words_that_are_no_number_are_refused(text):
    with pytest.raises(NotANumber):
        whole(tuple(text.split()))


@pytest.mark.parametrize("text", ["a thousand two hundred feet", "a thousand and two hundred feet"])
def test_an_altitude_that_was_heard_for_eight_thousand_is_not_taken(book, text):
    grammar = book.grammar(("start",), attention="optional", question="altitude")
    assert not grammar.is_sentence(text)
    assert grammar.is_sentence(text.replace("a ", "one ", 1))
