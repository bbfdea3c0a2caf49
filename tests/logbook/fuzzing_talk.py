"""What is typed and what is sent to the board, as two more kinds of bytes for the fuzzer."""

from __future__ import annotations

import io
import logging
import socket
from functools import cache
from itertools import islice
from pathlib import Path
from urllib.parse import urlsplit

from kitchenvoice.app.keyboard import _lines
from kitchenvoice.errors import BadInput
from kitchenvoice.ports import Utterance
from tests.board.kitchen import HOLDING, TWO_LOADS, Day, ServedDay, book

__all__ = ["REQUESTS", "SENTENCES", "pieces_of_requests", "pieces_of_sentences", "read_lines", "send_request"]

SENTENCES = tuple(
    "\n".join(line for line in lines if not line.startswith("@")).encode() for lines in (HOLDING, TWO_LOADS)
)
REQUESTS = (
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
    b"GET /feed HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept: text/event-stream\r\n\r\n",
    b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 13\r\n\r\ncode=12345678",
    b"GET /board.css HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: board=abc; other=\r\n\r\n",
    b"POST /answered HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://127.0.0.1\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 9\r\n\r\nkey=a%3Ab",
)
_PATIENCE_S = 2.0
_MOST_LOADS = 12
"""Open loads at which a new day begins: what is thought over with each line grows with them."""
_MOST_LINES = 20
"""In the time that one file may take; a line that is no sentence costs some 70 ms of it."""


def pieces_of_sentences() -> tuple[bytes, ...]:
    """Return every word that can be said, and what a keyboard can send besides."""
    _day()  # read once, not in the time of the first file
    words = sorted(book().grammar({"pack"}, attention="optional").words)
    more = (b"\n", b" ", b"\x00", b"\x1b[2J", b"\xff", b"9" * 20, b"1/2 ", b"-", "ß½".encode(), b"twenty one " * 9)
    return (*(f"{word} ".encode() for word in words), *more)


def pieces_of_requests() -> tuple[bytes, ...]:
    """Return what requests are made of."""
    return (
        *(
            b"GET ",
            b"POST ",
            b"HEAD ",
            b"OPTIONS ",
            b"/",
            b"/feed",
            b"/answered",
            b"/enter",
            b"/board.css/../",
            b"%2e%2e%2f",
            b" HTTP/1.1",
        ),
        *(
            b"\r\n",
            b"\n",
            b"\r\n\r\n",
            b"Host: ",
            b"Host: 127.0.0.1\r\n",
            b"Host: [::1",
            b"Cookie: ",
            b"Origin: null\r\n",
        ),
        *(
            b"Content-Length: 5\r\n",
            b"Content-Length: -1\r\n",
            b"Transfer-Encoding: chunked\r\n",
            b"Expect: 100-continue\r\n",
        ),
        *(
            b"Content-Type: multipart/form-data; boundary=x\r\n",
            b"key=",
            b"&",
            b"a=b&" * 20,
            b"x" * 3_000,
            b"\x00",
            b"\xff",
        ),
    )


@cache
def _day() -> Day:
    return Day(*HOLDING)


def read_lines(folder: Path) -> None:
    """Type the file, a line after the other, in the middle of a day."""
    taken = 0
    if len(_day().kitchen.conversation.talk.kitchen.open_loads) > _MOST_LOADS:
        _day.cache_clear()
    keyboard = io.BytesIO((folder / "typed.txt").read_bytes())
    for line in islice(_lines(keyboard), _MOST_LINES):  # type: ignore[arg-type]
        if line:
            kitchen = _day().kitchen
            kitchen.wait(1.0)
            turn = kitchen.conversation.hear(Utterance((line,)), kitchen.session.t, typed=True)
            assert turn.announcements or turn.controls or turn.notes, line
            taken += bool(turn.events)
    if not taken:
        raise BadInput("Nothing of it could be recorded.")


class _Complaints(logging.Handler):
    """Whatever the server writes down as an error: it would have stood on the terminal."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.told: list[str] = []
        logging.getLogger().addHandler(self)

    def emit(self, record: logging.LogRecord) -> None:
        self.told.append(self.format(record))


@cache
def _served() -> tuple[ServedDay, _Complaints]:
    return ServedDay(*HOLDING), _Complaints()


def send_request(folder: Path) -> None:
    """Send the file to a board; every answer is one, and none says that the server failed."""
    day, complaints = _served()
    with socket.create_connection(("127.0.0.1", urlsplit(day.url).port or 0), _PATIENCE_S) as line:
        try:
            line.sendall((folder / "request.http").read_bytes())
            line.shutdown(socket.SHUT_WR)
            answer = line.makefile("rb").readline(1_000)
        except TimeoutError:
            raise AssertionError("the board neither answered nor closed") from None
        except OSError:
            answer = b""  # closed while it was still being sent
    told, complaints.told = complaints.told, []
    assert not told, told
    assert not answer or answer.startswith(b"HTTP/1."), answer
    status = int(answer.split()[1]) if answer else 400
    assert status < 500, answer
    if status >= 400:
        raise BadInput(f"The board answered {status}.")
