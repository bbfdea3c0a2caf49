"""Lines on the terminal about a session itself, in its kitchen's language."""

from __future__ import annotations

import pytest

from kitchenvoice.app.languages import in_language
from kitchenvoice.cli.status import StatusLines
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import Profile


@pytest.mark.parametrize(
    ("profile", "language", "told"),
    [
        (
            PRACTICE_KITCHEN,
            "en",
            "Kitchen: 900 ft; canner 1 (dial), canner 2 (weighted); attention words: kitchen voice.",
        ),
        (PRACTICE_KITCHEN, "de", "Küche: 900 Fuß Höhe; Topf 1 (Manometer), Topf 2 (Gewicht); Anrede: hallo küche."),
        (Profile(), "de", "Küche: Höhe unbekannt; kein Topf bekannt; Anrede: hallo küche."),
    ],
)
def test_the_kitchen_is_described(profile: Profile, language: str, told: str) -> None:
    assert StatusLines(in_language(profile, language)).kitchen == told


def test_numbers_are_figures_in_both_languages() -> None:
    assert StatusLines(PRACTICE_KITCHEN).figures("Twenty five minutes.") == "25 minutes."
    german = StatusLines(in_language(PRACTICE_KITCHEN, "de"))
    assert german.figures("Fünfundzwanzig Minuten.") == "25 Minuten."
    assert german("stopped") == "Beendet. Alles Gemeldete ist aufgeschrieben."
