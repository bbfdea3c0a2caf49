"""The web application of the board: one page, one stream, one button. Everything else is refused.

All assets are its own, and no others may load (content security policy). Requests are accepted only under host names
that can't be rebound to this machine from outside (the given address, numbers, this machine's name), and the button
only from its own page. Anything that no browser would send is a 400 in one sentence.
"""

from __future__ import annotations

import asyncio
import contextlib
import ipaddress
import re
import socket
from collections import Counter
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from functools import partial
from importlib.resources import files
from typing import Generic, TypeVar
from urllib.parse import parse_qs

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kitchenvoice.board.access import COOKIE_S, AccessControl, network_of
from kitchenvoice.board.feed import Feed
from kitchenvoice.board.latest import LatestSnapshot
from kitchenvoice.board.page import code_page, page, regions
from kitchenvoice.board.texts import load_labels
from kitchenvoice.board.view import View

__all__ = ["BoardApp"]

_T = TypeVar("_T")

LOOK_S = 0.2
BEAT_S = 0.5
MOST_STREAMS = 12
BODY_S = 5.0
"""Time-out for the body of a form, which is some fifty bytes."""
_MOST_BYTES, _MOST_FIELDS = 2048, 8
_BROKEN = "This isn't a request that the board understands."
_HOST = re.compile(r"(?P<name>\[[0-9A-Fa-f:.]+\]|[\w.-]*)(:\d{1,5})?", re.ASCII)
"""A header `Host`: a name or a number, and a port."""
_COOKIE = "board"
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = (
    (b"content-security-policy", _POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)
_FILES = {
    "board.css": "text/css",
    "dark.css": "text/css",
    "board.js": "text/javascript",
    "icon.svg": "image/svg+xml",
}


class BoardApp:
    """The application. `answer` is called with the key of an answered call; `ending` ends the streams."""

    def __init__(
        self, latest: LatestSnapshot, answer: Callable[[str], None], access: AccessControl | None = None, host: str = ""
    ) -> None:
        self._latest = latest
        self._answer = answer
        self._access = access
        self._hosts = {host.lower(), "localhost", *_own_names()}
        self._streams: list[_Place] = []
        self._page_of = _Kept(page)
        self._parts_of = _Kept(partial(regions, times=False))
        self.ending = False
        routes = [
            Route("/", self._page),
            Route("/feed", self._feed),
            Route("/here", self._here),
            Route("/answered", self._answered, methods=["POST"]),
            Route("/enter", self._enter, methods=["POST"]),
            *(Route(f"/{name}", _file(name, kind)) for name, kind in _FILES.items()),
        ]
        self.asgi: ASGIApp = _Guard(Starlette(routes=routes), self._hosts)

    def _may_see(self, request: Request) -> bool:
        return self._access is None or self._access.knows(request.cookies.get(_COOKIE, ""))

    async def _page(self, request: Request) -> Response:
        if not self._may_see(request):
            address = request.client.host if request.client is not None else ""
            return HTMLResponse(code_page(shut_s=self._access.shut_s(address) if self._access else 0.0), 401)
        return HTMLResponse(self._page_of(self._latest.look()))

    async def _here(self, request: Request) -> Response:
        return Response(status_code=204 if self._may_see(request) else 401)

    async def _enter(self, request: Request) -> Response:
        if self._access is None:
            return RedirectResponse("/", 303)
        address = request.client.host if request.client is not None else ""
        called, _ = request.scope.get("server") or ("", 0)
        here = address == called  # a machine speaks to itself from the very address that it calls
        cookie = self._access.enter((await _form(request)).get("code", ""), address, here=here)
        if cookie is None:
            return HTMLResponse(code_page(wrong=True, shut_s=self._access.shut_s(address)), 403)
        response = RedirectResponse("/", 303)
        response.set_cookie(_COOKIE, cookie, max_age=COOKIE_S, httponly=True, samesite="strict")
        return response

    async def _answered(self, request: Request) -> Response:
        if not self._may_see(request):
            return PlainTextResponse(load_labels()("access", "code_first"), 401)
        key = (await _form(request)).get("key", "")
        if key not in {call.key for call in self._latest.look().calls}:
            return RedirectResponse("/", 303)  # answered already, by voice or on another board
        self._answer(key)
        return RedirectResponse("/", 303)

    async def _feed(self, request: Request) -> Response:
        if not self._may_see(request):
            return PlainTextResponse(load_labels()("access", "code_first"), 401)
        mine = _Place(network_of(request.client.host) if request.client is not None else "")
        if self.ending or not self._has_room(mine):
            return PlainTextResponse(load_labels()("access", "too_many"), 503)
        self._streams.append(mine)
        return _Stream(self._messages(mine), lambda: self._streams.remove(mine))

    def _has_room(self, newcomer: _Place) -> bool:
        """True if there is a place, or can be: who holds the most gives the oldest to whoever holds fewer."""
        held = [each for each in self._streams if not each.over]
        if len(held) < MOST_STREAMS:
            return True
        count = Counter(each.network for each in held)
        oldest = next(each for each in held if count[each.network] == max(count.values()))
        oldest.over = count[oldest.network] > count[newcomer.network] + 1
        return oldest.over

    async def _messages(self, place: _Place) -> AsyncIterator[bytes]:
        """Send changes within a fifth of a second, and the clocks twice a second."""
        feed, sent_at = Feed(self._parts_of), float("-inf")
        while not self.ending and not place.over:
            view, now = self._latest.look_at()
            if now - sent_at >= BEAT_S or feed.is_news(view):
                yield feed.message(view, now)
                sent_at = now
            await asyncio.sleep(LOOK_S)
        if self.ending:
            yield Feed.ended()


class _Kept(Generic[_T]):
    """Cache of the latest rendering, for further viewers of the same view."""

    def __init__(self, make: Callable[[View], _T]) -> None:
        self._make = make
        self._kept: tuple[View, _T] | None = None

    def __call__(self, view: View) -> _T:
        """Return the rendering of a view."""
        if self._kept is None or self._kept[0] is not view:
            self._kept = (view, self._make(view))
        return self._kept[1]


@dataclass(eq=False, slots=True)
class _Place:
    """The place of a stream; once it is `over`, another one has it."""

    network: str
    over: bool = False


class _Stream(StreamingResponse):
    """A stream of messages that reports its end, whether or not it ever began."""

    def __init__(self, messages: AsyncIterator[bytes], ended: Callable[[], None]) -> None:
        super().__init__(messages, media_type="text/event-stream")
        self._ended = ended

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the messages until the page or the session ends."""
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._ended()


class _Guard:
    """Middleware: refuse foreign host names and forms of other pages, and set the same headers on every answer."""

    def __init__(self, app: ASGIApp, hosts: set[str]) -> None:
        self._app = app
        self._hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *_HEADERS]}
            await send(message)

        refusal = self._refusal(Request(scope)) if scope["type"] == "http" else None
        with contextlib.suppress(ClientDisconnect):  # nobody is left to read an answer
            await (refusal or self._app)(scope, receive, guarded)

    def _refusal(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        parts = _HOST.fullmatch(host)
        if parts is None:
            return PlainTextResponse(_BROKEN, 400)
        name = parts["name"].strip("[]").lower()
        if name not in self._hosts and not _is_number(name):
            return PlainTextResponse(load_labels()("access", "other_name"), 403)
        origin = request.headers.get("origin", "")
        if request.method == "POST" and origin != f"http://{host}":
            return PlainTextResponse(load_labels()("access", "other_page"), 403)
        return None


def _own_names() -> set[str]:
    name = socket.gethostname().lower()
    return {name, f"{name}.local", name.split(".")[0]}


def _is_number(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _file(name: str, kind: str) -> Callable[[Request], Response]:
    content = files("kitchenvoice.board").joinpath("static", name).read_bytes()
    return lambda _: Response(content, media_type=kind)


async def _form(request: Request) -> dict[str, str]:
    """Read a small form. Raises: HTTPException for one that is too long, too slow or malformed."""
    body = b""
    try:
        async with asyncio.timeout(BODY_S):
            async for chunk in request.stream():
                body += chunk
                if len(body) > _MOST_BYTES:
                    raise HTTPException(400, _BROKEN)
        fields = parse_qs(body.decode("utf-8", "replace"), max_num_fields=_MOST_FIELDS)
    except (TimeoutError, ValueError) as exc:
        raise HTTPException(400, _BROKEN) from exc
    return {name: values[0] for name, values in fields.items()}
