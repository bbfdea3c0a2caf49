"""The board of a kitchen that speaks German."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from string import Formatter

import pytest

import kitchenvoice.board.texts
from kitchenvoice.board import view_of
from kitchenvoice.board.page import page
from kitchenvoice.language import load_language
from kitchenvoice.process import Stage

from .kitchen import Day

TEXTS = Path(kitchenvoice.board.texts.__file__).parent
HOLDING = (
    "starte sieben Gläser Karotten", "Pintgläser", "roh", "ja", "sieben Gläser gefüllt",
    "die Gläser sind drin", "der Deckel ist zu", "der Dampf ist gleichmäßig", "@ 00:10:01", "das Gewicht ist drauf",
    "@ 00:14:00", "der Druck ist elf",
)  # fmt: skip


def gaps(language: str) -> Mapping[tuple[str, str], set[str | None]]:
    """Return the slots of each label."""
    tables = tomllib.loads((TEXTS / f"{language}.toml").read_text("utf-8"))
    return {
        (table, key): {name for _, name, _, _ in Formatter().parse(text)} - {None}
        for table, labels in tables.items()
        for key, text in labels.items()
    }


def test_every_label_is_there_in_both_languages_with_the_same_slots():
    assert gaps("de") == gaps("en")


def test_a_load_is_started_with_glasses_of_any_size_and_led_in_german():
    view = view_of(Day(*HOLDING, language="de").seen, age_s=0.0, live=True)
    (load,) = view.loads
    assert (load.name, load.stage) == ("Möhren", "Haltezeit")
    assert load.detail == "roh eingelegt, Pintgläser, Topf 1"
    assert [clock.label for clock in load.clocks] == ["Haltezeit übrig"]
    assert {"Soll", "Zuletzt gemeldet", "Nächste Frage", "Geprüfte Zeit"} <= {each.label for each in load.particulars}


BATH = (
    "starte sieben Gläser Apfelmus", "Pintgläser", "heiß", "kochendes Wasser", "ja", "alles klar", "alles klar",
    "sieben Gläser gefüllt", "die Gläser sind drin", "alles klar", "der Herd ist an", "es kocht", "es kocht nicht mehr",
    "es kocht", "@ 00:45:00", "der Herd ist aus", "der Deckel ist ab", "@ 01:00:00", "die Gläser sind draußen",
)  # fmt: skip


STEAM = (
    "starte sieben Pintgläser Apfelmus heiß im Dampfeinkocher", "ja", "alles klar", "alles klar",
    "sieben Gläser gefüllt", "die Gläser sind drin", "der Herd ist an", "der Dampf ist gleichmäßig",
    "der Dampf hat aufgehört", "der Dampf ist gleichmäßig", "@ 00:45:00", "der Herd ist aus", "der Deckel ist ab",
    "die Gläser sind draußen",
)  # fmt: skip


@pytest.mark.parametrize("lines", [BATH, STEAM], ids=["boiling water", "steam canner"])
def test_a_load_without_pressure_is_led_in_german_with_words_that_are_understood(lines: tuple[str, ...]):
    english = load_language("en")
    of_help = {phrase for key in english.table("help") for phrase in english.choices("help", key)}
    day = Day(language="de")
    for line in lines:
        day.play(line)
        assert not of_help.intersection(day.seen.phrases), line
        assert not any(" say " in step for step in day.seen.steps.values()), line
    (load,) = day.seen.kitchen.open_loads
    assert load.stage is Stage.REST


def test_the_page_is_german():
    html = page(view_of(Day(*HOLDING, language="de").seen, age_s=0.0, live=True))
    assert '<html lang="de">' in html
    for words in ("Sag „hallo küche“, dann eines davon:", "Gehört", "Messwerte", "Farben", "wie das Gerät"):
        assert words in html
