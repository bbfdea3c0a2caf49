"""Canonical spelling of spoken and written text: lower case, no punctuation, figures as words, model words only."""

from __future__ import annotations

import re
import tomllib
from functools import cache, lru_cache

from kitchenvoice.grammar.grammar_folder import grammar_folder
from kitchenvoice.language import load_language

__all__ = ["normalise", "written"]

_number = load_language("en").number
_FIGURES = re.compile(r"\d+(?:,\d{3})*(?:\.\d{1,2})?")
_DATE = re.compile(r"(?<![\w./])(\d{1,2})([./])(\d{1,2})\2((?:20)?\d\d)(?![\w/]|\.\d)")
_MINUS = re.compile(r"(?:^|(?<=\s))[-−](?=\d)")
_NOISE = re.compile(r"[^\w\s'\[\].]|(?<!\d)\.|\.(?!\d)")
_NUMERAL = "|".join(_number(value) for value in (*range(20), *range(20, 100, 10)))


@lru_cache(maxsize=3)
def _table(name: str) -> tuple[re.Pattern[str], dict[str, str]]:
    with (grammar_folder() / "spelling.toml").open("rb") as file:
        table: dict[str, str] = tomllib.load(file)[name]
    listed = "|".join(re.escape(word) for word in sorted(table, key=len, reverse=True))
    return re.compile(rf"\b(?:{listed})\b"), table


@cache
def _several() -> re.Pattern[str]:
    """Match a noun that the model knows in the singular only, after a number: there it is a plural.

    At most two words of the number are matched, so that the time stays linear in a long row of number words.
    """
    pattern, _ = _table("singular_only")
    return re.compile(rf"\b((?:{_NUMERAL}) (?:{_NUMERAL})|(?!{_number(1)}\b)(?:{_NUMERAL})) ({pattern.pattern})")


@lru_cache(maxsize=512)
def normalise(text: str) -> str:
    """Return `text` in the engine's spelling: "Pressure is 11." -> "pressure is eleven"."""
    plain = _MINUS.sub(" minus ", text.lower().replace("’", "'"))
    dated = _DATE.sub(_month_first, plain)
    said = _FIGURES.sub(lambda found: f" {_worded(found.group())} ", dated)
    said = _NOISE.sub(" ", said.replace("-", " "))
    pattern, table = _table("heard")
    return " ".join(pattern.sub(lambda found: table[found.group()], " ".join(said.split())).split())


def written(text: str) -> str:
    """Return recognised text in the spelling for display and speech: "two canner" -> "two canners"."""
    pattern, table = _table("written")
    told = pattern.sub(lambda found: table[found.group()], text)
    return _several().sub(lambda found: f"{found[1]} {_table('singular_only')[1][found[2]]}", told)


def _month_first(date: re.Match[str]) -> str:
    """Write 15.5.2026, whose day comes first, and 5/15/26 as month, day and year."""
    first, mark, second, year = date.groups()
    month, day = (second, first) if mark == "." else (first, second)
    return f"{month} {day} 20{year[-2:]}"


def _worded(figures: str) -> str:
    value = float(figures.replace(",", ""))
    return _number(value) if value < 1_000_000 else figures
