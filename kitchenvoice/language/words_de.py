"""Numbers and measures as they are said in German: "fünfundzwanzig Minuten", "zehneinhalb", "ein halber Zoll".

The same functions as in `words`; what isn't here is said as there. Whole numbers 0 to 999,999.
"""

from __future__ import annotations

import math

from kitchenvoice.language.durations import stretch

__all__ = ["altitude", "canner", "digits", "duration", "inches", "jars", "listed", "number", "pounds_pressure", "spoon"]

_ONES = [
    *("null", "eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf"),
    *("dreizehn", "vierzehn", "fünfzehn", "sechzehn", "siebzehn", "achtzehn", "neunzehn"),
]
_TENS = ["", "zehn", "zwanzig", "dreißig", "vierzig", "fünfzig", "sechzig", "siebzig", "achtzig", "neunzig"]
_PARTS = {1: "ein Achtel", 2: "ein Viertel", 3: "drei Achtel", 4: "ein halb", 5: "fünf Achtel", 6: "drei Viertel"}
_PARTS[7] = "sieben Achtel"
_JARS = {
    "half-pint": ("Viertelliterglas", "Viertelliter"),
    "pint": ("Halbliterglas", "Halblitergläser"),
    "quart": ("Literglas", "Litergläser"),
}
"""A pint is 0.473 l and a quart 0.946 l (exact US definitions): the German words name the jar, not its measure."""

_UNITS = {
    "second": ("eine Sekunde", "Sekunden"),
    "minute": ("eine Minute", "Minuten"),
    "hour": ("eine Stunde", "Stunden"),
    "day": ("ein Tag", "Tage"),
}


def number(value: float) -> str:
    """Say a number: 25 -> "fünfundzwanzig", 10.5 -> "zehneinhalb", 0.3 -> "null Komma drei". Raises: ValueError."""
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
    return f"{_whole(whole)} Komma {' '.join(_ONES[int(d)] for d in decimals)}" if decimals else _whole(round(value))


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


def digits(value: float) -> str:
    """Say a number digit by digit: 15 -> "eins fünf"."""
    text = str(int(value)) if value == int(value) else f"{value:g}"
    return " ".join("Komma" if sign == "." else _ONES[int(sign)] for sign in text)


def duration(seconds: float) -> str:
    """Say a stretch of time, as exactly as `words.duration` does."""
    parts = stretch(seconds)
    said = " und ".join(_counted(count, *_UNITS[unit]) for count, unit in parts)
    return f"etwa {said}" if parts[0][1] == "day" else said


def _counted(count: float, one: str, many: str) -> str:
    return one if count == 1 else f"{number(count)} {many}"


def inches(value: float) -> str:
    """Say a length in inches, the measure of the tables."""
    return "ein Zoll" if value == 1 else "ein halber Zoll" if value == 0.5 else f"{number(value)} Zoll"


def spoon(teaspoons: float) -> str:
    """Say an amount of salt."""
    named = {0.5: "ein halber Teelöffel", 1: "ein Teelöffel"}
    return named.get(teaspoons, f"{number(teaspoons)} Teelöffel")


def pounds_pressure(psi: float) -> str:
    """Say a gauge pressure, in the unit of the tables and of the gauge."""
    return f"{number(psi)} Pfund Druck"


def altitude(feet: int) -> str:
    """Say an altitude in feet."""
    return "Meereshöhe" if feet == 0 else f"{_joined(feet) if feet == 1 else number(feet)} Fuß"


def canner(number_of_it: int) -> str:
    """Call a canner by its number."""
    return f"Topf {number(number_of_it)}"


def jars(jar: str, count: int | None = None) -> str:
    """Say a jar size, with a count or without."""
    one, many = _JARS.get(jar, (jar, jar))
    if count is None:
        return many
    return f"ein {one}" if count == 1 else f"{number(count)} {many}"


def listed(items: list[str] | tuple[str, ...], last: str = "or") -> str:
    """Join words as a sentence does."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {'und' if last == 'and' else 'oder'} {items[-1]}"
