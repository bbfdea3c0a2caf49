"""Lines of the keyboard, whatever comes in by it."""

from __future__ import annotations

import os
import queue
import sys
import tempfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.app import Trouble, Typed
from kitchenvoice.app.keyboard import MOST_WAITING, read_keyboard
from kitchenvoice.app.push_to_talk import MOST_BYTES
from kitchenvoice.language import load_language


def typed(content: bytes | None) -> list[object]:
    """Everything that reaches the inbox until the keyboard ends."""
    inbox: queue.SimpleQueue = queue.SimpleQueue()
    found: list[object] = []
    with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryFile() as file:
        file.write(content or b"")
        file.seek(0)
        patch.setattr(sys, "stdin", None if content is None else file)
        read_keyboard(inbox)
        while not found or found[-1] != Typed(None, final=True):
            found.append(inbox.get(timeout=5))
    return found[:-1]


def test_a_byte_that_is_no_text_takes_nothing_else_with_it() -> None:
    assert typed(b"help\n\xffhelp\nrepeat") == [Typed("help"), Typed("\N{REPLACEMENT CHARACTER}help"), Typed("repeat")]


def test_without_a_keyboard_the_session_ends_at_once() -> None:
    assert typed(None) == []


def test_a_line_without_an_end_is_told_of_and_the_next_one_taken() -> None:
    (trouble, after) = typed(b"seven " * 2_000 + b"\nhelp\n")
    assert isinstance(trouble, Trouble)
    assert "too long" in load_language().say("session", trouble.text)
    assert after == Typed("help")


def test_a_line_of_bytes_that_are_no_text_is_told_of_and_the_next_one_taken() -> None:
    (trouble, after) = typed(b"\xff\xfe\xfd\nhelp\n")
    assert isinstance(trouble, Trouble)
    assert "read any words" in load_language().say("session", trouble.text)
    assert after == Typed("help")


@given(st.lists(st.binary(max_size=2 * MOST_BYTES).map(lambda line: line.replace(b"\n", b"")), max_size=6))
def test_each_line_is_taken_or_told_of_in_its_order(lines: list[bytes]) -> None:
    kept = [line for line in lines if len(line) >= MOST_BYTES or line.decode("utf-8", "replace").strip()]
    read = [len(line) < MOST_BYTES and any(map(str.isalnum, line.decode("utf-8", "replace"))) for line in kept]
    wanted = [Typed if each else Trouble for each in read]
    assert [type(each) for each in typed(b"".join(line + b"\n" for line in lines))] == wanted


def test_lines_that_never_end_wait_in_their_pipe_and_a_wish_to_end_is_heard_among_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reads, writes = os.pipe()
    inbox: queue.SimpleQueue = queue.SimpleQueue()
    with os.fdopen(reads) as keyboard, os.fdopen(writes, "wb", buffering=0) as flood:
        monkeypatch.setattr(sys, "stdin", keyboard)
        flood.write(b"where are we\n" * 4_000)
        read_keyboard(inbox)
        for _ in range(20):
            assert inbox.get(timeout=5) == Typed("where are we")
        inbox.put(Typed(None, final=True))
        assert Typed(None, final=True) in [inbox.get(timeout=5) for _ in range(MOST_WAITING + 1)]
        flood.close()
        while inbox.get(timeout=5) != Typed(None, final=True):
            pass
