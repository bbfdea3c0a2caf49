"""Whole days and single troubles as scripts: each is played in words through the real dialogue, engine and record."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.rehearsal.scenario import read_scenario
from kitchenvoice.rehearsal.stage import Rehearsal

SCRIPTS = sorted(Path(__file__).parent.glob("*.txt"))


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.stem)
def test_the_day_goes_as_the_script_expects(script, book, tmp_path):
    log = SqliteLog(tmp_path / "record")
    try:
        rehearsal = Rehearsal(read_scenario(script), book, PRACTICE_KITCHEN, log)
        said = [entry.text or "" for entry in rehearsal.run() if entry.who == "kitchenvoice"]
    finally:
        log.close()
    assert not [f"line {failure.line}: {failure.text}" for failure in rehearsal.failures]
    assert not [text for text in said if " safe" in text.lower() or "{" in text]


def test_there_are_enough_scripts_and_each_expects_something():
    assert len(SCRIPTS) >= 40
    for script in SCRIPTS:
        kinds = [line.kind for line in read_scenario(script).lines]
        assert kinds.count("answer") + kinds.count("event") >= 3, script.name
