"""The live session: one ordered queue, one loop of thought.

Ear and mouth run in workers of their own and put what they have into the queue; the loop takes one thing after another,
lets the dialogue think, writes the events down, and only then speaks. Starting, waking up after the machine slept, and
recovering are the same code. Nothing the loop calls may wait for a sound device.
"""

from __future__ import annotations

import contextlib
import logging
import queue
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Protocol

from kitchenvoice.app.heartbeat import BELIEVED_AHEAD_S, Heartbeat, Sign, resume
from kitchenvoice.app.inbox import Answered, Chosen, Inbox, Item, Pressed, Trouble, Typed, Unsaid
from kitchenvoice.app.languages import book_for
from kitchenvoice.app.observer import NoObserver, Observer, tell
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.greeting import SHORT_GAP_S, what_runs
from kitchenvoice.dialogue.steering import ATTENTION_WINDOW_S
from kitchenvoice.dialogue.turn import Control, Turn
from kitchenvoice.errors import BadProfile, LogbookError
from kitchenvoice.grammar import written
from kitchenvoice.kitchen.profile import Profile, change_profile
from kitchenvoice.ports import Announcement, Clock, EventLog, ListeningGrammar, Moment, Urgency, Utterance
from kitchenvoice.process import Event

__all__ = [
    "Answered",
    "Chosen",
    "Ear",
    "Inbox",
    "Item",
    "Look",
    "Mouthpiece",
    "Pressed",
    "Session",
    "Show",
    "SilentMouth",
    "Trouble",
    "Typed",
    "Unsaid",
]

Show = Callable[[str, str, str | None], None]
"""Shows one line: who, text, event."""
Look = Callable[[Conversation, float], None]
"""Looks at the conversation after each turn, for the boards."""

_SHORTEST_WAIT_S = 0.01
_RETRY_LOG_S = 5.0
_END_AGAIN_S = 60.0
"""A wish to end counts as said twice for so long. Common practice, no source."""
_FAULT_AGAIN_S = 60.0
_ANSWERED = frozenset({"answered", "asked_back", "no_such_food"})
"""Notes of what was answered though it was no command."""

_log = logging.getLogger(__name__)


class Ear(Protocol):
    """The listening side, as the loop needs it."""

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Change what is listened for, from the next utterance on. Returns at once."""

    def use_other_microphone(self) -> None:
        """Look for another microphone; what came of it goes into the inbox. Returns at once."""


class Mouthpiece(Protocol):
    """The speaking side, as the loop needs it."""

    def say(self, announcement: Announcement) -> None:
        """Queue an announcement. Returns at once."""

    def obey(self, control: Control) -> None:
        """Stop, answer a call, or change volume or rate. Returns at once."""


class SilentMouth:
    """A mouth that says nothing: the answers are on the screen."""

    def say(self, announcement: Announcement) -> None:
        """Say nothing."""

    def obey(self, control: Control) -> None:
        """Change nothing."""


class Session:
    """One session: give it a conversation, a log, a clock, an ear and a mouth, and run it.

    `last` is when the log's latest entry was written, by both clocks; `whole` is False if later ones may be missing, so
    that what happened since can't be known; `by_keyboard` tells that there is no ear. `inbox` is how it waits, and
    `longest_wait_s` for how long at most: the boards and the sign of life want a look twice a second. `observer` is
    told of all that is taken and done.
    """

    def __init__(
        self,
        conversation: Conversation,
        log: EventLog,
        clock: Clock,
        mouth: Mouthpiece,
        *,
        ear: Ear | None = None,
        home: Path | None = None,
        last: Moment | None = None,
        whole: bool = True,
        show: Show | None = None,
        watch: Look | None = None,
        by_keyboard: bool = False,
        inbox: Inbox | None = None,
        longest_wait_s: float = 0.5,
        observer: Observer | None = None,
    ) -> None:
        self.inbox: Inbox = queue.SimpleQueue() if inbox is None else inbox
        self.longest_wait_s = longest_wait_s
        self._conversation = conversation
        self._log = log
        self._clock = clock
        self._mouth = mouth
        self.ear = ear
        self._home = home
        self._kept = conversation.talk.profile
        self._by_keyboard = by_keyboard
        self._show = show or _show_nothing
        self._watch = watch or _show_nothing
        self._observer = observer or NoObserver()
        self._heartbeat = None if home is None else Heartbeat(home)
        self._unsaved: list[Event] = []
        self._retry_t = 0.0
        self._fault_t = float("-inf")
        self._end_told_t = float("-inf")
        start = clock.now()
        self._t0, off_s = self._resume(start, last)
        self._off_s = off_s if whole else None
        self._elapsed0 = start.elapsed

    # ------------------------------------------------------------ time

    def _resume(self, now: Moment, last: Moment | None) -> tuple[float, float | None]:
        kitchen = self._conversation.talk.kitchen
        latest_t = max(now.utc, kitchen.t) + BELIEVED_AHEAD_S
        beat = self._heartbeat.last(latest_t) if self._heartbeat is not None else None
        if self._heartbeat is not None and self._heartbeat.trouble:
            self.inbox.put(Trouble(self._heartbeat.trouble, spoken=True))
        signs = [sign for sign in (beat, None if last is None else Sign(kitchen.t, last)) if sign is not None]
        self._by_clock = bool(signs) and all(sign.moment.boot != now.boot for sign in signs)
        t, off_s = resume(now, signs, timers_run=bool(kitchen.open_loads or kitchen.timers))
        return max(t, self._conversation.talk.t), off_s

    @property
    def t(self) -> float:
        """Engine time: that of the session's start, carried on by the clock without steps."""
        return self._t0 + max(0.0, self._clock.now().elapsed - self._elapsed0)

    # ------------------------------------------------------------ the loop

    def begin(self) -> None:
        """Start: say the known, ask for the unknown, and listen."""
        turn = self._conversation.begin(self.t, off_s=self._off_s, typed=self._by_keyboard, by_clock=self._by_clock)
        _log.info("the session begins at %.0f s, away %s s", self.t, self._off_s)
        self._take(turn)
        self._beat()
        self._listen()
        self._guarded(self._let_watch)

    def run(self) -> int:
        """Take one thing after another until the keyboard ends; return how many entries couldn't be recorded."""
        self.begin()
        while self.step():
            pass
        if self._unsaved:
            with contextlib.suppress(LogbookError):
                self._save()
        return len(self._unsaved)

    def step(self) -> bool:
        """Wait for the next thing, or for the time at which something is due, and deal with it. False ends the loop."""
        patience_s, before = self._patience(), self._clock.now().elapsed
        try:
            item = self.inbox.get(timeout=patience_s)
        except queue.Empty:
            item = None
        woke = self._clock.now().elapsed
        self._tell_gap(woke - before - patience_s)
        if isinstance(item, Typed) and (item.text is None or (self._by_keyboard and self._is_farewell(item.text))):
            return not self._ends(item)
        self._guarded(lambda: self._deal_with(item))
        self._beat()
        self._guarded(self._retry_log)
        self._tell_gap(self._clock.now().elapsed - woke)
        self._guarded(self._listen)
        self._guarded(self._let_watch)
        return True

    def _tell_gap(self, away_s: float) -> None:
        """Begin anew if nothing could be heard or called for so long: the machine slept, or its disk stood still."""
        if away_s >= SHORT_GAP_S:
            self._guarded(lambda: self._take(self._conversation.begin(self.t, off_s=away_s)))

    def _deal_with(self, item: Item | None) -> None:
        if item is None:
            self._take(self._conversation.tick(self.t))
        elif isinstance(item, Utterance):
            self._hear(item)
        elif isinstance(item, Trouble):
            self._trouble(item)
        elif isinstance(item, Answered):
            self._tell(lambda observer: observer.answered(self.t, item.key))
            self._take(self._conversation.answered(item.key, self.t))
        elif isinstance(item, Unsaid):
            self._take(self._conversation.unsaid(item.key, self.t))
        elif isinstance(item, Chosen):
            self._changed_microphone(item.name)
        elif isinstance(item, Pressed):
            self._listen_up()
        elif item.text is not None and self._is_farewell(item.text):
            self._say("spoken_end")
        elif item.text is not None:
            self._hear(Utterance((self._conversation.talk.language.typed(item.text),)), typed=True)

    def _hear(self, utterance: Utterance, *, typed: bool = False) -> None:
        turn, t, now = Turn(), self.t, self._clock.now()
        self._conversation.talk.wall_s = now.utc - t if now.sure else None
        try:
            turn = self._conversation.hear(utterance, t, typed=typed)
        finally:
            self._tell(lambda observer: observer.heard(t, utterance, turn, typed=typed))
        self._take(turn)

    def _tell(self, told: Callable[[Observer], None]) -> None:
        self._observer = tell(self._observer, told)

    def _ends(self, wish: Typed) -> bool:
        """End at once if nothing runs; else name the running loads, warn that nobody will call, and want it twice."""
        running = what_runs(self._conversation.talk)
        again = self.t <= self._end_told_t + _END_AGAIN_S
        if running and not again:
            self._end_told_t = self.t
            self._say("ends_running" if wish.final else "end_twice", running=running)
        return wish.final or again or not running

    def _changed_microphone(self, name: str | None) -> None:
        if name is None:
            self._say("no_other_microphone")
        else:
            self._keep(input_device=name, gain_db=0.0)
            self._say("other_microphone", name=name)

    def _is_farewell(self, text: str) -> bool:
        return text.lower().rstrip(".!") in self._conversation.talk.language.choices("farewells", "words")

    def _listen_up(self) -> None:
        """Take the next utterance as if it began with the wake phrase, and fall silent to hear it."""
        self._mouth.obey(Control("stop"))
        self._conversation.talk.attention_until = self.t + ATTENTION_WINDOW_S
        self._show("pressed", "listening", None)

    def _guarded(self, work: Callable[[], None]) -> None:
        """Go on after a fault of our own: silence would be worse. It is said, at most once a minute, and logged."""
        try:
            work()
        except Exception:
            _log.exception("the session goes on after a fault of its own")
            if self.t >= self._fault_t + _FAULT_AGAIN_S:
                self._fault_t = self.t
                self._trouble(Trouble("fault", spoken=True))

    def _patience(self) -> float:
        coming = self._conversation.next_t()
        wait_s = self.longest_wait_s if coming is None else coming - self.t
        return min(self.longest_wait_s, max(_SHORTEST_WAIT_S, wait_s))

    def _beat(self) -> None:
        if self._heartbeat is not None:
            self._heartbeat.beat(self.t, self._clock.now())

    def _listen(self) -> None:
        if self.ear is not None:
            self.ear.listen_for(self._conversation.grammar(self.t))

    def _let_watch(self) -> None:
        """Let the boards have a picture of how it stands, at least twice a second."""
        self._watch(self._conversation, self.t)

    def _take(self, turn: Turn) -> None:
        answered = "answered" if any(note.kind in _ANSWERED for note in turn.notes) else None
        for note in turn.notes:
            _log.debug("%s %r %s", note.kind, note.text, dict(note.data))
            meant = str(note.data.get("intent") or note.data.get("reason") or "") or None
            self._show(note.kind, written(note.text), meant or answered)
        self._write(turn.events)
        self._tell(lambda observer: observer.turned(self.t, turn, recorded=not self._unsaved))
        for control in turn.controls:
            self._obey(control)
        for announcement in turn.announcements:
            self._show("kitchenvoice", announcement.text, None)
            self._voice(announcement)

    def _trouble(self, trouble: Trouble) -> None:
        language = self._conversation.talk.language
        known = language.has("session", trouble.text)
        text = language.say("session", trouble.text, trouble.values) if known else trouble.text
        _log.info("trouble: %s", text)
        self._show("trouble", text, None)
        self._tell(lambda observer: observer.troubled(self.t, text, spoken=trouble.spoken))
        if trouble.spoken:
            self._voice(Announcement(text, Urgency.CAUTION))

    def _voice(self, announcement: Announcement) -> None:
        _log.debug("says, %s: %s", announcement.urgency.name, announcement.text)
        self._tell(lambda observer: observer.queued(self.t, announcement))
        self._mouth.say(announcement)

    # ------------------------------------------------------------ the record

    def _write(self, events: Sequence[Event]) -> None:
        """Put events on the disk before anything is said. A disk that refuses is said aloud, and tried again."""
        if not events:
            return
        told = bool(self._unsaved)
        self._unsaved = [*self._unsaved, *events]
        try:
            self._save()
        except LogbookError as exc:
            if not told:
                self._say("not_recorded", why=str(exc))

    def _retry_log(self) -> None:
        if self._unsaved and self.t >= self._retry_t:
            with contextlib.suppress(LogbookError):
                self._save()

    def _save(self) -> None:
        """Write what waits, in its order. Raises: LogbookError; then all of it waits on."""
        late = self._retry_t > 0.0
        try:
            self._log.append(self._unsaved, self._clock.now())
        except LogbookError:
            self._retry_t = self.t + _RETRY_LOG_S
            raise
        for event in self._unsaved:
            _log.info("recorded %d %s of load %s", event.seq, event.kind, event.load)
            self._show("log", "", event.kind)
        self._unsaved, self._retry_t = [], 0.0
        if late:
            self._say("recorded_again")

    def _say(self, key: str, **values: str) -> None:
        text = self._conversation.talk.language.say("session", key, values)
        self._show("kitchenvoice", text, None)
        self._voice(Announcement(text, Urgency.CAUTION))

    def _obey(self, control: Control) -> None:
        if control.name == "altitude":
            self._keep(altitude_ft=int(control.data["feet"]))
        elif control.name == "profile":
            self._keep(**control.data)
        elif control.name == "level":
            self._keep(speech_level="brief" if control.data["brief"] else "full")
        elif control.name == "microphone":
            self._look_for_microphone()
        else:
            self._mouth.obey(control)

    def _look_for_microphone(self) -> None:
        if self.ear is None:
            self._say("no_microphone_typed")
        else:
            self.ear.use_other_microphone()

    def _keep(self, **changes: Any) -> None:
        profile: Profile = replace(self._conversation.talk.profile, **changes)
        self._conversation.talk.profile = profile
        if "canners" in changes:
            self._conversation.use(book_for(profile))
        if self._home is None:
            return
        try:
            change_profile(self._home, self._kept, profile)
        except BadProfile as exc:
            self._trouble(Trouble("for_today", spoken=True, values={"why": str(exc)}))
        else:
            self._kept = profile


def _show_nothing(*_: object) -> None:
    """Show nowhere."""
