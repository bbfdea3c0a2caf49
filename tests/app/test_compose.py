"""What a session reads beside its start, so that its loop needn't."""

from __future__ import annotations

import gc
import threading
from pathlib import Path

import pytest

from kitchenvoice.app import compose
from kitchenvoice.reference import knowledge, nearness
from tests.logbook.sessions import PROFILE


def test_what_the_first_strange_sentence_needs_is_read_beside_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    (tmp_path / "profile.toml").write_text(PROFILE)
    cached = (knowledge.patterns, nearness._wordings)
    for each in cached:
        each.cache_clear()
    knowledge.asked.cache_clear()
    kitchen = compose.open_kitchen()
    compose.typed_session(kitchen, lambda *_: None, None)
    for thread in threading.enumerate():
        if thread.name == "reading ahead":
            thread.join()
    kitchen.close()
    assert [each.cache_info().currsize for each in cached] == [1, 1]


def test_no_collection_looks_through_the_tables_again() -> None:
    """It would stop every thread for as long as a call may be late."""
    try:
        compose._read_ahead()
        assert len(gc.get_objects(generation=2)) < 100
    finally:
        gc.unfreeze()
