"""Text normalisation for speech: units in full, fractions, ranges and clock times in words.

Deliberately small: the dialogue already writes sentences, and the engine reads whole numbers well. The words are in the
language's tables `text_normalisation` and `units`, which lacks "in": it is nearly always the preposition.
"""

from __future__ import annotations

import re
from functools import cache

from kitchenvoice.language import Language, load_language

__all__ = ["for_the_ear", "language_of"]

_TABLE = "text_normalisation"
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8"}
_RANGE = re.compile(r"(?<=[\d])\s?[-–]\s?(?=\d)")
_COMMA = re.compile(r"(?<=\d),(?=\d{3}\b)")
_DECIMAL = re.compile(r"(\d+)\.(\d+)")
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2})\b")


def language_of(voice: str) -> Language:
    """Return the language of a voice by its identifier ("gmw/en-us"); English if we have none of it."""
    try:
        return load_language(voice.rpartition("/")[2].partition("-")[0])
    except KeyError:
        return load_language()


def for_the_ear(text: str, language: Language) -> str:
    """Return `text` as it should be spoken."""
    for sign, digits in _FRACTIONS.items():
        text = re.sub(rf"(?<=\d){sign}", f" {digits}", text).replace(sign, digits)
    mixed, measure, bare = _patterns(language)
    text = _CLOCK.sub(lambda found: _clock(language, *found.groups()), text)
    text = mixed.sub(lambda found: _fraction(language, *found.groups()), text)
    text = _RANGE.sub(f" {language.phrase(_TABLE, 'to')} ", text)
    text = measure.sub(lambda found: f"{found[1]} {_unit(language, found[2], many=found[1] != '1')}", text)
    text = _COMMA.sub("", text)
    text = _DECIMAL.sub(
        lambda found: language.phrase(_TABLE, "decimal", whole=found[1], digits=" ".join(found[2])), text
    )
    return bare.sub(lambda found: _unit(language, found[0].lower(), many=True), text)


@cache
def _patterns(language: Language) -> tuple[re.Pattern[str], ...]:
    """Return a fraction with a whole number or a unit, a number with its unit, and a unit that is read by itself."""
    fraction = "|".join(map(re.escape, _FRACTIONS.values()))
    units = sorted(map(re.escape, language.table("units")), key=len, reverse=True)
    unit = rf"({'|'.join(units)})(?!\w)(?:\.(?=\s+[a-z]))?"
    alone = "|".join(map(re.escape, language.choices(_TABLE, "alone")))
    return (
        re.compile(rf"(?<![\d/.])(?:(\d+)\s+)?({fraction})(?![\d/])(?:[ -]{unit})?"),
        re.compile(rf"(\d[\d,]*(?:\.\d+)?)[ -]?{unit}"),
        re.compile(rf"\b(?:{alone})\b", re.IGNORECASE),
    )


def _unit(language: Language, written: str, *, many: bool) -> str:
    return language.choices("units", written)[many]


def _clock(language: Language, hours: str, minutes: str) -> str:
    key = "oclock" if minutes == "00" else "oh_clock" if minutes[0] == "0" else "clock"
    return language.phrase(_TABLE, key, hours=hours, minutes=str(int(minutes)))


def _fraction(language: Language, whole: str | None, fraction: str, unit: str | None) -> str:
    part = language.phrase(_TABLE, fraction)
    if whole is not None:
        said = language.phrase(_TABLE, "mixed", whole=whole, part=part)
        return f"{said} {_unit(language, unit, many=True)}" if unit else said
    if unit is None:
        return part
    a_unit = language.choices("units", unit)[-1]
    return language.phrase(_TABLE, "half_of" if fraction == "1/2" else "part_of", part=part, a_unit=a_unit)
