"""The state of a conversation, and the few things every handler does with it: record, say, ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from kitchenvoice.dialogue.question import Form, Frame, Kind
from kitchenvoice.dialogue.turn import Control, Heard, Objected, TranscriptNote, Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.language import capital, load_language
from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.process import RECORDED_FACTS, Due, Event, Fact, Kitchen, Load, Stage, apply, due, fold, validate

if TYPE_CHECKING:
    from kitchenvoice.reference.plans import Plan

__all__ = ["Pantry", "Talk"]

_IN_STEAM = frozenset({Stage.CANNER, Stage.COME_UP, Stage.HOLD})

_AGAIN = ("not_understood", "again")
_NOT_SURE = frozenset({"not_sure", "not_sure_step", "not_sure_pack", "not_sure_count", "not_sure_dial"})
"""What is said of words that weren't understood; of many of them the first are repeated."""
_MOST_WORDS = 20
_TRUE_S = 30.0
"""For so long words may wait until they sound: each time that they tell, rounded to half a minute or a minute, is then
true to the minute. Cautions tell no time, and wait for ever."""
_FRESH_S = 20.0
"""What was said longer ago isn't repeated as if it were said now. Common practice, no source."""


class Pantry(Protocol):
    """Contents of the shelf, from the record."""

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> Sequence[tuple[str, str, int, float]]:
        """Return (food, jar, jars left, POSIX seconds of packing), oldest first."""

    def put_up(self, food: str | None = None) -> Sequence[tuple[str, str, int, float]]:
        """Return (food, jar, jars that were put on the shelf, POSIX seconds of packing), oldest first."""


class _Part(NamedTuple):
    """A sentence of a turn; `key` is the one it was said by, if it was; `lasting`: what stays true of it."""

    text: str
    urgency: Urgency
    key: tuple[str, str] | None = None
    lasting: str = ""


class Talk:
    """State of one conversation: the kitchen, the open question, the latest announcement, the language.

    Deterministic: the same inputs at the same times give the same turns. `record` changes the kitchen at once; what has
    to be written and said is handed out by `flush`.
    """

    def __init__(
        self,
        book: GrammarBook,
        profile: Profile,
        history: Sequence[Event] = (),
        *,
        last_seq: int = 0,
        last_load: int = 0,
        pantry: Pantry | None = None,
    ) -> None:
        self.profile = profile
        self.history = list(history)
        self.kitchen: Kitchen = fold(self.history)
        self._coming: tuple[Kitchen, tuple[Due, ...]] | None = None
        self.last_seq = max(last_seq, self.kitchen.seq)
        self.last_load = max(last_load, self.kitchen.last_load)
        self.pantry = pantry
        self.language = load_language(profile.language)
        self.book = book
        self.brief = profile.speech_level == "brief"
        self.asleep = False
        self.typed = False
        self.second_voice = False
        self.written = False
        self.wall_s: float | None = 0.0  # the machine's clock less `t`; None if that clock may be wrong
        self.question: Frame | None = None
        self.parked: tuple[Frame, ...] = ()
        self.kinds: Mapping[str, Kind[Talk]] = {}
        self.forms: Mapping[str, Form[Talk]] = {}
        self.obey: Callable[[Heard], None] = lambda _: None
        self.tell: Callable[[Talk, Sequence[Fact], Kitchen], None] = lambda _talk, _facts, _before: None
        self.checks: list[int] = []
        self.ahead: tuple[int, Stage, str] | None = None
        self.planned: Plan | None = None  # the amount that was planned last
        self.looked_at: tuple[int, frozenset[str]] = (0, frozenset())  # of which load, what of its canner
        self.reason: str | Objected = ""
        self.attention_until = 0.0
        self.selected_t = float("-inf")
        self.misses = 0
        self.held_back: frozenset[str] = frozenset()
        self.sound: tuple[float | None, str | None] = (None, None)
        self.last_said = ""
        self.said_t = 0.0
        self.t = self.kitchen.t
        self._events: list[Event] = []
        self._parts: list[_Part] = []
        self._repeats = False
        self._age_s = 0.0
        self._told: frozenset[tuple[int, str]] = frozenset()
        self._told_before: frozenset[tuple[int, str]] = frozenset()
        self._calls: list[Announcement] = []
        self._controls: list[Control] = []
        self._notes: list[TranscriptNote] = []

    # ------------------------------------------------------------ recording

    @property
    def coming(self) -> tuple[Due, ...]:
        """Next events of the clock, computed once for each state."""
        if self._coming is None or self._coming[0] is not self.kitchen:
            self._coming = (self.kitchen, due(self.kitchen))
        return self._coming[1]

    def record(
        self, kind: str, load: int | None = None, heard: str = "", data: Mapping[str, Any] | None = None, /, **more: Any
    ) -> tuple[Fact, ...]:
        """Accept a fact: change the kitchen, keep the event, tell what came of it."""
        before = self.kitchen
        event = self._append(kind, load, {**(data or {}), **more}, heard)
        self.kitchen, facts = apply(self.kitchen, event)
        for fact in facts:
            if fact.kind in RECORDED_FACTS and fact.kind != kind:
                self._append(fact.kind, fact.load, {**fact.data, "of": event.seq}, "")
        self.kitchen = replace(self.kitchen, seq=self.last_seq)
        self._drop_answered(before)
        self.tell(self, facts, before)
        return facts

    def _append(self, kind: str, load: int | None, data: Mapping[str, Any], heard: str) -> Event:
        event = validate(Event(seq=self.last_seq + 1, t=self.t, kind=kind, load=load, data=dict(data), heard=heard))
        self.last_seq = event.seq
        self.history.append(event)
        self._events.append(event)
        return event

    def take_back(self, event: Event) -> None:
        """Scratch an event: everything is as if it had not been said."""
        before = self.kitchen
        self._append("scratched", event.load, {"seq": event.seq, "kind": event.kind}, "")
        self.kitchen = fold(self.history)
        self._drop_answered(before)

    def _drop_answered(self, before: Kitchen) -> None:
        gone = {call.key for call in before.calls} - {call.key for call in self.kitchen.calls}
        if gone:
            self.control("answered", keys=tuple(sorted(gone)))

    # ------------------------------------------------------------ saying

    def say_idle(self) -> None:
        """Say that no load is going, and how to start one unless a question of ours is open: that one comes first."""
        self.say(*(("context", "idle") if self.asked is None else ("choosing", "no_loads")))

    def refuse(self, reason: str) -> None:
        """Refuse a request, and keep the reason."""
        self.reason = reason
        self.say("context", "refused", urgency=Urgency.CAUTION, reason=reason)

    def say(
        self,
        table: str,
        key: str,
        values: Mapping[str, str] | None = None,
        /,
        *,
        urgency: Urgency = Urgency.READBACK,
        **more: str,
    ) -> None:
        """Add a sentence to this turn's answer."""
        text = self.language.say(table, key, values, brief=self.brief, **more)
        self._add(_Part(text, urgency, (table, key)))

    def speak(self, text: str, urgency: Urgency = Urgency.GUIDANCE, *, lasting: str | None = None) -> None:
        """Add words that are finished already.

        `lasting` is what stays true of them: of a caution all, if it isn't given, of other words nothing.
        """
        self._add(_Part(text, urgency), lasting)

    def _add(self, part: _Part, lasting: str | None = None) -> None:
        if not part.text or any((each.text, each.urgency) == (part.text, part.urgency) for each in self._parts):
            return
        if lasting is None and part.urgency >= Urgency.CAUTION:
            lasting = part.text
        self._parts.append(part._replace(lasting=lasting or ""))

    def quote(self, *, already: bool) -> None:
        """Quote the typed text with the question about it, in place of "I didn't get that".

        `already`: the question itself does.
        """
        heard = next((note.text for note in reversed(self._notes) if note.kind == "heard"), "")
        words = " ".join(heard.split()[:_MOST_WORDS])
        said = "" if already else self.language.say("doubting", "said", words=words, asked="").strip()
        missed = [part for part in self._parts if self.written and part.key is not None and part.key[1] in _NOT_SURE]
        parts = [part._replace(text=said) if part in missed else part for part in self._parts]
        self._parts = [part for part in parts if part.text]

    def withhold(self, below: Urgency) -> None:
        """Leave out what this turn would have said less urgently than that: it isn't so any more."""
        self._parts = [part for part in self._parts if part.urgency >= below]
        self._told = frozenset()

    def repeat(self) -> None:
        """Say again what was said last; if it isn't fresh, as what was said then, since a time in it has gone on."""
        age_s = self.t - self.said_t
        if age_s <= _FRESH_S:
            self.speak(self.last_said)
            self._age_s = age_s
        else:
            self.say("context", "said_before", since=capital(self.language.duration(age_s)), said=self.last_said)
        self._repeats = True
        self._told |= self._told_before

    def call(self, text: str, key: str, load: int | None, tone: str = "timer", repeats: int = 0) -> None:
        """Add an urgent call, the louder the more often it was made before."""
        said = Announcement(text, Urgency.ALARM, key=key, true_s=_TRUE_S, tone=tone, load=load, repeats=repeats)
        self._calls.append(said)

    def lead(self, text: str, urgency: Urgency) -> None:
        """Say these words before anything else in this turn: they come first for the cook, too."""
        if self._calls:
            self._calls[0] = replace(self._calls[0], text=f"{text} {self._calls[0].text}")
        else:
            self._parts.insert(0, _Part(text, urgency, lasting=text if urgency >= Urgency.CAUTION else ""))

    def control(self, name: str, **data: Any) -> None:
        """Add a wish to the session."""
        self._controls.append(Control(name, data))

    def note(self, kind: str, text: str = "", **data: Any) -> None:
        """Add a line for the transcript."""
        self._notes.append(TranscriptNote(kind, text, data))

    def noted(self, kind: str) -> TranscriptNote | None:
        """Return the line of that kind of this turn, if there is one."""
        return next((note for note in self._notes if note.kind == kind), None)

    @property
    def cautions(self) -> bool:
        """True if a caution is among what this turn says so far."""
        return any(part.urgency >= Urgency.CAUTION for part in self._parts)

    @property
    def told(self) -> tuple[Event, ...]:
        """What this turn recorded so far in the cook's words."""
        return tuple(event for event in self._events if event.heard)

    @property
    def asked(self) -> Frame | None:
        """The open question that was asked aloud, if one is."""
        return None if self.question is None or self.question.passive else self.question

    @property
    def asks_nothing(self) -> bool:
        """True if a question can be asked now: nobody sleeps, and none presses or is to come first."""
        pressing = self.question is not None and self.question.pressing
        return not (self.asleep or pressing or self.kitchen.doubts)

    @property
    def letters(self) -> int:
        """How many letters this turn says so far."""
        return sum(len(part.text) for part in self._parts)

    def tells_step(self, load: Load) -> bool:
        """True if this turn already includes the load's step."""
        return (load.id, load.step) in self._told

    def note_step(self, load: Load) -> None:
        """Keep in mind that this turn says the step of a load."""
        self._told |= {(load.id, load.step)}

    def flush(self) -> Turn:
        """Return this turn's output, and begin the next."""
        announcements = [*self._calls]
        if self._parts:
            text = " ".join(part.text for part in self._parts)
            lasting = " ".join(filter(None, (part.lasting for part in self._parts)))
            true_s = None if text == lasting else _TRUE_S - self._age_s
            urgency = max(part.urgency for part in self._parts)
            announcements.append(Announcement(text, urgency, true_s=true_s, lasting=lasting))
        asked_again = not self._calls and [part.key for part in self._parts] == [_AGAIN]
        if announcements and not (asked_again or self._repeats):  # who then says "repeat" means what was said before it
            self.last_said, self.said_t = " ".join(each.text for each in announcements), self.t
            self._told_before = self._told
        self._told = frozenset()
        turn = Turn(tuple(self._events), tuple(announcements), tuple(self._controls), tuple(self._notes))
        self._events, self._parts, self._calls, self._controls, self._notes = [], [], [], [], []
        self._repeats, self._age_s = False, 0.0
        return turn

    # ------------------------------------------------------------ looking

    @property
    def focus(self) -> Load | None:
        """The load that questions without a name are about: the chosen one, else the latest open one."""
        load = self.kitchen.load(self.kitchen.focus)
        if load is not None and load.stage is not Stage.CLOSED:
            return load
        return self.kitchen.open_loads[-1] if self.kitchen.open_loads else None

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The stages whose phrases are live: those of the open loads, and idle, where a load can be started."""
        live = {load.stage for load in self.kitchen.open_loads}
        if any(load.process.is_steam and load.stage in _IN_STEAM for load in self.kitchen.open_loads):
            live.add(Stage.VENT)  # where the steam is told of
        idle = {Stage.IDLE, Stage.PLAN, Stage.START}
        return tuple(stage for stage in Stage if stage in live | idle)

    @property
    def under_way(self) -> frozenset[Stage]:
        """The stages that what is said is likely about: those of the open loads, idle without one."""
        return frozenset({load.stage for load in self.kitchen.open_loads} or {Stage.IDLE})
