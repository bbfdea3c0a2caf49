"""Priority queue of announcements: pure, without threads, sound or a clock.

The rules: a higher urgency goes first and interrupts a lower one; equal ones go in the order in which they became due;
an interrupted announcement is said again, except chat; an expired one is never begun; a call with a key repeats,
louder, 8, 15, 30, 60 and then every 60 seconds after it was last said, until it is answered or withdrawn; a newer
announcement with the same key replaces the older. Nothing urgent gets lost: it is said, pending, answered, or returned
by `take_dropped` with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass

from kitchenvoice.ports import Announcement, Urgency

__all__ = ["REPEAT_AFTER_S", "Announcer", "Dropped", "SpeakingTurn"]

REPEAT_AFTER_S = (8.0, 15.0, 30.0, 60.0)
"""Pause after each repeat of an unanswered call; the last one goes on for ever. A judgement, no source."""


@dataclass(frozen=True, slots=True)
class SpeakingTurn:
    """What to play now. `repeats` is how often this call was said before: each repeat is louder."""

    number: int
    announcement: Announcement
    repeats: int = 0


@dataclass(frozen=True, slots=True)
class Dropped:
    """An announcement that won't be said (again), and the reason.

    `expired`, `interrupted` (chat cut short), `replaced` (by a newer one with its key), `stopped`, `withdrawn`.
    """

    announcement: Announcement
    reason: str


@dataclass(eq=False, slots=True)
class _Waiting:
    announcement: Announcement
    due_t: float
    order: int
    said: int = 0
    heard: bool = False
    answered: bool = False
    gone: str | None = None

    @property
    def rank(self) -> tuple[int, float, int]:
        return (-self.announcement.urgency, self.due_t, self.order)

    @property
    def lasting(self) -> bool:
        """Urgent, or a call that wants an answer: survives `stop`."""
        return self.announcement.key is not None or self.announcement.urgency >= Urgency.CAUTION

    def stale(self, t: float) -> bool:
        expires_t = self.announcement.expires_t
        return expires_t is not None and expires_t <= t


class Announcer:
    """Decides what is said next. Every method with `t` (seconds, never running back) may change the queue."""

    def __init__(self) -> None:
        self._waiting: list[_Waiting] = []
        self._current: _Waiting | None = None
        self._turns = 0
        self._orders = 0
        self._dropped: list[Dropped] = []

    # ------------------------------------------------------------ requests

    def submit(self, announcement: Announcement, t: float) -> None:
        """Queue an announcement; call `next` after it.

        The same words under the same key change only urgency and expiry: the call keeps its times.
        """
        older = self._call_of(announcement.key)
        if older is not None and older.announcement.text == announcement.text:
            older.announcement = announcement
            return
        self._orders += 1
        new = _Waiting(announcement, due_t=t, order=self._orders)
        if older is not None:
            new.said = older.said + (older is self._current)
            self._end(older, "replaced")
        self._waiting.append(new)

    def answer(self, *, key: str | None = None, load: int | None = None) -> tuple[Announcement, ...]:
        """Answer the calls that were said, or only those with this key or load; return them.

        A call in the air is finished, so that its words are heard, and doesn't repeat. A call that hasn't been said yet
        can't be answered.
        """
        answered = [
            entry
            for entry in self._calls()
            if (entry.heard or entry is self._current)
            and not entry.answered
            and key in (None, entry.announcement.key)
            and load in (None, entry.announcement.load)
        ]
        for entry in answered:
            entry.answered = True
        self._waiting = [entry for entry in self._waiting if not entry.answered]
        return tuple(entry.announcement for entry in answered)

    def withdraw(self, key: str) -> bool:
        """Withdraw a call that has lost its point, said or not; the sentence in the air is finished."""
        found = self._call_of(key)
        if found is not None:
            self._end(found, "withdrawn")
        return found is not None

    def stop(self, t: float) -> tuple[Announcement, ...]:
        """Fall silent: cut the current sentence and drop what isn't urgent; return what won't be said.

        Interrupted calls and urgent announcements come back after the first pause; those still waiting keep their
        place.
        """
        before = len(self._dropped)
        self._drop([entry for entry in self._waiting if not entry.lasting], "stopped")
        current, self._current = self._current, None
        if current is not None and not current.answered:
            if current.lasting and current.gone is None:
                self._come_back(current, t)
            else:
                self._dropped.append(Dropped(current.announcement, current.gone or "stopped"))
        return tuple(dropped.announcement for dropped in self._dropped[before:])

    @property
    def pending(self) -> tuple[Announcement, ...]:
        """What still waits, in the order in which it will be said; calls until they are answered."""
        entries = list(self._waiting)
        current = self._current
        if current is not None and current.announcement.key is not None and not self._done_with(current):
            entries.append(current)
        return tuple(entry.announcement for entry in sorted(entries, key=lambda entry: entry.rank))

    def take_dropped(self) -> tuple[Dropped, ...]:
        """Return what was dropped since the last call, oldest first."""
        dropped, self._dropped = tuple(self._dropped), []
        return dropped

    # ------------------------------------------------------------ the player's side

    @property
    def current(self) -> Announcement | None:
        """The announcement in the air."""
        return self._current.announcement if self._current is not None else None

    def next(self, t: float) -> SpeakingTurn | None:
        """Return what has to begin now; whatever is in the air has to be cut short for it."""
        self._drop([entry for entry in self._waiting if entry.stale(t)], "expired")
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
        return SpeakingTurn(self._turns, chosen.announcement, chosen.said)

    def finished(self, t: float) -> None:
        """Note that the current announcement was said to its end."""
        current, self._current = self._current, None
        if current is None or self._done_with(current) or current.announcement.key is None:
            return
        self._come_back(current, t)

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

    def _calls(self) -> list[_Waiting]:
        entries = [*self._waiting, *([self._current] if self._current is not None else [])]
        return [entry for entry in entries if entry.announcement.key is not None]

    def _done_with(self, entry: _Waiting) -> bool:
        return entry.answered or entry.gone is not None

    def _come_back(self, entry: _Waiting, t: float) -> None:
        """Queue a call again for its next repeat."""
        pause_s = REPEAT_AFTER_S[min(entry.said, len(REPEAT_AFTER_S) - 1)]
        entry.said += 1
        entry.heard = True
        entry.due_t = t + pause_s
        self._waiting.append(entry)

    def _call_of(self, key: str | None) -> _Waiting | None:
        """Return the unanswered call with this key."""
        found = [entry for entry in self._calls() if entry.announcement.key == key and not self._done_with(entry)]
        return found[0] if found else None

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
