"""Normalise spoken or typed input to the vocabulary of the tables. Nothing here raises on a strange value."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

__all__ = [
    "PARTICULARS",
    "TOP_FT",
    "Word",
    "altitude",
    "gauge",
    "jar",
    "jar_name",
    "method",
    "metres_to_feet_up",
    "names_refused_jar",
    "nearest",
    "normalise",
    "pack",
]

TOP_FT = 8_000
"""Where the published tables end, in feet. Source: Complete Guide to Home Canning, Guide 2, page 31."""
_SPELLED_ALIKE = 0.74  # of 0 to 1, as difflib counts: a slip in a short word. Common practice, no source

_JARS = {
    "half_pint": "half pint|half pints|half pint jar|half pint jars|8 ounce|8 oz|cup",
    "twelve_ounce": "12 ounce|12 ounces|12 oz|12 ounce jar|12 ounce jars|twelve ounces|twelve ounce jar"
    "|twelve ounce jars",
    "pint": "pint|pints|pint jar|pint jars|16 ounce|16 oz|1 pint|pt|pts|1 pt",
    "pint_and_half": "pint and half|pint and a half|pint and halfs|pint and a halfs|pints and a half|1.5 pint"
    "|1.5 pints|1 1/2 pint|one and a half pint|one and a half pints|24 ounce|24 oz",
    "quart": "quart|quarts|quart jar|quart jars|32 ounce|32 oz|1 quart|qt|qts|1 qt",
    "half_gallon": "half gallon|half gallons|half gallon jar|half gallon jars|64 ounce|64 oz|2 quart|2 quarts",
}
_METHODS = {
    "pressure": "pressure|pressure canner|pressure canning|pressure can|pressure canned",
    "boiling_water": "boiling water|boiling water bath|boiling water canner|water bath|water bath canner"
    "|hot water bath|boiling|bw",
    "pasteurization": "low temperature pasteurization|low temperature pasteurisation|pasteurisation|pasteurize",
    "atmospheric_steam": "atmospheric steam|steam|steam canner|atmospheric steam canner|steam canning",
}
_GAUGES = {"dial": "dial|dial gauge|the dial", "weighted": "weighted|weight|weighted gauge|weights|rocker|the weight"}
_PACKS = {
    "raw": "raw|raw pack|raw packed|packed raw|cold pack",
    "hot": "hot|hot pack|hot packed|packed hot",
    "see_procedure": "see above|by procedure|by its procedure|its procedure|see procedure pack",
}
_METRIC = re.compile(
    r"^(?:(?:\d+(?:[.,]\d+)?|half|one|a|two) ?)?(?:ml|l|cl|lit(?:er|re)s?|millilit(?:er|re)s?)(?: jars?)?$"
)
_LARGER = re.compile(r"gallon|2 quart|two quart")
_JARS_END = re.compile(r"s? jars?$|s$")
_JARS_ALONE = re.compile(rf"{_METRIC.pattern}|^(?:(?:a|one|two|three|[123]) )?gallons?(?: jars?)?$")


@dataclass(frozen=True)
class Word:
    """One understood input: ``known`` with a value, ``refused`` by name, ``missing`` or ``unknown``."""

    kind: Literal["known", "refused", "missing", "unknown"]
    value: str | None = None
    said: str | None = None
    reason: str | None = None
    feet: int | None = None


def normalise(text: object) -> str:
    """Return lower-case words with single spaces; underscores and hyphens count as spaces."""
    if not isinstance(text, str):
        return ""
    return " ".join(re.sub(r"[_\-,;:!?\"“”()]+", " ", text.lower()).split()).strip(" .")


def _table(words: dict[str, str]) -> dict[str, str]:
    return {
        said: value for value, all_said in words.items() for said in (value.replace("_", " "), *all_said.split("|"))
    }


_JAR_WORDS, _METHOD_WORDS = _table(_JARS), _table(_METHODS)
_GAUGE_WORDS, _PACK_WORDS = _table(_GAUGES), _table(_PACKS)

PARTICULARS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {"jar": _JAR_WORDS, "method": _METHOD_WORDS, "pack": _PACK_WORDS, "gauge": _GAUGE_WORDS}
)
"""What is said beside a food, by its name: every wording, with its value in the tables."""


def _word(text: object, table: dict[str, str], what: str) -> Word:
    if text is None or (isinstance(text, str) and not text.strip()):
        return Word("missing")
    said = normalise(text)
    if said in table:
        return Word("known", table[said], said)
    shown = (said or str(type(text).__name__))[:60]
    return Word("unknown", said=shown, reason=f"I don't know {what} called {shown}.{_meant(said, table)}")


def nearest(said: str, known: Iterable[str]) -> str | None:
    """Return the known word that is spelled most like this one, if any is: for a question only."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(said, list(known), n=1, cutoff=_SPELLED_ALIKE)), None)


def _meant(said: str, table: Mapping[str, str]) -> str:
    meant = nearest(said[:60], table)
    return f" Did you mean {meant}?" if meant else ""


def pack(text: object) -> Word:
    """Understand a style of pack: raw, hot, or by the procedure of the food."""
    return _word(text, _PACK_WORDS, "a pack")


def gauge(text: object) -> Word:
    """Understand a kind of gauge: dial or weighted."""
    return _word(text, _GAUGE_WORDS, "a gauge")


def method(text: object) -> Word:
    """Understand a method of canning; appliances are named by the refused list, not here."""
    return _word(text, _METHOD_WORDS, "a method")


def jar(text: object) -> Word:
    """Understand a jar size; metric jars and jars of a gallon or so are refused by name."""
    word = _word(text, _JAR_WORDS, "a jar size")
    if word.kind != "unknown":
        return word
    said = normalise(text)
    if _METRIC.match(said):
        return Word(
            "refused",
            said=said,
            reason="Metric jars are not the size of US pints and quarts, and no published statement says that the"
            " tested times cover them.",
        )
    if _LARGER.search(said):
        return Word(
            "refused", said=said, reason=f"No tested process is published for {_JARS_END.sub('', said)[:40]} jars."
        )
    return word


def names_refused_jar(said: str) -> bool:
    """True if words name a jar that is refused, and nothing beside it."""
    return _JARS_ALONE.search(said) is not None


def jar_name(value: str, count: float = 2) -> str:
    """Return a jar size as it is spoken; in the plural unless it is one jar."""
    one = {
        "half_pint": "half-pint",
        "twelve_ounce": "twelve-ounce jar",
        "pint_and_half": "pint-and-a-half jar",
        "half_gallon": "half-gallon",
    }
    return one.get(value, value) + ("" if count == 1 else "s")


def altitude(value: object) -> Word:
    """Understand an altitude in feet: rounded up to the next whole foot, refused outside 0 to 8,000."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return Word("missing")
    number = _number(value)
    if number is None:
        return Word("unknown", said=str(type(value).__name__), reason="The altitude isn't a number of feet.")
    if number > TOP_FT:
        return Word(
            "refused",
            reason="No tested table is offered above 8,000 feet.",
        )
    if number <= -1:
        return Word(
            "refused",
            reason="The published tables begin at sea level. Check the altitude.",
        )
    return Word("known", feet=math.ceil(number))


def _number(value: object) -> Fraction | float | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, str):
        try:
            value = float(value.replace(",", ""))
        except ValueError:
            return None
    if isinstance(value, Decimal):
        value = float(value)
    if isinstance(value, int | Fraction):
        return Fraction(value)
    if isinstance(value, float):
        return None if math.isnan(value) else value
    try:
        number = float(value)  # type: ignore[arg-type]  # numpy numbers and the like
    except (TypeError, ValueError, OverflowError):
        return None
    return None if math.isnan(number) else number


def metres_to_feet_up(metres: float) -> int:
    """Return an altitude in whole feet, rounded up: 305 metres are 1,001 feet.

    Raises:
        ValueError: the metres aren't a finite number.
    """
    if not math.isfinite(metres):
        raise ValueError("The altitude in meters isn't a number. Give it again, like 1600.")
    return math.ceil(Fraction(str(metres)) / Fraction("0.3048"))
