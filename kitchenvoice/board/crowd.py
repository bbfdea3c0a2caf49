"""Limits on the board's connections: in all and from one address, with a time-out for idle ones.

The oldest connection gives way to a newer one, with half a request too; one that is being answered never does, as long
as the answer is read. So a crowd takes away neither an admitted tablet nor the file descriptors that the record needs.
"""

from __future__ import annotations

import asyncio
import resource
from collections.abc import Iterable

from uvicorn.protocols.http.h11_impl import H11Protocol

from kitchenvoice.board.access import network_of

__all__ = ["BACKLOG", "BoundedProtocol"]

MOST_CONNECTIONS = 64
RESERVE = 48
"""Descriptors that are left to the record, the profile and the sound, however few the system allows."""
MOST_FROM_ONE = 24
BACKLOG = 4
"""Connections accepted in one go, each with a descriptor before it can be counted."""
_BREAKS_OFF = "The request breaks off."
IDLE_S = 5.0
"""Time-out for the headers of a request, between two requests, and for an answer that nobody reads."""


def most_connections() -> int:
    """Return how many connections there may be: fewer than usual where the system allows few descriptors."""
    return max(1, min(MOST_CONNECTIONS, resource.getrlimit(resource.RLIMIT_NOFILE)[0] - RESERVE))


class BoundedProtocol(H11Protocol):
    """One connection of the board: counted, and closed after 5 s without a request or with an answer unread."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the newcomer; at the limit, close the oldest connection that isn't being answered, or the newcomer."""
        super().connection_made(transport)
        self._idle_since = self._read_at = self.loop.time()
        self.network = network_of(self.client[0]) if self.client else ""
        same = [each for each in self.connections if getattr(each, "network", "") == self.network]
        if len(same) > MOST_FROM_ONE:
            self._close_one_of(same)
        elif len(self.connections) > most_connections():
            self._close_one_of(self.connections)
        self._timer = self.loop.call_later(IDLE_S, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection at once: a timer would keep its buffers for seconds more, in a flood thousands."""
        self._timer.cancel()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Start the time-out for the next request."""
        self._idle_since = self.loop.time()
        super().on_response_complete()

    def send_400_response(self, msg: str) -> None:
        """Answer 400 to a malformed request, unless a response is under way; else close."""
        if not self.is_idle:
            self.cycle.disconnected = True  # of an answer that comes later, nothing is sent
            self.cycle.message_event.set()
            if self.cycle.response_started:
                self._abort()
                return
        super().send_400_response(msg)

    def eof_received(self) -> None:
        """Refuse a request that breaks off: who stopped sending may still read."""
        if (self.is_idle and self.conn.trailing_data[0]) or (not self.is_idle and self.cycle.more_body):
            self.send_400_response(_BREAKS_OFF)

    @property
    def is_idle(self) -> bool:
        """True while no request is in progress."""
        return self.cycle is None or self.cycle.response_complete

    def _close_one_of(self, connections: Iterable[object]) -> None:
        ours = [each for each in connections if isinstance(each, BoundedProtocol)]
        min((each for each in ours if each._may_go), key=lambda each: each._idle_since, default=self)._abort()

    @property
    def _may_go(self) -> bool:
        """True unless an answer is under way, and read."""
        return self.is_idle or not self.cycle.response_started or self._is_unread

    @property
    def _is_unread(self) -> bool:
        return self.transport.get_write_buffer_size() > 0

    def _abort(self) -> None:
        self.connections.discard(self)
        self.transport.abort()

    def _look(self) -> None:
        now = self.loop.time()
        if not self._is_unread:
            self._read_at = now
        since = self._idle_since if self.is_idle else self._read_at
        if self.transport.is_closing() or now - since >= IDLE_S:
            self._abort()
        else:
            self._timer = self.loop.call_later(IDLE_S / 5, self._look)
