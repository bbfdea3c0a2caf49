"""Priority queue of announcements: pure, without threads, sound or a clock.

The rules: a higher urgency goes first and cuts a lower one short; equal ones go in the order in which they became due;
what was cut short is said again, except chat; what isn't true any more is never begun, but for the words of it that
last; a newer announcement with the same key takes the place of the older; nothing that was said is said again: when a
call comes again, and in what words, is for the engine to tell. Nothing urgent gets lost: it is said, or pending, or it
is named by `take_dropped` with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from kitchenvoice.ports import Announcement, Urgency

__all__ = ["STOPPED_S", "Announcer", "Dropped", "SpeakingTurn"]

STOPPED_S = 8.0
"""How long what is urgent keeps silent after it was stopped in the middle. A judgement, no source."""


@dataclass(frozen=True, slots=True)
class SpeakingTurn:
    """What to play now."""

    number: int
    announcement: Announcement


@dataclass(frozen=True, slots=True)
class Dropped:
    """An announcement that won't be said (again), and the reason.

    `expired`, `interrupted` (chat cut short), `repeated` (it is just being said), `replaced` (by a newer one with its
    key), `stopped`, `withdrawn`.
    """

    announcement: Announcement
    reason: str


@dataclass(eq=False, slots=True)
class _Waiting:
    announcement: Announcement
    due_t: float
    order: int
    stale_t: float
    gone: str | None = None

    @property
    def rank(self) -> tuple[int, float, int]:
        return (-self.announcement.urgency, self.due_t, self.order)

    @property
    def lasting(self) -> bool:
        """Urgent, or a call: nothing that silence may swallow."""
        return self.announcement.key is not None or self.announcement.urgency >= Urgency.CAUTION


class Announcer:
    """Chooses the next announcement. Every method with `t` (seconds, never running back) may change the queue."""

    def __init__(self) -> None:
        self._waiting: list[_Waiting] = []
        self._current: _Waiting | None = None
        self._turns = 0
        self._orders = 0
        self._dropped: list[Dropped] = []

    # ------------------------------------------------------------ requests

    def submit(self, announcement: Announcement, t: float) -> None:
        """Put an announcement in the queue; call `next` after it."""
        older = self._call_of(announcement.key)
        if older is not None and older is self._current and announcement.repeats:
            self._dropped.append(Dropped(announcement, "repeated"))
            return
        self._orders += 1
        stale_t = inf if announcement.true_s is None else t + announcement.true_s
        new = _Waiting(announcement, due_t=t, order=self._orders, stale_t=stale_t)
        if older is not None:
            self._end(older, "replaced")
        self._waiting.append(new)

    def withdraw(self, key: str) -> bool:
        """Take back a call that was answered or has lost its point; the sentence in the air is finished."""
        found = self._call_of(key)
        if found is not None:
            self._end(found, "withdrawn")
        return found is not None

    def stop(self, t: float) -> tuple[Announcement, ...]:
        """Fall silent: cut the current sentence and drop all but the urgent; return the unsaid.

        Calls and urgent announcements that were cut come back after `STOPPED_S`; those that were still waiting keep
        their place.
        """
        before = len(self._dropped)
        self._drop([entry for entry in self._waiting if not entry.lasting], "stopped")
        current, self._current = self._current, None
        if current is not None and current.lasting and current.gone is None:
            current.due_t = t + STOPPED_S
            self._waiting.append(current)
        elif current is not None:
            self._dropped.append(Dropped(current.announcement, current.gone or "stopped"))
        return tuple(dropped.announcement for dropped in self._dropped[before:])

    @property
    def pending(self) -> tuple[Announcement, ...]:
        """What still waits to be said, in the order in which it would be."""
        return tuple(entry.announcement for entry in sorted(self._waiting, key=lambda entry: entry.rank))

    def take_dropped(self) -> tuple[Dropped, ...]:
        """Return the announcements dropped since the last call, oldest first."""
        dropped, self._dropped = tuple(self._dropped), []
        return dropped

    # ------------------------------------------------------------ the player's side

    @property
    def current(self) -> Announcement | None:
        """The announcement in the air."""
        return self._current.announcement if self._current is not None else None

    def next(self, t: float) -> SpeakingTurn | None:
        """Return the announcement to begin now; if something is being said, it has to be cut short for it."""
        for entry in [entry for entry in self._waiting if entry.stale_t <= t]:
            self._waiting.remove(entry)
            self._expire(entry)
        due = [entry for entry in self._waiting if entry.due_t <= t]
        if not due:
            return None
        chosen = min(due, key=lambda entry: entry.rank)
        if self._current is not None:
            outranked = chosen.announcement.urgency > self._current.announcement.urgency
            if not (outranked or self._current.gone == "replaced"):
                return None
            self.interrupted()
        self._waiting.remove(chosen)
        self._current = chosen
        self._turns += 1
        return SpeakingTurn(self._turns, chosen.announcement)

    def still_true(self, t: float) -> bool:
        """True if the present announcement may still be begun; one that isn't true any more is taken away."""
        if self._current is None or self._current.stale_t > t:
            return True
        stale, self._current = self._current, None
        self._expire(stale)
        return False

    def finished(self) -> None:
        """Hear that the present announcement was said to its end."""
        self._current = None

    def interrupted(self) -> None:
        """Note that the current announcement was cut short, by a more urgent one or because the device was lost."""
        current, self._current = self._current, None
        if current is None:
            return
        if current.gone is not None:
            self._dropped.append(Dropped(current.announcement, current.gone))
        elif current.announcement.urgency == Urgency.CHAT and current.announcement.key is None:
            self._dropped.append(Dropped(current.announcement, "interrupted"))
        else:
            self._waiting.append(current)

    def due_in_s(self, t: float) -> float | None:
        """Return the seconds until something is due, 0 if it is already; `None` if nothing waits."""
        dues = [entry.due_t for entry in self._waiting]
        return max(0.0, min(dues) - t) if dues else None

    # ------------------------------------------------------------ inside

    def _expire(self, entry: _Waiting) -> None:
        """Keep only the lasting words of an outdated announcement; without any it is dropped."""
        lasting = entry.announcement.lasting
        if not lasting:
            self._dropped.append(Dropped(entry.announcement, "expired"))
            return
        entry.announcement = replace(entry.announcement, text=lasting, true_s=None)
        entry.stale_t = inf
        self._waiting.append(entry)

    def _call_of(self, key: str | None) -> _Waiting | None:
        """Return the call with this key that still wants to be said, or is being said."""
        entries = [*self._waiting, *([self._current] if self._current is not None else [])]
        found = (entry for entry in entries if entry.announcement.key == key and entry.gone is None)
        return None if key is None else next(found, None)

    def _end(self, entry: _Waiting, reason: str) -> None:
        """End a call for this reason; one in the air ends with its sentence, or when it is cut short."""
        if entry is self._current:
            entry.gone = reason
        else:
            self._drop([entry], reason)

    def _drop(self, entries: list[_Waiting], reason: str) -> None:
        for entry in entries:
            self._waiting.remove(entry)
            self._dropped.append(Dropped(entry.announcement, reason))
