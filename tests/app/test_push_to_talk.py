"""A key or a pedal in the place of the wake phrase, on a real pseudo-terminal."""

from __future__ import annotations

import os
import pty
import queue
import struct
import termios
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kitchenvoice.app import push_to_talk
from kitchenvoice.app.push_to_talk import (
    KEYS,
    MOST_BYTES,
    PEDAL_BACK,
    PEDAL_GONE,
    Key,
    LineEditor,
    PushToTalk,
    read_key,
)
from kitchenvoice.errors import BadInput

LIMIT_S = 10.0
PRESS = "pressed"


class Desk:
    """A pseudo-terminal with the program's side open, and what came from it in order."""

    def __init__(self, key: str) -> None:
        self.ours, self.theirs = pty.openpty()
        self.before = termios.tcgetattr(self.theirs)
        self.t = 0.0
        self.came: queue.SimpleQueue[object] = queue.SimpleQueue()
        self.watching = PushToTalk(
            read_key(key),
            lambda: self.came.put(PRESS),
            self.came.put,
            self.came.put,
            terminal=self.theirs,
            now=lambda: self.t,
        )
        self.watching.start()

    def type(self, text: str) -> None:
        """Type this."""
        os.write(self.ours, text.encode())

    def next(self) -> str:
        """Return what came next, and let a second go by."""
        came = self.came.get(timeout=LIMIT_S)
        self.t += 1.0
        return came

    def close(self) -> None:
        self.watching.close()
        os.close(self.ours)
        os.close(self.theirs)


@pytest.fixture
def desk(request: pytest.FixtureRequest) -> Iterator[Desk]:
    made = Desk(request.param)
    yield made
    made.close()


@pytest.mark.parametrize(
    ("desk", "sent"),
    [(name, sent) for name, sent in KEYS.items() if name != "enter"] + [("enter", "\r")],
    indirect=["desk"],
)
def test_each_key_is_a_press_without_enter_after_it(desk: Desk, sent: str) -> None:
    for _ in range(2):
        desk.type(sent)
        assert desk.next() == PRESS


@pytest.mark.parametrize("desk", ["space"], indirect=True)
def test_sentences_can_still_be_typed_with_spaces_in_them(desk: Desk) -> None:
    desk.type("pressure is elx\x7feven\n")
    assert desk.next() == "pressure is eleven"
    shown = ""
    while not shown.endswith("\n"):
        shown += os.read(desk.ours, 1000).decode()
    assert shown.split() == ["pressure", "is", "elx\x08", "\x08even"]
    desk.type(" ")
    assert desk.next() == PRESS


@pytest.mark.parametrize("desk", ["space"], indirect=True)
def test_a_key_that_is_held_down_is_one_press(desk: Desk) -> None:
    desk.type(" " * 30)
    assert desk.next() == PRESS
    desk.type("done\n")
    assert desk.next() == "done"


@pytest.mark.parametrize("desk", ["page-down"], indirect=True)
def test_other_keys_of_the_keyboard_do_nothing(desk: Desk) -> None:
    desk.type("\x1b[A\x1b[5~\x1bOP\x1b[1;5C\t\x01")
    desk.type("\x1b[6~")
    assert desk.next() == PRESS
    assert desk.came.empty()


@pytest.mark.parametrize("desk", ["space"], indirect=True)
def test_the_terminal_is_given_back_as_it_was(desk: Desk) -> None:
    assert termios.tcgetattr(desk.theirs) != desk.before
    desk.watching.close()
    assert termios.tcgetattr(desk.theirs) == desk.before


@pytest.mark.parametrize("named", ["", "spce", "dev/input/event3", "/dev/input/event3:x"])
def test_what_is_no_key_is_refused_with_the_ones_there_are(named: str) -> None:
    with pytest.raises(BadInput, match="Take space, enter, tab"):
        read_key(named)


def test_a_pedal_s_path_may_name_one_key_of_it() -> None:
    assert read_key("/dev/input/event3") == Key(device=Path("/dev/input/event3"))
    assert read_key("/dev/input/event3:57") == Key(device=Path("/dev/input/event3"), code=57)


def event(kind: int, code: int, value: int) -> bytes:
    """Return one event as Linux lays it out: struct input_event of linux/input.h."""
    return struct.pack("@llHHi", 1_786_521_600, 0, kind, code, value)


def test_a_pedal_is_read_from_its_own_device_and_comes_back_after_it_was_unplugged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kitchenvoice.app.push_to_talk.RETRY_S", 0.05)
    pedal = tmp_path / "pedal"
    ours, theirs = pty.openpty()
    t = iter(range(1000))
    came: queue.SimpleQueue[object] = queue.SimpleQueue()
    watching = PushToTalk(
        read_key(f"{pedal}:48"),
        lambda: came.put(PRESS),
        came.put,
        lambda *told: came.put(told),
        terminal=theirs,
        now=lambda: next(t),
    )
    watching.start()
    assert came.get(timeout=LIMIT_S) == (PEDAL_GONE, pedal)

    def step_on() -> None:
        with pedal.open("wb", buffering=0) as device:
            for sent in ((1, 48, 1), (0, 0, 0), (1, 48, 2), (1, 48, 0), (1, 30, 1), (1, 48, 1)):
                device.write(event(*sent))

    os.mkfifo(pedal)
    for _ in range(2):  # the end of the pipe is a pedal that is unplugged
        stepping = threading.Thread(target=step_on, daemon=True)
        stepping.start()
        assert [came.get(timeout=LIMIT_S) for _ in range(4)] == [
            (PEDAL_BACK, pedal), PRESS, PRESS, (PEDAL_GONE, pedal)
        ]  # fmt: skip
        stepping.join(LIMIT_S)
    watching.close()
    os.close(ours)
    os.close(theirs)


@pytest.mark.parametrize("named", ["/dev/zero", "/dev/urandom", "/dev/null", "/dev/full", "a file", "a folder"])
def test_what_is_no_pedal_is_told_of_once_and_presses_nothing(
    named: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kitchenvoice.app.push_to_talk.RETRY_S", 0.01)
    monkeypatch.setattr("kitchenvoice.app.push_to_talk.PACE_S", 0.001)
    (tmp_path / "a folder").mkdir()
    (tmp_path / "a file").write_bytes(event(1, 57, 1) * 3)
    came: list[object] = []
    tries = threading.Semaphore(0)
    monkeypatch.setattr(push_to_talk, "_pedal", tried(push_to_talk._pedal, tries))
    watching = PushToTalk(
        read_key(str(tmp_path / named)),
        lambda: came.append(PRESS),
        came.append,
        lambda *told: came.append(told),
        terminal=os.open(os.devnull, os.O_RDONLY),
    )
    watching.start()
    for _ in range(4):
        assert tries.acquire(timeout=LIMIT_S)
    watching.close()
    assert came == [(PEDAL_GONE, tmp_path / named)]


def tried(pedal: Callable[..., object], tries: threading.Semaphore) -> Callable[..., object]:
    """The same, and each try is counted."""

    def counted(*given: object) -> object:
        tries.release()
        return pedal(*given)

    return counted


def test_a_line_without_an_end_is_not_kept_and_the_next_one_taken() -> None:
    came: list[str | None] = []
    line = LineEditor(Key("space"), lambda: None, came.append)
    line.take("one hundred " * 2_000)
    line.take("\x1b[" + "1" * 5_000)
    assert len(line._text) + len(line._sequence) < 2 * MOST_BYTES
    line.take("\n")
    line.take("help\n")
    assert came == [None, "help"]
