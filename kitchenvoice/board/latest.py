"""The latest snapshot: written by the session, read by the boards, without locks."""

from __future__ import annotations

from collections.abc import Callable

from kitchenvoice.board.snapshot import Snapshot
from kitchenvoice.board.view import View, view_of

__all__ = ["STALE_S", "LatestSnapshot"]

STALE_S = 2.0
"""Age from which a snapshot is stale. The session's loop turns at least twice a second."""
_KEPT_S = 0.1


class LatestSnapshot:
    """The latest snapshot, with its time of arrival. Writing and reading take no lock and wait for nobody.

    `now` gives seconds by a clock that never steps and counts suspend.
    """

    def __init__(self, now: Callable[[], float]) -> None:
        self.now = now
        self._latest: tuple[Snapshot, float] | None = None
        self._kept: tuple[Snapshot, View, float] | None = None

    def put(self, seen: Snapshot) -> None:
        """Replace the snapshot. Returns at once."""
        self._latest = (seen, self.now())

    @property
    def latest(self) -> Snapshot | None:
        """The latest snapshot, as it was at its arrival."""
        return None if self._latest is None else self._latest[0]

    def look(self) -> View:
        """Return the present view: the snapshot with its clocks counted on, or without clocks if it is stale."""
        return self.look_at()[0]

    def look_at(self) -> tuple[View, float]:
        """Return the present view and the time it is true of; who looks within a tenth of a second gets the same."""
        latest, now = self._latest, self.now()
        if latest is None:
            return view_of(None, age_s=0.0, live=False), now
        seen, put_at = latest
        live, kept = now - put_at <= STALE_S, self._kept
        if kept is None or kept[0] is not seen or kept[1].live != live or not 0.0 <= now - kept[2] < _KEPT_S:
            kept = self._kept = (seen, view_of(seen, age_s=max(0.0, now - put_at), live=live), now)
        return kept[1:]
