"""Limits on the board's connections: in all and from one address, with a time-out for idle ones.

An idle connection gives way to a newer one; one with a stream or a request in progress never does. So connecting alone
takes away neither an admitted tablet nor the file descriptors that the record needs.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable

from uvicorn.protocols.http.h11_impl import H11Protocol

from kitchenvoice.board.access import network_of

__all__ = ["BACKLOG", "BoundedProtocol"]

MOST_CONNECTIONS = 64
MOST_FROM_ONE = 24
BACKLOG = 16
"""Connections accepted in one go, each with a descriptor before it can be counted."""
IDLE_S = 5.0
"""Time-out for the headers of a request, and between two requests."""


class BoundedProtocol(H11Protocol):
    """One connection of the board: counted, and closed after 5 s without a request."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the newcomer; at the limit, close the connection idle longest, or the newcomer."""
        super().connection_made(transport)
        self._idle_since = self.loop.time()
        self.network = network_of(self.client[0]) if self.client else ""
        same = [each for each in self.connections if getattr(each, "network", "") == self.network]
        if len(same) > MOST_FROM_ONE:
            self._close_one_of(same)
        elif len(self.connections) > MOST_CONNECTIONS:
            self._close_one_of(self.connections)
        self.loop.call_later(IDLE_S, self._look)

    def on_response_complete(self) -> None:
        """Start the time-out for the next request."""
        self._idle_since = self.loop.time()
        super().on_response_complete()

    def send_400_response(self, msg: str) -> None:
        """Refuse what is no request, in the place of an answer that isn't under way yet; else close."""
        if not self.is_idle:
            self.cycle.disconnected = True  # of an answer that comes later, nothing is sent
            self.cycle.message_event.set()
            if self.cycle.response_started:
                self._abort()
                return
        super().send_400_response(msg)

    @property
    def is_idle(self) -> bool:
        """True while no request is in progress."""
        return self.cycle is None or self.cycle.response_complete

    def _close_one_of(self, connections: Iterable[object]) -> None:
        idle = [each for each in connections if isinstance(each, BoundedProtocol) and each.is_idle]
        min(idle, key=lambda each: each._idle_since, default=self)._abort()

    def _abort(self) -> None:
        self.connections.discard(self)
        self.transport.abort()

    def _look(self) -> None:
        if self.transport.is_closing():
            return
        if self.is_idle and self.loop.time() - self._idle_since >= IDLE_S:
            self._abort()
        else:
            self.loop.call_later(1.0, self._look)
