"""The sentences of a language by table and key, one file a language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType

__all__ = ["Tables", "capital", "read_sentences", "sentence"]

Tables = Mapping[str, Mapping[str, str]]

_FALLBACK = "en"
_SENTENCE = re.compile(r"(^|[.?!]\s+)([a-zß-öø-ÿ])")


def capital(text: str) -> str:
    """Begin with a capital letter."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Begin every sentence with a capital letter and put single blanks between."""
    text = " ".join(text.split())
    return _SENTENCE.sub(lambda match: match.group(1) + capital(match.group(2)), text)


def read_sentences(code: str) -> Tables:
    """Read a language's tables; a sentence that it lacks is said in English. Raises: FileNotFoundError."""
    own = tomllib.loads(files("kitchenvoice.language").joinpath("texts", f"{code}.toml").read_text("utf-8"))
    tables = dict(own if code == _FALLBACK else read_sentences(_FALLBACK))
    for name, table in own.items():
        kept = {key: text for key, text in tables.get(name, {}).items() if key.removesuffix(".brief") not in table}
        tables[name] = MappingProxyType({**kept, **table})
    return MappingProxyType(tables)
