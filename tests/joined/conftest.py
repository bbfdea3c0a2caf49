"""What the tests of the joined kitchen share: the grammar, read once."""

from __future__ import annotations

import pytest

from kitchenvoice.grammar import GrammarBook


@pytest.fixture(scope="session")
def book() -> GrammarBook:
    return GrammarBook.load()
