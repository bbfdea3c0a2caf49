"""Singular and plural of every noun that is counted aloud or shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.language import load_language, words_en
from kitchenvoice.language.words_en import plural
from kitchenvoice.reference import inputs
from kitchenvoice.reference.quantity import parse_have

words = load_language("en")
COUNTS = range(100)
NOUNS = {
    "bushel": "bushels",
    "call": "calls",
    "canner": "canners",
    "check": "checks",
    "crate": "crates",
    "cup": "cups",
    "day": "days",
    "foot": "feet",
    "half gallon": "half gallons",
    "half pint": "half pints",
    "hour": "hours",
    "inch": "inches",
    "jar": "jars",
    "kilogram": "kilograms",
    "load": "loads",
    "lug": "lugs",
    "meter": "meters",
    "minute": "minutes",
    "ounce": "ounces",
    "peck": "pecks",
    "pint": "pints",
    "pint and a half": "pint and a half jars",
    "pound": "pounds",
    "quart": "quarts",
    "second": "seconds",
    "tablespoon": "tablespoons",
    "teaspoon": "teaspoons",
    "bunch": "bunches",
    "box": "boxes",
    "entry": "entries",
    "tray": "trays",
}
SIZES = {"half-pint": "half pint", "pint": "pint", "pint-and-half": "pint and a half", "quart": "quart"}


def test_every_count_of_every_noun_has_the_right_form(every: Callable[..., None]) -> None:
    def check(noun: str) -> None:
        assert plural(noun) == NOUNS[noun]
        for count in COUNTS:
            form = noun if count == 1 else NOUNS[noun]
            assert words.counted(count, noun) == f"{words.number(count)} {form}"

    every(check, NOUNS)


@pytest.mark.parametrize(("noun", "said"), [("bushel", "half a bushel"), ("ounce", "half an ounce")])
def test_a_half_is_said_of_one(noun: str, said: str) -> None:
    assert words.counted(0.5, noun) == said
    assert words.counted(1.5, noun) == f"one and a half {NOUNS[noun]}"


@given(st.sampled_from([*SIZES]), st.sampled_from(COUNTS))
def test_jars_of_every_size(size: str, count: int) -> None:
    form = SIZES[size] if count == 1 else NOUNS[SIZES[size]]
    assert words.jars(size, count) == f"{words.number(count)} {form}"


@given(st.sampled_from(COUNTS))
def test_measures_that_are_counted(count: int) -> None:
    many = "" if count == 1 else "s"
    assert words.inches(count) == f"{words.number(count)} inch{'' if count == 1 else 'es'}"
    assert words.spoon(count) == f"{words.number(count)} teaspoon{many}"
    assert words.pounds_pressure(count) == f"{words.number(count)} pound{many} pressure"
    if count:
        assert words.altitude(count) == f"{words.number(count)} {'foot' if count == 1 else 'feet'}"
    if count < 60:
        assert words.duration(count) == words.counted(count, "second")
    if 0 < count < 60:
        assert words.duration(60 * count) == words.counted(count, "minute")
    if count > 1:
        assert words.duration(86_400 * count) == f"about {words.counted(count, 'day')}"


@given(st.integers(1, 99), st.sampled_from(["pound", "ounce", "bushel", "peck", "crate", "lug", "kilogram"]))
def test_the_published_plan_counts_alike(count: int, unit: str) -> None:
    assert parse_have(f"{count} {unit}s").text == f"{count} {unit}{'' if count == 1 else 's'}"
    assert inputs.jar_name("quart", count) == ("quart" if count == 1 else "quarts")


def test_no_room_makes_its_own_plurals() -> None:
    """A hand-made plural is how "two canner" came about: spoken text uses `counted`, `jars` or `duration`."""
    own = re.compile(r"""['"]s?['"] if [\w.]+ [!=]= 1|[!=]= 1 else ['"]s['"]""")
    package = Path(words_en.__file__).parents[1]
    rooms = (package / "dialogue", package / "language")
    found = [
        path.name
        for room in rooms
        for path in sorted(room.rglob("*.py"))
        if own.search(path.read_text(encoding="utf-8"))
    ]
    assert not found
