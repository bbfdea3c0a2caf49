"""The board's labels by key, one file per language. Spoken sentences are shown in the dialogue's words."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

__all__ = ["Labels", "load_labels"]


class Labels:
    """The labels of one language; `label(table, key)` fills in `{...}`."""

    def __init__(self, language: str, tables: Mapping[str, Mapping[str, str]]) -> None:
        self.language = language
        self._tables = tables

    def __call__(self, table: str, key: str, **values: object) -> str:
        """Return the label. Raises: KeyError for an unknown key or a missing value."""
        return self._tables[table][key].format_map(values)

    def has(self, table: str, key: str) -> bool:
        """True if there is such a label."""
        return key in self._tables[table]


@cache
def load_labels(language: str = "en") -> Labels:
    """Read the labels of a language. Raises: FileNotFoundError for an unknown one."""
    text = files("kitchenvoice.board.texts").joinpath(f"{language}.toml").read_text("utf-8")
    return Labels(language, tomllib.loads(text))
