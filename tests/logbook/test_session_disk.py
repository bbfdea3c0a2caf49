"""A whole session on a disk that is really full: it keeps guiding, says that it can't record, and catches up."""

from __future__ import annotations

import os
from pathlib import Path

from kitchenvoice.app.session import Session, Typed
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.testing.simulated_kitchen import DAY_START_UTC, SimulatedInbox
from tests.app.test_session import NoteBook


def test_with_a_full_disk_it_guides_on_says_so_once_and_records_when_there_is_room(small_disk: Path) -> None:
    home, clock, mouth = small_disk / "home", SimulatedClock(DAY_START_UTC), NoteBook()
    with SqliteLog(home) as log:
        conversation = Conversation(GrammarBook.load(), PRACTICE_KITCHEN, (), pantry=log)
        inbox = SimulatedInbox(clock)
        session = Session(conversation, log, clock, mouth, home=home, inbox=inbox)
        session.begin()

        def type_in(*lines: str) -> None:
            for line in lines:
                session.inbox.put(Typed(line))
                assert session.step()

        type_in("start seven quarts of green beans raw pack", "yes")
        recorded = log.last_seq
        filler = small_disk / "filler"
        with filler.open("wb", buffering=0) as file:
            for size in (4096, 1):
                while _wrote(file.fileno(), size):
                    pass
        for _ in range(60):
            type_in("seven jars packed", "minus one")
        held = log.last_seq
        type_in("seven jars are in", "lid is locked", "steam is steady")
        assert mouth.text.count("I can't write the record: The disk is full") == 1
        assert "Ten minutes of venting start now" in mouth.text
        assert recorded <= held == log.last_seq < conversation.talk.last_seq
        filler.unlink()
        inbox.until = clock.now().elapsed + 15.0
        for _ in range(30):
            session.step()
        assert "The record is being written again." in mouth.text
        assert log.last_seq == conversation.talk.last_seq
    with Logbook(home) as book:
        assert [entry.event.seq for entry in book.entries()] == list(range(1, conversation.talk.last_seq + 1))


def _wrote(handle: int, size: int) -> bool:
    try:
        return os.write(handle, b"x" * size) > 0
    except OSError:
        return False
