"""The one place where the explorer touches the product: talk to it, let time pass, cut its power, copy, compare it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from typing import Any

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Event, Utterance
from kitchenvoice.process import Doubt, Process, due
from kitchenvoice.testing.copied import copied

__all__ = ["CALL", "MORNING", "Happened", "Kitchen", "Reply"]

MORNING = 1_786_521_600.0
"""When each day begins, POSIX seconds."""
CALL = "kitchen voice"
"""The wake phrase."""

_SHARED = frozenset({"book", "written", "profile", "language", "pantry", "kinds", "forms", "obey", "tell"})
_SPOKEN = frozenset({"last_said", "said_t", "sound", "reason", "_told", "_told_before"})
"""What only "repeat" and "why" ask for, which are never said here."""
_NO_MATTER = _SHARED | _SPOKEN | {"seq", "last_seq", "last_load", "history", "_coming"}
_CLOCK = frozenset({"timer_due", "call_again", "session_start", "answer_call", "load_select", "scratched"})
_REMEMBERED = 4
_A_TIME = 1e8


@dataclass(frozen=True, slots=True)
class Happened:
    """Something that was recorded: its kind, and of which load."""

    kind: str
    load: int | None
    by_clock: bool


@dataclass(frozen=True, slots=True)
class Reply:
    """What one turn brought: sentences with the load that they were called for, and what was recorded."""

    t: float
    said: tuple[tuple[str, int | None], ...]
    recorded: tuple[Happened, ...]

    @property
    def text(self) -> str:
        """All that was said."""
        return " ".join(text for text, _ in self.said)


class Kitchen:
    """A conversation with its clock."""

    def __init__(self, *, two_dials: bool = False, book: GrammarBook | None = None) -> None:
        canners = PRACTICE_KITCHEN.canners
        if two_dials:
            canners = (canners[0], replace(canners[0], number=2))
        self.t = MORNING
        self._book = book or _book()
        self._talks = Conversation(self._book, replace(PRACTICE_KITCHEN, canners=canners))

    def hear(self, text: str) -> Reply:
        """Say something to it."""
        return self._reply(self._talks.hear(Utterance((text,)), self.t))

    def pass_to(self, t: float) -> Iterator[Reply]:
        """Let the clock run up to `t`, as the session does: it looks whenever something is due."""
        while (coming := self._talks.next_t()) is not None and coming < t:
            self.t = max(self.t, coming + 0.001)
            yield self._reply(self._talks.tick(self.t))
        self.t = max(self.t, t)
        yield self._reply(self._talks.tick(self.t))

    def cut(self, off_s: float) -> Reply:
        """Lose all but what was recorded, and begin again after so many seconds."""
        self.t += off_s
        talk = self._talks.talk
        self._talks = Conversation(
            self._book, talk.profile, talk.history, last_seq=talk.last_seq, last_load=talk.last_load
        )
        return self._reply(self._talks.begin(self.t, off_s=off_s))

    def next_t(self) -> float | None:
        """When something is due next."""
        return self._talks.next_t()

    def next_end_t(self) -> float | None:
        """When the next vent, hold or wait ends by the clock."""
        ends = (each.t for each in due(self._talks.talk.kitchen) if each.load and each.data.get("mark") == "end")
        return min((t for t in ends if t > self.t), default=None)

    def last_end_t(self) -> float | None:
        """When the last vent, hold or wait that counts now ends."""
        loads = self._talks.talk.kitchen.open_loads
        return max((timer.due_t for load in loads for timer in load.timers if timer.seconds < 7200), default=None)

    def holds(self) -> frozenset[int]:
        """The loads whose hold counts by its own account."""
        return frozenset(load.id for load in self._talks.talk.kitchen.open_loads if load.holding)

    def copy(self) -> Kitchen:
        """Return another one in the same state."""
        other: Kitchen = object.__new__(Kitchen)
        other.t, other._book = self.t, self._book
        other._talks = copied(self._talks)
        return other

    def key(self, grain: float = 0.0) -> object:
        """Return what it will go on from, times relative to now: equal keys answer alike.

        With a `grain` above 0 times that are far away are rounded by this part of their distance.
        """
        talk = self._talks.talk
        gone = {event.data["seq"] for event in talk.history if event.kind == "scratched"}
        own = [x for x in talk.history if x.seq not in gone and x.kind not in _CLOCK and "of" not in x.data]
        key = _Key(self.t, grain)
        now = tuple(key.of(value) for name, value in vars(talk).items() if name not in _NO_MATTER)
        return now, tuple(key.of(event) for event in own[-_REMEMBERED:])

    def _reply(self, turn: Turn) -> Reply:
        said = tuple((each.text, each.load) for each in turn.announcements)
        return Reply(self.t, said, tuple(Happened(x.kind, x.load, _by_clock(x)) for x in turn.events))


def _by_clock(event: Event) -> bool:
    return event.kind in _CLOCK or "of" in event.data


class _Key:
    """Writes down a state so that equal ones can be told, times relative to now."""

    def __init__(self, t: float, grain: float) -> None:
        self._t, self._grain = t, grain
        self._events: dict[object, int] = {}

    def of(self, value: Any) -> Any:
        kind = type(value)
        if kind is float:
            return self._number(value)
        if kind in _ATOMS:
            return value
        if kind is tuple or kind is list:
            return tuple([self.of(each) for each in value])
        if kind in _LASTING:
            return _NUMBERED.setdefault(value, len(_NUMBERED))
        if kind in _NAMES:
            number = self._event(value.id) if kind is Doubt else None
            return kind.__name__, number, *[self.of(getattr(value, name)) for name in _NAMES[kind]]
        return self._seldom(value, kind)

    def _seldom(self, value: Any, kind: type) -> Any:
        if isinstance(value, Enum):
            return value.value
        if is_dataclass(kind):
            gone = _NO_MATTER | {"id"} if kind is Doubt else _NO_MATTER
            _NAMES[kind] = tuple(field.name for field in fields(kind) if field.name not in gone)
            return self.of(value)
        if isinstance(value, Mapping):
            return tuple(
                (name, self._event(each) if name == "doubt" else self.of(each)) for name, each in value.items()
            )
        if isinstance(value, set | frozenset):
            return frozenset(map(self.of, value))
        raise TypeError(f"{kind.__name__} isn't plain data")

    def _event(self, seq: object) -> int:
        """Number the events that are referred to by their order: what else was recorded doesn't matter."""
        return self._events.setdefault(seq, len(self._events))

    def _number(self, value: float) -> float:
        if abs(value) < _A_TIME or value in (float("inf"), float("-inf")):
            return round(value, 3)
        away = value - self._t
        if self._grain and abs(away) > 30.0:
            step = max(1.0, self._grain * 2.0 ** int(abs(away)).bit_length())
            return round(away / step) * step
        return round(away, 1)


_ATOMS = frozenset({str, int, float, bool, type(None), frozenset, bytes})
_LASTING = frozenset({Process})
_NAMES: dict[type, tuple[str, ...]] = {}
_NUMBERED: dict[object, int] = {}

_BOOKS: list[GrammarBook] = []


def _book() -> GrammarBook:
    if not _BOOKS:
        _BOOKS.append(GrammarBook.load())
    return _BOOKS[0]
