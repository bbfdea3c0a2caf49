"""The board's web server, in its own thread; it reads the latest snapshot, and nobody waits for it."""

from __future__ import annotations

import asyncio
import errno
import logging
import socket
import sys
import threading
from collections.abc import Callable

import uvicorn

from kitchenvoice.board.access import AccessControl
from kitchenvoice.board.address import BoardAddress
from kitchenvoice.board.app import BoardApp
from kitchenvoice.board.crowd import BACKLOG, BoundedProtocol
from kitchenvoice.board.latest import LatestSnapshot
from kitchenvoice.board.pace import PacedSelector
from kitchenvoice.errors import BoardMissing

__all__ = ["BoardServer"]

_WAYS = "Name another with --board ADDRESS:PORT."
_CLOSE_S = 2.0
_GONE_S = 15.0
"""A tablet that acknowledges nothing for so long is gone, and its stream free for another; Linux takes 15 minutes."""
_SWITCH_S = 0.001
"""Longest wait of the session's thread for the interpreter while the board's works; Python's own is 5 ms, each time."""
_QUEUE = 64
"""Connections that wait to be accepted, without a descriptor yet: a browser opens six at once."""

_log = logging.getLogger(__name__)


class BoardServer:
    """Serve the latest snapshot. `answer` gets the key of an answered call, in the server's thread.

    `make_access` makes the access control once the port is taken: no code is shown for a board that can't start.
    Raises: BoardMissing if the address or the port isn't available.
    """

    def __init__(
        self,
        address: BoardAddress,
        latest: LatestSnapshot,
        answer: Callable[[str], None],
        make_access: Callable[[], AccessControl] | None = None,
    ) -> None:
        self._socket = _listening(address)
        access = None if make_access is None else make_access()
        self.address = BoardAddress(address.host, self._socket.getsockname()[1])
        self._app = BoardApp(latest, answer, access, address.host)
        config = uvicorn.Config(
            self._app.asgi, loop="asyncio", http=BoundedProtocol, ws="none", lifespan="off", access_log=False,
            log_config=None, log_level="error", server_header=False, backlog=BACKLOG, timeout_graceful_shutdown=1,
            proxy_headers=False,  # an address is what the network says, never what a request says of itself
        )  # fmt: skip
        self._server = _Server(config)
        self._thread = threading.Thread(target=self._run, name="board", daemon=True)

    @property
    def url(self) -> str:
        """The URL for the tablet's browser; with every address served, one that other machines can reach."""
        return BoardAddress(_reached() if self.address.is_any else self.address.host, self.address.port).url

    def start(self) -> None:
        """Start serving. Returns at once."""
        sys.setswitchinterval(_SWITCH_S)
        self._thread.start()

    def close(self) -> None:
        """Send the pages the end of the session, and stop; waits two seconds at most."""
        self._app.ending = True
        self._server.should_exit = True
        if self._thread.is_alive():
            self._thread.join(_CLOSE_S)
        self._socket.close()

    def _run(self) -> None:
        try:
            with asyncio.Runner(loop_factory=_paced_loop) as runner:
                runner.run(self._server.serve(sockets=[self._socket]))
        except Exception:  # whatever it was, the session goes on without the board
            _log.exception("the board has stopped")


class _Server(uvicorn.Server):
    """A server whose listeners let more wait than are accepted in one go."""

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to listen."""
        await super().startup(sockets)
        for each in sockets or ():
            each.listen(_QUEUE)


def _paced_loop() -> asyncio.AbstractEventLoop:
    """Make the board's loop. Errors of a connection are logged with --verbose only: the cook can't help them."""
    loop = asyncio.SelectorEventLoop(PacedSelector())
    loop.set_exception_handler(lambda _, told: _log.info("%s", told["message"], exc_info=told.get("exception")))
    return loop


def _listening(address: BoardAddress) -> socket.socket:
    """Bind the port now, so that an error comes at once."""
    try:
        family, _, _, _, bound = socket.getaddrinfo(address.host, address.port, type=socket.SOCK_STREAM)[0]
        server = socket.create_server(bound[:2], family=family)
    except (OSError, UnicodeError) as exc:
        raise BoardMissing(f"There is no board: {_why(exc, address)} {_WAYS}") from exc
    if sys.platform == "linux":  # each connection inherits it
        server.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, round(1000 * _GONE_S))
    return server


def _reached() -> str:
    """Return this machine's address in its network, else its name. Nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737): only its route is looked up
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _why(exc: Exception, address: BoardAddress) -> str:
    number = exc.errno if isinstance(exc, OSError) else None
    if number == errno.EADDRINUSE:
        return f"port {address.port} is taken by another program."
    if number == errno.EACCES:
        return f"port {address.port} isn't allowed here."
    return f"{address.host} isn't an address of this machine."
