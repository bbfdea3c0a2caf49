"""The board's pace: few connections at a time, and a rest after each handful, so that the session isn't held up."""

from __future__ import annotations

import selectors
import time
from collections import deque

__all__ = ["PacedSelector"]

REST = 3.0
"""Rest for each second of work: whatever is asked of it, the board takes a quarter of a core."""
FEW = 2
"""Connections that are seen to in one go, some two milliseconds each: so long the session shares the interpreter."""
LEAST_S = 0.004
"""Less work than this is rested for later, with more: each rest may last longer where others have the core."""


class PacedSelector(selectors.DefaultSelector):
    """A selector for an event loop. It hands out ready connections a few at a time, in turn, then rests its thread.

    The rest is in proportion to the work; waiting data stay in the network.
    """

    def __init__(self) -> None:
        super().__init__()
        self._ready: deque[tuple[selectors.SelectorKey, int]] = deque()
        self._woke_s = time.thread_time()

    def select(self, timeout: float | None = None) -> list[tuple[selectors.SelectorKey, int]]:
        """Rest, then return the next few that are ready; wait only if none is left of those before."""
        worked_s = time.thread_time() - self._woke_s
        if worked_s >= LEAST_S:
            time.sleep(REST * worked_s)
            self._woke_s = time.thread_time()
        if not self._ready:
            self._ready.extend(super().select(timeout))
        few = [self._ready.popleft() for _ in range(min(FEW, len(self._ready)))]
        return [each for each in few if self.get_map().get(each[0].fd) is each[0]]  # but for those closed meanwhile
