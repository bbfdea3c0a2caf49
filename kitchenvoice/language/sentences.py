"""Sentences by key, in full or brief, one file a language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from kitchenvoice.language.words import capital

__all__ = ["Texts", "load_texts", "sentence"]

_SENTENCE = re.compile(r"(^|[.?!]\s+)([a-z])")


class Texts:
    """The sentences of one language. `say` fills a template with values that are words already."""

    def __init__(self, tables: dict[str, dict[str, str]]) -> None:
        self._tables = tables

    def has(self, table: str, key: str) -> bool:
        """Tell whether there is such a sentence."""
        return key in self._tables[table]

    def table(self, name: str) -> Mapping[str, str]:
        """Return a whole table, empty if there is none of that name."""
        return self._tables.get(name, {})

    def say(
        self, table: str, key: str, values: Mapping[str, str] | None = None, /, *, brief: bool = False, **more: str
    ) -> str:
        """Return the sentence. Raises: KeyError for an unknown key or a value that the template lacks."""
        templates = self._tables[table]
        template = templates.get(f"{key}.brief", templates[key]) if brief else templates[key]
        return sentence(template.format_map({**(values or {}), **more}))


def sentence(text: str) -> str:
    """Begin every sentence with a capital letter and put single blanks between."""
    text = " ".join(text.split())
    return _SENTENCE.sub(lambda match: match.group(1) + capital(match.group(2)), text)


@cache
def load_texts(language: str = "en") -> Texts:
    """Read the sentences of a language. Raises: FileNotFoundError for one that isn't there."""
    return Texts(_tables(language))


def _tables(language: str) -> dict[str, dict[str, str]]:
    """Read a language's tables; what another language lacks is said in English."""
    own = tomllib.loads(files("kitchenvoice.language").joinpath("texts", f"{language}.toml").read_text("utf-8"))
    if language == "en":
        return own
    tables = _tables("en")
    for name, table in own.items():
        kept = {key: text for key, text in tables.get(name, {}).items() if key.removesuffix(".brief") not in table}
        tables[name] = {**kept, **table}
    return tables
