"""An error that ends a thread while a session goes on."""

from __future__ import annotations

import threading

import pytest

from kitchenvoice.app.session import Trouble
from kitchenvoice.app.thread_errors import thread_errors_said
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.testing.simulated_kitchen import SimulatedKitchen


class Listener:
    """A mouth that keeps what it is to say."""

    def __init__(self) -> None:
        self.said: list[Announcement] = []

    def say(self, announcement: Announcement) -> None:
        self.said.append(announcement)

    def obey(self, control: object) -> None:
        """Nothing sounds."""


def fail(error: BaseException) -> None:
    def work() -> None:
        raise error

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()


def test_the_first_is_said_once_and_each_goes_on_to_the_log(monkeypatch: pytest.MonkeyPatch) -> None:
    logged: list[object] = []
    monkeypatch.setattr(threading, "excepthook", lambda ended: logged.append(ended.exc_type))
    before, mouth = threading.excepthook, Listener()
    kitchen = SimulatedKitchen(GrammarBook.load(), PRACTICE_KITCHEN, mouth=mouth)
    kitchen.begin()
    with thread_errors_said(kitchen.inbox):
        fail(SystemExit(1))
        kitchen.wait(1.0)
        said = len(mouth.said)
        fail(KeyError("a share"))
        fail(ValueError("another"))
        kitchen.wait(1.0)
        kitchen.hear("kitchen voice help")
    assert logged == [SystemExit, KeyError, ValueError]
    assert [each.text for each in mouth.said[said:-1]] == [
        "A part of me has stopped, and I go on without it. If I don't answer, start me again."
    ]
    assert mouth.said[said].urgency is Urgency.CAUTION
    assert threading.excepthook is before


def test_it_is_known_in_the_sentences_of_trouble() -> None:
    kitchen = SimulatedKitchen(GrammarBook.load(), PRACTICE_KITCHEN)
    kitchen.begin()
    language = kitchen.conversation.talk.language
    for key in ("part_stopped", "trace_full", "trace_refused"):
        assert language.has("session", Trouble(key).text)
