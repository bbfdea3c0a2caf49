"""Spoken numbers as figures, for text that is read: "twenty five minutes" -> "25 minutes"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from typing import get_args

from kitchenvoice.language.language import Language, Noun
from kitchenvoice.language.loading import load_language

__all__ = ["in_figures"]

_MOST = 9_999
_MOST_WITH_PARTS = 60
_YEARS = range(1990, 2100)
_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_ONCE_MORE = re.compile(r"[.,] (\d(?: \d)+)(?: \w+)?(?=[.,:;])")
_WORD = re.compile(r"[^\W\d_]+")


@lru_cache(maxsize=256)
def in_figures(language: Language, text: str) -> str:
    """Write the numbers of a text as figures, those said digit by digit with gaps: "one five" -> "1 5".

    The longest number counts. A single "one" stays a word, as it isn't always a number, unless it counts a measure or
    names a canner or a load; so does what is above 9,999.
    What is said digit by digit once more is left out: nobody reads fifty for fifteen.
    """
    table, longest = _table(language.tag)
    words = list(_WORD.finditer(text))
    parts, done, index = [], 0, 0
    while index < len(words):
        for last in range(min(len(words), index + longest) - 1, index - 1, -1):
            figures = table.get(text[words[index].start() : words[last].end()].lower())
            if figures is not None and not _is_joined(text, words[index].start(), words[last].end()):
                capital = text[words[index].start()].isupper()
                parts += [
                    text[done : words[index].start()],
                    figures[:1].upper() if capital else figures[:1],
                    figures[1:],
                ]
                done, index = words[last].end(), last
                break
        index += 1
    written = "".join([*parts, text[done:]])
    return _ONCE_MORE.sub(
        lambda found: "" if found[1].replace(" ", "") in written[: found.start()] else found[0], written
    )


def _is_joined(text: str, start: int, end: int) -> bool:
    """True within a compound: "pint-and-a-half", "twelve-hour"."""
    return text[start - 1 : start] == "-" or text[end : end + 1] == "-"


@cache
def _table(tag: str) -> tuple[Mapping[str, str], int]:
    """Return figures by words, and the most words of one number."""
    table = {words.lower(): figures for words, figures in _entries(load_language(tag))}
    return table, max(words.count(" ") + 1 for words in table)


def _entries(language: Language) -> Iterator[tuple[str, str]]:
    point = language.phrase("names", "decimal")
    for value in range(10, 100):
        yield language.digits(value), " ".join(str(value))
    for year in _YEARS:
        yield language.year(year), str(year)
    for value in range(_MOST_WITH_PARTS):
        for eighths, sign in enumerate(_EIGHTHS[1:], 1):
            if value:
                yield language.number(value + eighths / 8), f"{value}{sign}"
        for tenths in (1, 2, 3, 4, 6, 7, 8, 9):
            yield language.number(value + tenths / 10), f"{value}{point}{tenths}"
    for value in (0, *range(2, _MOST + 1)):
        yield language.number(value), str(value)
    yield from _ones(language)


def _ones(language: Language) -> Iterator[tuple[str, str]]:
    """Yield what a single one counts or names, and the parts of an inch and a spoon."""
    one, inch = language.number(1), language.counted(1, "inch")
    named = (language.canner(1), language.phrase("names", "load", number=one))
    for said in (*named, *(language.counted(1, noun) for noun in get_args(Noun))):
        yield said, "1".join(re.split(rf"\b{one}\b", said))
    for eighths, sign in enumerate(_EIGHTHS[1:], 1):
        yield language.inches(eighths / 8), f"{sign} {inch.split()[-1]}"
