"""German: "fünfundzwanzig Minuten", "zehneinhalb", "ein halber Zoll"."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from kitchenvoice.language.durations import stretch
from kitchenvoice.language.language import Joint, Language, Noun

__all__ = ["German"]

_ONES = (
    *("null", "eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf"),
    *("dreizehn", "vierzehn", "fünfzehn", "sechzehn", "siebzehn", "achtzehn", "neunzehn"),
)
_TENS = ("", "zehn", "zwanzig", "dreißig", "vierzig", "fünfzig", "sechzig", "siebzig", "achtzig", "neunzig")
_PARTS = ("", "ein Achtel", "ein Viertel", "drei Achtel", "ein halb", "fünf Achtel", "drei Viertel", "sieben Achtel")
_JARS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "half-pint": ("Halbpintglas", "Halbpintgläser"),
        "pint": ("Pintglas", "Pintgläser"),
        "quart": ("Quartglas", "Quartgläser"),
        "pint-and-half": ("Anderthalbpintglas", "Anderthalbpintgläser"),
        "half-gallon": ("Halbgallonenglas", "Halbgallonengläser"),
        "jar": ("Glas", "Gläser"),
    }
)
"""Named by the measure they were tested in: no time is published for liters and half liters, which are larger."""

_NOUNS: Mapping[Noun, tuple[str, str, str]] = MappingProxyType(
    {
        "bushel": ("ein", "Bushel", "Bushel"),
        "call": ("ein", "Ruf", "Rufe"),
        "check": ("eine", "Frage", "Fragen"),
        "crate": ("eine", "Kiste", "Kisten"),
        "cup": ("eine", "Tasse", "Tassen"),
        "day": ("ein", "Tag", "Tage"),
        "foot": ("ein", "Fuß", "Fuß"),
        "hour": ("eine", "Stunde", "Stunden"),
        "inch": ("ein", "Zoll", "Zoll"),
        "kilogram": ("ein", "Kilogramm", "Kilogramm"),
        "lug": ("eine", "Steige", "Steigen"),
        "meter": ("ein", "Meter", "Meter"),
        "minute": ("eine", "Minute", "Minuten"),
        "ounce": ("eine", "Unze", "Unzen"),
        "peck": ("ein", "Peck", "Peck"),
        "pint": ("ein", "Pint", "Pint"),
        "pound": ("ein", "Pfund", "Pfund"),
        "quart": ("ein", "Quart", "Quart"),
        "second": ("eine", "Sekunde", "Sekunden"),
        "tablespoon": ("ein", "Esslöffel", "Esslöffel"),
        "teaspoon": ("ein", "Teelöffel", "Teelöffel"),
    }
)
_UNITS: Mapping[str, str] = MappingProxyType(
    {"m": "Meter", "ft": "Fuß", "lb": "Pfund", "psi": "Pfund", "min": "Minuten"}
)
_SHORT = re.compile(rf"(?<=\d) ?({'|'.join(_UNITS)})\b", re.IGNORECASE)
"""A unit written short behind its figure."""
_FIGURES = re.compile(r"(?<![\d.,/])(?:\d{1,3}\.\d{3}|\d{1,6}(?:,\d\d?)?)(?![.,/]?\d)")
_HALVES: Mapping[str, str] = MappingProxyType({"ein": "ein halber", "eine": "eine halbe"})
_NEUTER = frozenset({"bushel", "kilogram", "peck", "pint", "pound", "quart"})
_JOINTS: Mapping[Joint, str] = MappingProxyType({"or": "oder", "and": "und", "then": "dann"})


@dataclass(frozen=True, slots=True, eq=False)
class German(Language):
    """German; the measures stay those of the tables."""

    def number(self, value: float) -> str:
        """Say a number: 25 -> "fünfundzwanzig", 10.5 -> "zehneinhalb", 0.3 -> "null Komma drei"."""
        if not math.isfinite(value) or not 0 <= value < 1_000_000:
            raise ValueError(f"{value} can't be said: 0 to 999,999")
        whole, rest = int(value), value - int(value)
        if rest == 0:
            return _whole(whole)
        if rest == 0.5 and whole:
            return f"{_joined(whole)}einhalb"
        if rest * 8 == int(rest * 8):
            part = _PARTS[int(rest * 8)]
            return part if whole == 0 else f"{_whole(whole)} und {part}"
        decimals = f"{value:.2f}".split(".")[1].rstrip("0")
        return (
            f"{_whole(whole)} Komma {' '.join(_ONES[int(d)] for d in decimals)}" if decimals else _whole(round(value))
        )

    def digits(self, value: float) -> str:
        """Say a number digit by digit: 15 -> "eins fünf"."""
        text = str(int(value)) if value == int(value) else f"{value:g}"
        return " ".join("Komma" if sign == "." else _ONES[int(sign)] for sign in text)

    def in_words(self, text: str) -> str:
        """Return a printed sentence as it stands: the tables' sentences are English."""
        return text

    def typed(self, text: str) -> str:
        """Put figures into words: "7 Gläser" -> "sieben Gläser", "1.200" -> "eintausendzweihundert"."""
        text = _SHORT.sub(lambda found: f" {_UNITS[found[1].lower()]}", text)
        return _FIGURES.sub(lambda found: self.number(float(found[0].replace(".", "").replace(",", "."))), text)

    def year(self, year: int) -> str:
        """Say a year: 2026 -> "zweitausendsechsundzwanzig"."""
        return self.number(year)

    def counted(self, count: float, noun: Noun) -> str:
        """Say a count with its noun: 1 -> "eine Frage", 2 -> "zwei Fragen", 0.5 -> "ein halbes Pfund"."""
        article, one, many = _NOUNS[noun]
        if count == 0.5:
            return f"{'ein halbes' if noun in _NEUTER else _HALVES[article]} {one}"
        return f"{article} {one}" if count == 1 else f"{self.number(count)} {many}"

    def duration(self, seconds: float) -> str:
        """Say a stretch of time: 90 -> "eineinhalb Minuten"."""
        parts = stretch(seconds)
        said = " und ".join(
            f"{self.number(count)} {_NOUNS[unit][2]}" if count != 1 else self.counted(1, unit) for count, unit in parts
        )
        return f"etwa {said}" if parts[0][1] == "day" else said

    def inches(self, value: float) -> str:
        """Say a length in inches, the measure of the tables: 0.5 -> "ein halber Zoll"."""
        return self.counted(value, "inch")

    def spoon(self, teaspoons: float) -> str:
        """Say an amount of salt: 0.5 -> "ein halber Teelöffel"."""
        return self.counted(teaspoons, "teaspoon")

    def pounds_pressure(self, psi: float) -> str:
        """Say a gauge pressure, in the unit of the tables and of the gauge: 11 -> "elf Pfund Druck"."""
        return f"{self.number(psi)} Pfund Druck"

    def altitude(self, feet: int) -> str:
        """Say an altitude in feet: 0 -> "Meereshöhe", 900 -> "neunhundert Fuß"."""
        return "Meereshöhe" if feet == 0 else self.counted(feet, "foot")

    def canner(self, number: int) -> str:
        """Call a canner by its number: 2 -> "Topf zwei"."""
        return f"Topf {self.number(number)}"

    def jars(self, jar: str, count: int | None = None) -> str:
        """Say a jar size: ("quart", 7) -> "sieben Quartgläser", ("quart", None) -> "Quartgläser"."""
        one, many = _JARS.get(jar, (jar, jar))
        if count is None:
            return many
        return f"ein {one}" if count == 1 else f"{self.number(count)} {many}"

    def jar(self, jar: str) -> str:
        """Say one jar of a size: "Quartglas"."""
        return _JARS.get(jar, (jar, jar))[0]

    def listed(self, items: Sequence[str], last: Joint = "or") -> str:
        """Join words: ["a", "b", "c"] -> "a, b oder c"."""
        return f"{', '.join(items[:-1])} {_JOINTS[last]} {items[-1]}" if len(items) > 1 else "".join(items)


def _whole(value: int) -> str:
    if value < 20:
        return _ONES[value]
    if value < 100:
        ones = f"{_joined(value % 10)}und" if value % 10 else ""
        return f"{ones}{_TENS[value // 10]}"
    if value < 1000:
        return f"{_joined(value // 100)}hundert{_whole(value % 100) if value % 100 else ''}"
    return f"{_joined(value // 1000)}tausend{_whole(value % 1000) if value % 1000 else ''}"


def _joined(value: int) -> str:
    """Say a number in front of another word: "ein", not "eins"."""
    said = _whole(value)
    return said[:-1] if said.endswith("eins") else said
