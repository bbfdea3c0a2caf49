"""Text normalisation for speech: units in full, fractions and ranges in words, confusable numbers twice.

Deliberately small: the dialogue already writes sentences, and the engine reads whole numbers well.
A number in square brackets, `[15]`, is said twice if it is a teen or a ten: "fifteen, one five"; over a fan, fifteen
and fifty sound the same. "in" is never taken for inches: it is nearly always the preposition.
"""

from __future__ import annotations

import re

__all__ = ["for_the_ear", "for_the_eye", "number_in_words"]

_ONES = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_HALVES = {"1/2": "a half", "1/4": "a quarter", "3/4": "three quarters", "1/8": "an eighth", "3/8": "three eighths"}
_UNITS = {
    "inch": ("inch", "inches"),
    "inches": ("inch", "inches"),
    "psi": ("P S I", "P S I"),
    "min": ("minute", "minutes"),
    "mins": ("minute", "minutes"),
    "hr": ("hour", "hours"),
    "sec": ("second", "seconds"),
    "ft": ("foot", "feet"),
    "lb": ("pound", "pounds"),
    "lbs": ("pound", "pounds"),
    "oz": ("ounce", "ounces"),
    "qt": ("quart", "quarts"),
    "pt": ("pint", "pints"),
    "tsp": ("teaspoon", "teaspoons"),
    "tbsp": ("tablespoon", "tablespoons"),
    "°F": ("degree Fahrenheit", "degrees Fahrenheit"),
    "°C": ("degree Celsius", "degrees Celsius"),
}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8"}

_FRACTION = "|".join(re.escape(f) for f in _HALVES)
_UNIT = "|".join(sorted((re.escape(u) for u in _UNITS), key=len, reverse=True))
_MARKED = re.compile(r"\[(\d{1,6})\]")
_RANGE = re.compile(r"(?<=[\d])\s?[-–]\s?(?=\d)")
_MIXED = re.compile(rf"(?<![\d/.])(?:(\d+)\s+)?({_FRACTION})(?![\d/])(?:[ -]({_UNIT})(?!\w)(?:\.(?=\s+[a-z]))?)?")
_MEASURE = re.compile(rf"(\d[\d,]*(?:\.\d+)?)[ -]?({_UNIT})(?!\w)(?:\.(?=\s+[a-z]))?")
_COMMA = re.compile(r"(?<=\d),(?=\d{3}\b)")
_DECIMAL = re.compile(r"(\d+)\.(\d+)")
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2})\b")
_BARE_PSI = re.compile(r"\bpsi\b", re.IGNORECASE)


def for_the_ear(text: str) -> str:
    """Return `text` as it should be spoken."""
    for sign, digits in _VULGAR.items():
        text = re.sub(rf"(?<=\d){sign}", f" {digits}", text).replace(sign, digits)
    text = _MARKED.sub(lambda m: _twice(int(m[1])), text)
    text = _CLOCK.sub(_spoken_clock, text)
    text = _MIXED.sub(_spoken_fraction, text)
    text = _RANGE.sub(" to ", text)
    text = _MEASURE.sub(_spoken_measure, text)
    text = _COMMA.sub("", text)
    text = _DECIMAL.sub(lambda m: f"{m[1]} point {' '.join(m[2])}", text)
    return _BARE_PSI.sub("P S I", text)


def for_the_eye(text: str) -> str:
    """Return `text` as a page should show it, without the marks for speech."""
    return _MARKED.sub(r"\1", text)


def number_in_words(number: int) -> str:
    """Return a whole number of 0 to 999,999 in words. Raises: ValueError outside."""
    if not 0 <= number <= 999_999:
        raise ValueError(f"{number} is not between 0 and 999,999")
    if number < 20:
        return _ONES[number]
    if number < 100:
        ten, one = divmod(number, 10)
        return _TENS[ten - 2] + (f" {_ONES[one]}" if one else "")
    size, word = (100, "hundred") if number < 1000 else (1000, "thousand")
    high, low = divmod(number, size)
    return f"{number_in_words(high)} {word}" + (f" {number_in_words(low)}" if low else "")


def _twice(number: int) -> str:
    word = number_in_words(number)
    confusable = 13 <= number <= 19 or (20 <= number <= 90 and number % 10 == 0)
    return f"{word}, {' '.join(_ONES[int(digit)] for digit in str(number))}" if confusable else word


def _spoken_clock(match: re.Match[str]) -> str:
    hours, minutes = match[1], match[2]
    if minutes == "00":
        return f"{hours} o'clock"
    return f"{hours} oh {int(minutes)}" if minutes[0] == "0" else f"{hours} {minutes}"


def _spoken_fraction(match: re.Match[str]) -> str:
    whole, fraction, unit = match[1], match[2], match[3]
    words = _HALVES[fraction]
    if whole is not None:
        return f"{whole} and {words}" + (f" {_UNITS[unit][1]}" if unit else "")
    if unit is None:
        return words
    one, _ = _UNITS[unit]
    article = "an" if one[0] in "aeiou" or one == "hour" else "a"
    return f"half {article} {one}" if fraction == "1/2" else f"{words} of {article} {one}"


def _spoken_measure(match: re.Match[str]) -> str:
    number, unit = match[1], match[2]
    return f"{number} {_UNITS[unit][0 if number == '1' else 1]}"
