"""Languages by code."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from kitchenvoice.language.language import Language
from kitchenvoice.language.sentences import read_sentences
from kitchenvoice.language.words_de import German
from kitchenvoice.language.words_en import English

__all__ = ["load_language"]

_LANGUAGES: Mapping[str, type[Language]] = MappingProxyType({"en": English, "de": German})


@cache
def load_language(code: str = "en") -> Language:
    """Return the language of a code, the same object each time. Raises: KeyError for an unknown code."""
    return _LANGUAGES[code](code, read_sentences(code))
