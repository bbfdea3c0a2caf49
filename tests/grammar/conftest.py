"""Shared fixtures of the grammar's tests: the real grammar files, and the register of commands."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from kitchenvoice.grammar import GrammarBook

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def book() -> GrammarBook:
    """The grammar files with the reference's foods and two named canners."""
    return GrammarBook.load(canners={"big blue": 1, "the old one": 2})


@pytest.fixture(scope="session")
def plain() -> GrammarBook:
    """The grammar files with the reference's foods and no named canner."""
    return GrammarBook.load()


@pytest.fixture(scope="session")
def register() -> dict[str, Any]:
    """grammars/register.yaml."""
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "grammars" / "register.yaml").read_text(encoding="utf-8"))
    return loaded
