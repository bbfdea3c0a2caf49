"""The one place where the explorer touches the product: talk to it, let time pass, cut the power, copy it, compare it.

A conversation as it is holds its open questions as functions with what they close over. They are copied by structure:
what can change is copied once each, what is frozen is shared. Where a conversation can be copied by other means, only
`_Copier` and `_Key` change.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Question, Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.language import Language
from kitchenvoice.ports import Event, Utterance
from kitchenvoice.process import Process, due

__all__ = ["CALL", "MORNING", "Happened", "Kitchen", "Reply"]

MORNING = 1_786_521_600.0
"""When each day begins, POSIX seconds."""
CALL = "kitchen voice"
"""The wake phrase."""

_CHANGES = (Conversation, Talk, Question)
_SHARED = (GrammarBook, Profile, Language)
_NO_MATTER = frozenset(
    {"seq", "last_seq", "last_load", "history", "last_said", "profile", "language", "pantry", "sound"}
)
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
        other._talks = _Copier().copy(self._talks)
        return other

    def key(self, grain: float = 0.0) -> object:
        """Return what it will go on from, times relative to now: equal keys answer alike.

        With a `grain` above 0 times that are far away are rounded by this part of their distance.
        """
        talk = self._talks.talk
        gone = {event.data["seq"] for event in talk.history if event.kind == "scratched"}
        hers = [x for x in talk.history if x.seq not in gone and x.kind not in _CLOCK and "of" not in x.data]
        key = _Key(self.t, grain)
        return key.of(talk), tuple(key.of(event) for event in hers[-_REMEMBERED:])

    def _reply(self, turn: Turn) -> Reply:
        said = tuple((each.text, each.load) for each in turn.announcements)
        return Reply(self.t, said, tuple(Happened(x.kind, x.load, _by_clock(x)) for x in turn.events))


def _by_clock(event: Event) -> bool:
    return event.kind in _CLOCK or "of" in event.data


class _Copier:
    """Copies what can change: the conversation, its lists, its questions, and the functions that they hold."""

    def __init__(self) -> None:
        self._made: dict[int, Any] = {}
        self._kept: list[Any] = []

    def copy(self, old: Any) -> Any:
        kind = type(old)
        if kind in _ATOMS:
            return old
        made = self._made.get(id(old))
        if made is not None:
            return made
        self._kept.append(old)
        if isinstance(old, _CHANGES):
            return self._instance(old, kind)
        if kind is list:
            return self._list(old)
        if kind is types.FunctionType:
            return self._function(old) if old.__closure__ else old
        if kind is types.MethodType:
            return types.MethodType(old.__func__, self.copy(old.__self__))
        if kind is tuple and any(type(x) in (list, types.FunctionType) or isinstance(x, _CHANGES) for x in old):
            return tuple(map(self.copy, old))
        return old

    def _instance(self, old: Any, kind: type) -> Any:
        new: Any = object.__new__(kind)
        self._made[id(old)] = new
        for name in _names(old, kind):
            value = getattr(old, name)
            object.__setattr__(new, name, list(value) if name == "history" else self.copy(value))
        return new

    def _list(self, old: list[Any]) -> list[Any]:
        new: list[Any] = []
        self._made[id(old)] = new
        new.extend(map(self.copy, old))
        return new

    def _function(self, old: types.FunctionType) -> types.FunctionType:
        assert old.__closure__ is not None
        cells = tuple(self._cell(cell) for cell in old.__closure__)
        new = types.FunctionType(old.__code__, old.__globals__, old.__name__, old.__defaults__, cells)
        new.__kwdefaults__ = old.__kwdefaults__
        self._made[id(old)] = new
        for cell, was in zip(cells, old.__closure__, strict=True):
            self._fill(cell, was)
        return new

    def _cell(self, old: types.CellType) -> types.CellType:
        cell: types.CellType = self._made.setdefault(id(old), types.CellType())
        self._kept.append(old)
        return cell

    def _fill(self, new: types.CellType, old: types.CellType) -> None:
        if _empty(new) and not _empty(old):
            new.cell_contents = self.copy(old.cell_contents)


class _Key:
    """Writes down a state so that equal ones can be told, functions by what they close over."""

    def __init__(self, t: float, grain: float) -> None:
        self._t, self._grain = t, grain
        self._on_the_way: set[int] = set()

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
            return kind.__name__, *[self.of(getattr(value, name)) for name in _NAMES[kind]]
        return self._seldom(value, kind)

    def _seldom(self, value: Any, kind: type) -> Any:
        if isinstance(value, Enum):
            return value.value
        if isinstance(value, _SHARED) or id(value) in self._on_the_way:
            return kind.__name__
        if is_dataclass(kind) and kind not in _CHANGES:
            _NAMES[kind] = tuple(field.name for field in fields(kind) if field.name not in _NO_MATTER)
            return self.of(value)
        self._on_the_way.add(id(value))
        try:
            return self._written(value, kind)
        finally:
            self._on_the_way.discard(id(value))

    def _written(self, value: Any, kind: type) -> Any:
        if kind is types.FunctionType:
            closed = [cell.cell_contents for cell in value.__closure__ or () if not _empty(cell)]
            return value.__qualname__, tuple(map(self.of, closed)), tuple(map(self.of, value.__defaults__ or ()))
        if kind is types.MethodType:
            return value.__func__.__qualname__, self.of(value.__self__)
        if isinstance(value, Mapping):
            return tuple((self.of(name), self.of(each)) for name, each in value.items() if name != "seq")
        if isinstance(value, set | frozenset):
            return frozenset(map(self.of, value))
        if kind in _CHANGES:
            return kind.__name__, *(self.of(getattr(value, n)) for n in _names(value, kind) if n not in _NO_MATTER)
        return repr(value)

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


def _names(value: Any, kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind)) if is_dataclass(kind) else tuple(vars(value))


def _empty(cell: types.CellType) -> bool:
    try:
        cell.cell_contents  # noqa: B018
    except ValueError:
        return True
    return False


_BOOKS: list[GrammarBook] = []


def _book() -> GrammarBook:
    if not _BOOKS:
        _BOOKS.append(GrammarBook.load())
    return _BOOKS[0]
