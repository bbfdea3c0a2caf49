"""Forgotten open loads, found at a start days later: reported once, judged by the clock, closed only after a yes."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Utterance

from .days import DAY, Day

HOUR = 3600.0


def left(stage: str, *, failed: int = 0) -> Day:
    """A load abandoned at a stage."""
    day = Day()
    day.until_rest(1)
    cut = {"pack": "packed", "hold": "pressure_is"}.get(stage)
    if cut is not None:
        day.events = day.events[: 1 + next(at for at, event in enumerate(day.events) if event.kind == cut)]
    if stage == "keep":
        day.ends(1, "rest", 12 * 60)
        day.add("seal_count", 1, sealed=9 - failed, failed=failed)
    day.seq, day.t = day.events[-1].seq, day.events[-1].t
    return day


def start(day: Day, off_s: float) -> tuple[Conversation, str]:
    """Start so much later; return the greeting."""
    talk = Conversation(GrammarBook.load(), PRACTICE_KITCHEN, day.events, last_seq=day.seq, last_load=1)
    turn = talk.begin(day.t + off_s, off_s=off_s)
    return talk, " ".join(each.text for each in turn.announcements)


def say(talk: Conversation, text: str) -> tuple[str, list[str]]:
    """Say something; return the answer and the kinds of entries."""
    turn = talk.hear(Utterance((text,)), talk.talk.t + 5.0, typed=True)
    return " ".join(each.text for each in turn.announcements), [event.kind for event in turn.events]


@pytest.mark.parametrize(
    ("stage", "failed", "off_s", "told"),
    [
        ("pack", 0, 25 * HOUR, "left over a day ago, and no full hold is recorded. After twenty four hours such jars"),
        ("hold", 0, 5 * DAY, "left five days ago, and no full hold is recorded. After twenty four hours such jars are"),
        ("rest", 0, 5 * DAY, "left five days ago, held in full but not counted. A jar that didn't seal is thrown out"),
        ("keep", 2, 9 * DAY, "with its seals counted. A jar that failed and still stands is thrown out by now"),
        ("keep", 0, 9 * DAY, "left nine days ago, with its seals counted. Shall I close the load?"),
    ],
)
def test_a_forgotten_load_is_told_with_what_may_still_be_done(stage: str, failed: int, off_s: float, told: str) -> None:
    talk, said = start(left(stage, failed=failed), off_s)
    assert told in said
    assert "all the time" not in said
    assert "lose" in said
    answer, kinds = say(talk, "yes")
    assert kinds[-1] in ("load_given_up", "load_close", "load_closed", "load_abandoned")
    assert ("None of its jars is on the shelf list" in answer) is (stage != "keep")
    assert not talk.talk.kitchen.open_loads


@pytest.mark.parametrize(("stage", "off_s"), [("pack", 23 * HOUR), ("hold", 23 * HOUR), ("rest", 40 * HOUR)])
def test_a_load_of_yesterday_is_not_forgotten(stage: str, off_s: float) -> None:
    _, said = start(left(stage), off_s)
    assert "Shall I close" not in said
    assert ("all the time?" in said) is (stage == "hold")


def test_a_no_leaves_it_open_and_a_hold_starts_over(stage: str = "hold") -> None:
    talk, _ = start(left(stage), 5 * DAY)
    answer, kinds = say(talk, "no")
    assert "Left open: Load one, carrots." in answer
    assert "doubt_settled" in kinds
    load = talk.talk.kitchen.open_loads[0]
    assert not load.holding
    assert load.processed_t is None


def test_seals_counted_late_answer_it_too() -> None:
    talk, _ = start(left("rest"), 5 * DAY)
    first, second = say(talk, "eight sealed one failed")[0], say(talk, "yes")[0]
    assert "Eight sealed, one failed. Is that right?" in first
    assert "Shall I close" not in first + second
    assert talk.talk.kitchen.open_loads[0].sealed == 8


def test_after_a_gap_that_nobody_can_know_nothing_is_said_of_days() -> None:
    talk = Conversation(GrammarBook.load(), PRACTICE_KITCHEN, left("pack").events, last_seq=2, last_load=1)
    turn = talk.begin(talk.talk.t, off_s=None)
    assert not any("ago" in each.text for each in turn.announcements)
