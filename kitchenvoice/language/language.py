"""One language as an immutable object: the interface of all languages."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from string import Formatter
from types import MappingProxyType
from typing import Literal

from kitchenvoice.language.sentences import Tables, sentence

__all__ = ["CONFUSABLE", "Joint", "Language", "Noun"]

Joint = Literal["or", "and", "then"]
"""Conjunctions before the last item of a list."""

Noun = Literal[
    "bushel",
    "call",
    "check",
    "crate",
    "cup",
    "day",
    "foot",
    "hour",
    "inch",
    "kilogram",
    "lug",
    "meter",
    "minute",
    "ounce",
    "peck",
    "pint",
    "pound",
    "quart",
    "second",
    "tablespoon",
    "teaspoon",
]
"""Countable nouns."""

CONFUSABLE = frozenset({*range(13, 20), *range(30, 100, 10)})
"""Teens and tens, which sound alike; they are said twice, as a word and digit by digit."""

_NOTHING: Mapping[str, str] = MappingProxyType({})
_MIXED = re.compile(r"(?<![\d/])(?:(\d+)[- ])?(\d+)/(2|3|4|8|16)(?![\d/])")
_SPAN = re.compile(r"(?<![\d/-])(\d+)-(?=\d+(?![\d/-]))")
_NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")


@dataclass(frozen=True, slots=True, eq=False)
class Language(ABC):
    """Number words and measures, and sentences by key. `tag` is its ISO 639-1 code."""

    tag: str
    tables: Tables

    # ------------------------------------------------------------ sentences

    def has(self, table: str, key: str) -> bool:
        """True if there is such a sentence."""
        return key in self.tables[table]

    def table(self, name: str) -> Mapping[str, str]:
        """Return a whole table, empty if there is none of that name."""
        return self.tables.get(name, _NOTHING)

    def say(
        self, table: str, key: str, values: Mapping[str, str] | None = None, /, *, brief: bool = False, **more: str
    ) -> str:
        """Fill a sentence with values that are words already; each sentence in it begins with a capital letter.

        Raises: KeyError for an unknown key or a missing value.
        """
        return sentence(self._template(table, key, brief=brief).format_map({**(values or {}), **more}))

    def phrase(self, table: str, key: str, values: Mapping[str, str] | None = None, /, **more: str) -> str:
        """Fill a fragment of a sentence, as it stands in the table. Raises: KeyError as `say`."""
        return self.tables[table][key].format_map({**(values or {}), **more})

    def choices(self, table: str, key: str) -> tuple[str, ...]:
        """Return the alternatives under a key, separated by `|`. Raises: KeyError as `say`."""
        return _parted(self.tables[table][key])

    def gaps(self, table: str, key: str, *, brief: bool = False) -> frozenset[str]:
        """Return the names of a sentence's slots. Raises: KeyError for an unknown key."""
        return frozenset(name for _, name, _, _ in Formatter().parse(self._template(table, key, brief=brief)) if name)

    def _template(self, table: str, key: str, *, brief: bool) -> str:
        templates = self.tables[table]
        return templates.get(f"{key}.brief", templates[key]) if brief else templates[key]

    def hears(self, of: str, text: str) -> bool:
        """True if a text has a word of one kind, as the table `overheard` has them."""
        return bool(_pattern(self.tables["overheard"][of]).search(text))

    def unheard(self, of: str, text: str) -> str:
        """Return a text without the words of one kind."""
        return " ".join(_pattern(self.tables["overheard"][of]).sub("", text).split())

    def names_one(self, numbers: Iterable[int], text: str) -> bool:
        """True if a text has one of these numbers, by itself and not of jars or minutes."""
        sought = _said(self, tuple(numbers))
        counted, tens = self.choices("overheard", "counted"), self.choices("overheard", "tens")
        words = ["", *_words(text), ""]
        at = (place for place, word in enumerate(words) if word in sought)
        return any(words[place - 1] not in tens and words[place + 1] not in counted for place in at)

    def reads_one(self, numbers: Iterable[int], text: str) -> bool:
        """True if a text may have one of these numbers off a gauge: it names one, or nothing stands beside it."""
        text = self.put_right(text)
        if not self.names_one(numbers, text):
            return False
        spoken = {word for number in _said(self, tuple(range(100))) for word in number.split()}
        if self.hears("of_stove", text):
            return True
        *before, last = _words(text) or [""]
        left = self.unheard("filler", self.unheard("reading", text.lower()))
        if before and before[-1] in self.choices("overheard", "before_reading") and last in spoken:
            left = self.unheard("happening", left)  # "one's slipped to nine"
        return spoken.issuperset(_words(left))

    def tells_one(self, numbers: Iterable[int], text: str) -> bool:
        """True if one of these numbers is told as a reading, whatever else is said ("it's nine, i was out")."""
        sought = _said(self, tuple(numbers))
        lead, soft = self.choices("overheard", "lead"), self.choices("overheard", "soft")
        counted = (*self.choices("overheard", "counted"), *self.choices("overheard", "clock"))
        words = [*_words(self.put_right(text)), ""]
        for place, word in enumerate(words):
            before = [each for each in words[:place] if each not in soft]
            if word in sought and words[place + 1] not in counted:
                led = bool(before) and before[-1] in lead
                if led or self.hears("stands_at", " ".join(words[:place])):
                    return True
        return False

    def put_right(self, text: str) -> str:
        """Leave out the number that another one puts right: "eleven, not seven"."""
        rest = self.unheard("put_right", text)
        return rest if self.names_one(range(100), rest) else text

    # ------------------------------------------------------------ numbers

    @abstractmethod
    def number(self, value: float) -> str:
        """Say a number of 0 to 999,999, fractions as halves, quarters or eighths, else by decimals.

        Raises: ValueError out of that range.
        """

    @abstractmethod
    def year(self, year: int) -> str:
        """Say a year of our time: 2026 -> "twenty twenty six"."""

    @abstractmethod
    def digits(self, value: float) -> str:
        """Say a number digit by digit: 15 -> "one five"."""

    def twice(self, value: float, *, doubt: bool = False) -> str:
        """Say a number, and again digit by digit where it is confusable: 15 -> "fifteen, one five"."""
        return f"{self.number(value)}, {self.digits(value)}" if doubt or value in CONFUSABLE else self.number(value)

    def code(self, value: float, rival: float | None = None) -> str:
        """Say the difference to a number that sounds alike: 15 -> ", one five", 9 for 5 -> ", and not five"."""
        if value in CONFUSABLE:
            return f", {self.digits(value)}"
        return "" if rival is None else self.phrase("names", "not_rival", rival=self.number(rival))

    def in_words(self, text: str) -> str:
        """Put the numbers of a written sentence into words: "1-1/2 inches" -> "one and a half inches", "2-3" -> "two to
        three".
        """
        text = _SPAN.sub(lambda m: self.phrase("sheets", "span", low=m[1], high=""), text)
        text = _MIXED.sub(lambda m: self.number(int(m[1] or 0) + int(m[2]) / int(m[3])), text)
        return _NUMBER.sub(lambda m: self.number(float(m[0].replace(",", ""))), text)

    def typed(self, text: str) -> str:
        """Put the figures of a typed sentence into words, where the grammars don't do it."""
        return text

    # ------------------------------------------------------------ measures and counts

    @abstractmethod
    def counted(self, count: float, noun: Noun) -> str:
        """Say a count with its noun: 1 -> "one check", 0 -> "zero checks", 0.5 -> "half a bushel"."""

    @abstractmethod
    def duration(self, seconds: float) -> str:
        """Say a stretch of time: to the second below a minute, half a minute below thirty, a minute below two days."""

    @abstractmethod
    def inches(self, value: float) -> str:
        """Say a length in inches: 0.5 -> "half an inch"."""

    @abstractmethod
    def spoon(self, teaspoons: float) -> str:
        """Say an amount of salt in teaspoons: 0.5 -> "half a teaspoon"."""

    @abstractmethod
    def pounds_pressure(self, psi: float) -> str:
        """Say a gauge pressure, distinct from a weight: 11 -> "eleven pounds pressure"."""

    @abstractmethod
    def altitude(self, feet: int) -> str:
        """Say an altitude in feet: 0 -> "sea level", 1200 -> "one thousand two hundred feet"."""

    @abstractmethod
    def canner(self, number: int) -> str:
        """Call a canner by its number: 1 -> "canner one"."""

    @abstractmethod
    def jars(self, jar: str, count: int | None = None) -> str:
        """Say a jar size, or `jar` for any, with a count or without: 7 -> "seven quarts", None -> "quarts"."""

    @abstractmethod
    def jar(self, jar: str) -> str:
        """Say one jar of a size: "quart"."""

    @abstractmethod
    def listed(self, items: Sequence[str], last: Joint = "or") -> str:
        """Join items in words: ["a", "b", "c"] -> "a, b or c"."""


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W\d]+(?:'\w+)?", text.lower())


@lru_cache(maxsize=64)
def _said(language: Language, numbers: tuple[int, ...]) -> frozenset[str]:
    return frozenset(map(language.number, numbers))


@lru_cache(maxsize=512)
def _parted(listed: str) -> tuple[str, ...]:
    return tuple(each.strip() for each in listed.split("|"))


@lru_cache(maxsize=256)
def _pattern(listed: str) -> re.Pattern[str]:
    return re.compile(rf"\b({listed})\b")
