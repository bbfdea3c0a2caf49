"""Sentences of a language by table and key, one file per language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

__all__ = ["Tables", "capital", "read_sentences", "sentence"]

Tables = Mapping[str, Mapping[str, str]]

_FALLBACK = "en"
_SENTENCE = re.compile(r"(^|[.?!]\s+)([a-zß-öø-ÿ])")


def capital(text: str) -> str:
    """Capitalise the first letter."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Capitalise every sentence and collapse runs of spaces."""
    text = " ".join(text.split())
    return _SENTENCE.sub(lambda match: match.group(1) + capital(match.group(2)), text)


@cache
def read_sentences(code: str) -> Tables:
    """Read a language's tables; missing sentences are in English. Raises: FileNotFoundError."""
    own = tomllib.loads(files("kitchenvoice.language").joinpath("texts", f"{code}.toml").read_text("utf-8"))
    tables = dict(own if code == _FALLBACK else read_sentences(_FALLBACK))
    for name, table in own.items():
        kept = {key: text for key, text in tables.get(name, {}).items() if key.removesuffix(".brief") not in table}
        tables[name] = MappingProxyType({**kept, **table})
    return MappingProxyType(tables)
