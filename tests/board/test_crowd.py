"""Crowds and malformed requests at the board: limits hold, nothing reaches the terminal, others get in."""

from __future__ import annotations

import logging
import selectors
import socket
from collections.abc import Callable
from contextlib import ExitStack, closing, suppress
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest

from kitchenvoice.board import crowd, pace, server
from kitchenvoice.board.app import MOST_STREAMS

from . import kitchen
from .kitchen import ServedDay
from .test_app import ask, origin

Serve = Callable[..., ServedDay]
STRANGER, TABLET = "127.0.0.66", "127.0.0.2"


def connect(day: ServedDay, source: str = STRANGER) -> socket.socket:
    """Connect to the board from a loopback address."""
    return socket.create_connection(("127.0.0.1", urlsplit(day.url).port or 0), 10, source_address=(source, 0))


def send(day: ServedDay, text: bytes, source: str = TABLET) -> bytes:
    """Send raw bytes; return the first line of the answer, empty if the connection was closed."""
    with connect(day, source) as line:
        line.sendall(text)
        return line.makefile("rb").readline()


def descriptors() -> int:
    return sum(1 for _ in Path("/proc/self/fd").iterdir())


def test_hundreds_of_idle_connections_take_few_descriptors_and_shut_nobody_out(serve: Serve):
    day = serve(*kitchen.HOLDING)
    before = descriptors()
    with ExitStack() as crowd_:
        mine = [crowd_.enter_context(connect(day)) for _ in range(300)]
        assert send(day, b"GET /here HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").startswith(b"HTTP/1.1 204")
        assert descriptors() - before - len(mine) < crowd.MOST_FROM_ONE + crowd.BACKLOG + 8


@pytest.mark.parametrize(("allowed", "most"), [(1024, 64), (72, 24), (20, 1)])
def test_where_few_descriptors_are_allowed_the_record_has_its_own(
    monkeypatch: pytest.MonkeyPatch, allowed: int, most: int
):
    monkeypatch.setattr(crowd.resource, "getrlimit", lambda _: (allowed, allowed))
    assert crowd.most_connections() == most


def test_a_crowd_takes_no_more_than_what_is_left(serve: Serve, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(crowd, "most_connections", lambda: 8)
    day = serve(*kitchen.HOLDING)
    before = descriptors()
    with ExitStack() as crowd_:
        mine = [crowd_.enter_context(connect(day, f"127.0.1.{number}")) for number in range(100)]
        assert send(day, b"GET /here HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").startswith(b"HTTP/1.1 204")
        assert descriptors() - before - len(mine) < 8 + crowd.BACKLOG + 8


def test_what_goes_wrong_on_a_connection_is_not_shown_to_the_cook(caplog: pytest.LogCaptureFixture):
    caplog.set_level(logging.WARNING)
    with closing(server._paced_loop()) as loop:
        loop.call_exception_handler({"message": "out of descriptors", "exception": OSError("too many open files")})
    assert caplog.records == []


def test_a_crowd_does_not_end_the_stream_of_a_tablet_that_is_in(serve: Serve):
    day = serve(*kitchen.HOLDING)
    with connect(day, STRANGER) as tablet, ExitStack() as crowd_:
        tablet.sendall(b"GET /feed HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        stream = tablet.makefile("rb")
        assert stream.readline().startswith(b"HTTP/1.1 200")
        for _ in range(100):
            crowd_.enter_context(connect(day, STRANGER))
        for _ in range(20):
            assert stream.readline() != b""


def test_a_connection_on_which_nothing_is_asked_is_closed(serve: Serve, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(crowd, "IDLE_S", 0.2)
    day = serve(*kitchen.HOLDING)
    with connect(day) as idle, connect(day) as slow:
        slow.sendall(b"GET / HTTP/1.1\r\nHost: ")
        for line in (idle, slow):
            with suppress(ConnectionResetError):
                assert line.recv(1) == b""


HALF = b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\nContent-Length: 50\r\n\r\ncode="


def test_seventy_half_requests_shut_nobody_out(serve: Serve):
    day = serve(*kitchen.HOLDING)
    with ExitStack() as crowd_:
        for number in range(70):
            with suppress(OSError):
                crowd_.enter_context(connect(day, f"127.0.0.{10 + number % 3}")).sendall(HALF)
        assert send(day, b"GET /here HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").startswith(b"HTTP/1.1 204")


def test_a_tablet_that_reads_nothing_loses_its_connection(serve: Serve, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(crowd, "IDLE_S", 0.2)
    day = serve(*kitchen.HOLDING)
    with connect(day) as line:
        line.settimeout(30.0)
        with pytest.raises(OSError, match=r"reset|pipe"):
            while True:
                line.sendall(b"GET /board.js HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n" * 1000)


def test_streams_that_are_asked_for_at_once_are_counted_before_they_begin(serve: Serve):
    day = serve(*kitchen.HOLDING)
    with ExitStack() as lines:
        asked = [lines.enter_context(connect(day)) for _ in range(MOST_STREAMS + 8)]
        for line in asked:
            line.sendall(b"GET /feed HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        statuses = [line.makefile("rb").readline().split()[1] for line in asked]
        assert statuses.count(b"200") == MOST_STREAMS


def test_one_address_with_all_streams_gives_some_to_the_others_and_takes_none_of_theirs(serve: Serve):
    day, feed = serve(*kitchen.HOLDING), b"GET /feed HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    with ExitStack() as lines:

        def ask_for_stream(source: str) -> bytes:
            line = lines.enter_context(connect(day, source))
            line.sendall(feed)
            return line.makefile("rb").readline().split()[1]

        assert [ask_for_stream(STRANGER) for _ in range(MOST_STREAMS)] == [b"200"] * MOST_STREAMS
        assert [ask_for_stream(STRANGER), ask_for_stream(TABLET), ask_for_stream(STRANGER)] == [b"503", b"200", b"503"]
        others = [ask_for_stream(f"127.0.0.{number}") for number in range(3, 3 + MOST_STREAMS)]
        assert others == [b"200"] * (MOST_STREAMS - 2) + [b"503"] * 2  # one each


def test_after_work_the_board_rests(monkeypatch: pytest.MonkeyPatch):
    """A tenth of a second of work in one go: it goes on three times as long after, and the session has the core."""
    spent, rests = iter((0.0, 0.1, 0.1, 0.1 + pace.LEAST_S / 2)), []
    monkeypatch.setattr(pace, "time", SimpleNamespace(thread_time=lambda: next(spent), sleep=rests.append))
    with pace.PacedSelector() as selector:
        selector.select(0)
        assert rests == [pytest.approx(0.3)]
        selector.select(0)
        assert len(rests) == 1, "what is next to nothing is rested for later"


def test_of_a_crowd_few_are_seen_to_at_a_time_and_each_in_turn():
    """A loop that saw to all of them in one go would hold the interpreter for a tenth of a second."""
    pairs = [socket.socketpair() for _ in range(5)]
    with pace.PacedSelector() as selector:
        for ours, theirs in pairs:
            selector.register(ours, selectors.EVENT_READ)
            theirs.send(b"x")  # and nobody ever reads it
        turns = [[pair[0] for pair in pairs].index(key.fileobj) for _ in range(6) for key, _ in selector.select(0)]
        assert sorted(turns[:5]) == sorted(turns[5:10]) == [0, 1, 2, 3, 4]
        selector.select(0)
        for ours, _ in pairs:
            selector.unregister(ours)
        assert [each for _ in range(3) for each in selector.select(0)] == [], "none that is gone"
    for each in (each for pair in pairs for each in pair):
        each.close()


FORM = b"Content-Type: application/x-www-form-urlencoded\r\n"
MALFORMED = {
    "a body that nobody reads": b"GET / HTTP/1.1\r\nHost: nobody\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
    "a host that is none": b"GET / HTTP/1.1\r\nHost: [::1\r\n\r\n",
    "a host with a path": b"GET / HTTP/1.1\r\nHost: 127.0.0.1/here\r\n\r\n",
    "a host with a user": b"GET / HTTP/1.1\r\nHost: cook@127.0.0.1\r\n\r\n",
    "a port that is none": b"GET / HTTP/1.1\r\nHost: 127.0.0.1:http\r\n\r\n",
    "more behind a number": b"GET / HTTP/1.1\r\nHost: [::1]]:80\r\n\r\n",
    "nine fields": b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n" + FORM
    + b"Content-Length: 36\r\n\r\na=1&b=1&c=1&d=1&e=1&f=1&g=1&h=1&i=11",
    "no request": b"\x16\x03\x01\x02\x00\r\n\r\n",
    "a header without an end": b"GET / HTTP/1.1\r\nX: " + b"x" * 100_000,
}  # fmt: skip


@pytest.mark.parametrize("text", MALFORMED.values(), ids=MALFORMED)
def test_what_no_browser_sends_is_a_400_and_nothing_on_the_terminal(
    make_access: Serve, text: bytes, caplog: pytest.LogCaptureFixture
):
    caplog.set_level(logging.WARNING)
    day = make_access()
    assert send(day, text).startswith(b"HTTP/1.1 400")
    assert send(day, b"GET /here HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").startswith(b"HTTP/1.1 401")
    assert caplog.records == []


def test_a_form_that_breaks_off_is_forgotten(make_access: Serve, caplog: pytest.LogCaptureFixture):
    caplog.set_level(logging.WARNING)
    day = make_access()
    with connect(day) as line:
        line.sendall(
            b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n" + FORM
            + b"Content-Length: 50\r\n\r\ncode="
        )  # fmt: skip
    assert ask(day, "GET", "/here", Origin=origin(day))[0] == 401
    assert caplog.records == []


@pytest.fixture
def make_access(serve: Serve) -> Serve:
    """Serve a day with an access code."""
    from kitchenvoice.board.access import AccessControl
    from kitchenvoice.clock import SystemClock

    return lambda: serve(*kitchen.HOLDING, make_access=lambda: AccessControl(SystemClock().now, lambda _: None))


@pytest.mark.parametrize("end", [b"Content-Length: 40\r\n\r\ncode=12", b"Content-Len"])
def test_a_request_that_breaks_off_is_refused_while_its_sender_may_read(make_access: Serve, end: bytes):
    day = make_access()
    with connect(day) as line, line.makefile("rb") as answer:
        line.sendall(b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n" + FORM + end)
        line.shutdown(socket.SHUT_WR)
        assert answer.readline().startswith(b"HTTP/1.1 400")
