"""An altitude said with its unit is that, in whatever unit the kitchen measures; without one it is in the kitchen's."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kitchenvoice.app.languages import book_for, in_language
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import Grammar, GrammarBook
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.ports import Utterance

ASKED = ("units", "canners", "canner.1.gauge")
SAID = [
    ("us", "en", "five hundred", 500),
    ("us", "en", "five hundred feet", 500),
    ("us", "en", "three hundred meters", 985),
    ("metric", "en", "three hundred", 985),
    ("metric", "en", "three hundred meters", 985),
    ("metric", "en", "five hundred feet", 500),
    ("metric", "en", "sea level", 0),
    ("us", "de", "fünfhundert", 500),
    ("us", "de", "fünfhundert fuß", 500),
    ("us", "de", "dreihundert meter", 985),
    ("metric", "de", "dreihundert", 985),
    ("metric", "de", "dreihundert meter", 985),
    ("metric", "de", "fünfhundert fuß", 500),
    ("metric", "de", "meereshöhe", 0),
]
"""The kitchen's units, the language, what is said, and what it is in feet: 300 m are 984.3 feet, rounded up."""
CHANGE = {"en": "kitchen voice change the altitude", "de": "hallo küche ändere die höhe"}
IS = {"en": "kitchen voice my altitude is {}", "de": "hallo küche meine höhe ist {}"}
YES = {"en": "yes", "de": "ja"}


class Evening:
    """A conversation in a kitchen whose altitude isn't known, or is to be changed."""

    def __init__(self, language: str, units: str, book: GrammarBook, altitude_ft: int | None = None) -> None:
        profile = in_language(Profile(units=units, asked=ASKED, canners=(Canner(number=1, gauge="dial"),)), language)
        self.conversation = Conversation(book, profile)
        self.talk = self.conversation.talk
        self.begun = self.conversation.begin(0.0)

    def bare(self, text: str) -> str:
        turn = self.conversation.hear(Utterance((text,)), self.talk.t + 1.0)
        return " ".join(each.text for each in turn.announcements)


@pytest.fixture(scope="module")
def books() -> dict[str, GrammarBook]:
    return {language: book_for(in_language(Profile(), language)) for language in ("en", "de")}


@pytest.fixture
def evening(books: dict[str, GrammarBook]) -> Callable[[str, str], Evening]:
    return lambda language, units: Evening(language, units, books[language])


@pytest.mark.parametrize(("units", "language", "said", "feet"), SAID)
def test_on_the_first_evening(evening: Callable[[str, str], Evening], units, language, said, feet) -> None:
    cook = evening(language, units)
    assert cook.talk.question is not None and cook.talk.question.expects == "setup_altitude"
    read_back = cook.bare(said)
    assert cook.talk.language.altitude(feet).lower() in read_back.lower()
    assert cook.talk.profile.altitude_ft is None, "only a yes makes it count"
    cook.bare(YES[language])
    assert cook.talk.profile.altitude_ft == feet


@pytest.mark.parametrize(("units", "language", "said", "feet"), SAID)
def test_when_it_is_changed(evening: Callable[[str, str], Evening], units, language, said, feet) -> None:
    cook = evening(language, units)
    cook.bare("skip it" if language == "en" else "überspringen")
    cook.bare(CHANGE[language])
    cook.bare(said)
    cook.bare(YES[language])
    assert cook.talk.profile.altitude_ft == feet


@pytest.mark.parametrize(
    ("units", "language", "said", "feet"), [each for each in SAID if each[1] == "de" or not each[2].endswith("hundred")]
)
def test_said_in_one_sentence(evening: Callable[[str, str], Evening], units, language, said, feet) -> None:
    cook = evening(language, units)
    cook.bare("skip it" if language == "en" else "überspringen")
    cook.bare(IS[language].format(said))
    cook.bare(YES[language])
    assert cook.talk.profile.altitude_ft == feet


def test_meters_are_read_back_in_meters_and_feet_in_feet_alone(evening: Callable[[str, str], Evening]) -> None:
    assert evening("de", "metric").bare("dreihundert").startswith("Dreihundert Meter, drei null null, sind ")
    assert evening("de", "metric").bare("fünfhundert fuß") == "Fünfhundert Fuß. Fünf null null. Stimmt das?"


@pytest.mark.parametrize(
    ("said", "amount", "unit"),
    [
        ("i have ten kilograms of green beans", 10, "kilogram"),
        ("i have ten pounds of green beans", 10, "pound"),
        ("we used half a bushel", 0.5, "bushel"),
    ],
)
def test_an_amount_of_food_always_has_the_unit_that_was_said(books, said, amount, unit) -> None:
    for stage in ("idle", "pack"):
        readings = books["en"].grammar((stage,), attention="optional").parse(said)
        assert [(r.slots["amount"], r.slots["unit"]) for r in readings] in ([], [(amount, unit)])
    assert any(books["en"].grammar((stage,), attention="optional").parse(said) for stage in ("idle", "pack"))


@pytest.mark.parametrize("said", ["one and a quarter inches", "an inch and a quarter", "one and a quarter"])
def test_a_length_is_in_inches_the_unit_of_the_tables_with_its_unit_or_without(books, said) -> None:
    grammar = books["en"].grammar(("pack",), attention="optional", question="inches")
    assert {reading.slots["value"] for reading in grammar.parse(said)} == {1.25}
    assert not grammar.is_sentence("three centimeters"), "a unit that isn't known is no inch"


@pytest.mark.parametrize("piece", ["1", "1 2", "four thousand", "feet"])
def test_an_altitude_is_looked_for_in_no_more_of_a_pasted_line_than_in_a_sentence(cook, monkeypatch, piece):
    asked, parse = [], Grammar.parse
    monkeypatch.setattr(Grammar, "parse", lambda self, text: asked.append(text) or parse(self, text))
    lengths = []
    for times in (100, 400):
        asked.clear()
        cook.bare(" ".join([piece] * times), typed=True)
        lengths.append(len(asked))
    assert lengths[1] <= lengths[0] + 50
