"""Endpoint detection as a table."""

from __future__ import annotations

import pytest

from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.endpoint import has_ended, patience_s
from kitchenvoice.testing.fake_ear import SentenceList

GRAMMAR = SentenceList(
    ["fifteen sealed", "fifteen sealed one failed", "steam is steady", "how much salt", "how much salt on load two"]
)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("steam is steady", th.CLOSED_S),
        ("fifteen sealed one failed", th.CLOSED_S),
        ("fifteen sealed", th.OPEN_S),
        ("how much salt", th.QUESTION_S),
        ("how much salt on load two", th.CLOSED_S),
        ("fifteen", th.UNFINISHED_S),
        ("steam is", th.UNFINISHED_S),
        ("steady is steam", th.STRAY_S),
        ("[unk]", th.STRAY_S),
        ("steam is steady [unk]", th.STRAY_S),
        ("[unk] steam is steady", th.CLOSED_S),
        ("[unk] [unk] fifteen sealed", th.OPEN_S),
        ("", th.WORDLESS_S),
    ],
)
def test_patience_follows_from_what_the_grammar_still_allows(text: str, expected: float) -> None:
    assert patience_s(text, GRAMMAR) == expected


def test_a_finished_sentence_is_answered_sooner_than_any_other() -> None:
    assert th.CLOSED_S <= 0.35
    assert th.CLOSED_S < th.QUESTION_S < th.STRAY_S < th.OPEN_S <= th.UNFINISHED_S
    assert 0.8 <= th.OPEN_S <= 1.0
    assert 8.0 <= th.MAX_UTTERANCE_S <= 10.0


@pytest.mark.parametrize(
    ("patience", "silence_s", "stable_s", "text", "ended"),
    [
        (0.3, 0.29, 2.0, "", False),
        (0.3, 0.30, 0.15, "steam is steady", True),
        (0.3, 0.30, 0.10, "steam is steady", False),
        (0.9, 0.50, 0.90, "fifteen sealed", False),
        (0.9, 0.90, 0.90, "fifteen sealed", True),
        (th.CLOSED_S, 0.00, th.STUCK_CLOSED_S, "steam is steady", True),
        (0.9, 0.00, th.STUCK_CLOSED_S, "fifteen sealed", False),
        (0.9, 0.00, th.STUCK_S, "fifteen sealed", True),
        (0.6, 0.00, 9.0, "", False),
    ],
)
def test_the_end_needs_silence_and_a_stable_text_or_a_text_that_is_stuck(
    patience: float, silence_s: float, stable_s: float, text: str, ended: bool
) -> None:
    assert has_ended(patience, silence_s, stable_s, text) is ended
