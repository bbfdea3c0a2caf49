"""The web server against strangers on the network: refusals, and no waiting."""

from __future__ import annotations

import http.client
import json
from collections.abc import Callable
from urllib.parse import urlencode, urlsplit

import pytest

from kitchenvoice.board.access import AccessControl
from kitchenvoice.board.app import MOST_STREAMS
from kitchenvoice.clock import SimulatedClock, SystemClock

from . import kitchen
from .kitchen import ServedDay

Serve = Callable[..., ServedDay]


def ask(
    day: ServedDay,
    method: str,
    path: str,
    fields: dict[str, str] | None = None,
    *,
    source: str = "127.0.0.1",
    **headers: str,
) -> tuple[int, str]:
    """Send one request; return status and text."""
    port = urlsplit(day.url).port
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10, source_address=(source, 0))
    body = None if fields is None else urlencode(fields)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    try:
        connection.request(method, path, body, named)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def origin(day: ServedDay) -> str:
    """The origin of the board's own page."""
    return day.url.removesuffix("/")


def test_a_name_that_could_be_pointed_at_us_from_outside_is_refused(serve: Serve):
    day = serve(*kitchen.HOLDING)
    status, text = ask(day, "GET", "/", Host="board.example:80")
    assert status == 403
    assert "Green beans" not in text
    for host in ("127.0.0.1", "localhost:1234", "[::1]:80", "192.168.1.20:8420"):
        assert ask(day, "GET", "/", Host=host)[0] == 200


@pytest.mark.parametrize("sender", [None, "null", "http://board.example", "https://127.0.0.1"])
def test_another_page_cannot_press_the_button(serve: Serve, sender: str | None):
    day = serve(*kitchen.TWO_CALLS)
    headers = {} if sender is None else {"Origin": sender}
    assert ask(day, "POST", "/answered", {"key": "hold_done:1"}, **headers)[0] == 403
    assert day.answered == []


def test_only_a_call_that_waits_can_be_answered(serve: Serve):
    day = serve(*kitchen.TWO_CALLS)
    for key, status in (("hold_done:9", 303), ("", 303), ("x" * 5000, 400)):
        assert ask(day, "POST", "/answered", {"key": key}, Origin=origin(day))[0] == status
    assert day.answered == []
    assert ask(day, "POST", "/answered", {"key": "hold_done:1"}, Origin=origin(day))[0] == 303
    assert day.answered == ["hold_done:1"]


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/answered", 405),
        ("POST", "/", 405),
        ("PUT", "/", 405),
        ("GET", "/nowhere", 404),
        ("GET", "/../profile.toml", 404),
        ("GET", "/board.css", 200),
        ("HEAD", "/", 200),
    ],
)
def test_there_is_one_page_one_stream_and_one_button_and_nothing_else(
    serve: Serve, method: str, path: str, status: int
):
    day = serve(*kitchen.HOLDING)
    assert ask(day, method, path, Origin=origin(day))[0] == status


def test_without_the_code_nothing_is_told_and_nothing_taken(serve: Serve):
    day = serve(*kitchen.TWO_CALLS, make_access=lambda: AccessControl(SystemClock().now, lambda _: None))
    for path in ("/", "/feed", "/here"):
        status, text = ask(day, "GET", path, Cookie="board=guessed")
        assert (status, "beans" in text.lower()) == (401, False)
    assert ask(day, "POST", "/answered", {"key": "hold_done:1"}, Origin=origin(day))[0] == 401
    assert day.answered == []


def test_after_five_wrong_codes_even_the_right_one_has_to_wait_and_not_long_at_the_own_machine(serve: Serve):
    codes: list[str] = []
    clock = SimulatedClock(utc=1_786_521_600.0)
    day = serve(*kitchen.HOLDING, make_access=lambda: AccessControl(clock.now, codes.append))

    def enter(code: str, source: str, number: int = 0) -> tuple[int, str]:
        headers = {"Origin": origin(day), "X_Forwarded_For": f"10.0.0.{number}"}  # it counts for nothing
        return ask(day, "POST", "/enter", {"code": code}, source=source, **headers)

    for source, wait in (("127.0.0.2", 60.0), ("127.0.0.1", 5.0)):
        for number in range(5):
            status, text = enter("no", source, number)
            assert status == 403
        assert f"Too many wrong codes. Wait {wait:.0f} s," in text
        assert enter(codes[-1], source)[0] == 403
        clock.advance(wait - 0.1)
        assert enter(codes[-1], source)[0] == 403
        clock.advance(0.1)
        assert enter(codes[-1], source)[0] == 303


def test_the_stream_begins_with_everything_and_many_boards_are_enough(serve: Serve):
    day = serve(*kitchen.HOLDING)
    port = urlsplit(day.url).port
    connections = []
    for _ in range(MOST_STREAMS):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", "/feed")
        answer = connection.getresponse()
        assert answer.headers["Content-Type"].startswith("text/event-stream")
        first = json.loads(answer.readline().removeprefix(b"data: "))
        assert "Green beans" in first["parts"]["loads"]
        connections.append((connection, answer))
    assert ask(day, "GET", "/feed")[0] == 503
    for connection, answer in connections:
        answer.close()
        connection.close()
