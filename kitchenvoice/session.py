"""The live session: one ordered queue, one loop of thought. Wiring only.

Ear and mouth run in workers of their own and put what they have into the queue; the loop takes one thing after another,
lets the dialogue think, writes the events down, and only then speaks. Starting and recovering are the same code.
"""

from __future__ import annotations

import json
import queue
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control, Turn
from kitchenvoice.errors import LogbookError
from kitchenvoice.ports import Announcement, Clock, EventLog, ListeningGrammar, Moment, Urgency, Utterance
from kitchenvoice.process import Event
from kitchenvoice.profile import Profile, write_profile

__all__ = ["Ear", "Heartbeat", "Inbox", "Mouthpiece", "Session", "Trouble", "Typed"]

_LONGEST_WAIT_S = 0.5
_RETRY_LOG_S = 5.0
_BEAT_S = 5.0


@dataclass(frozen=True, slots=True)
class Typed:
    """A line from the keyboard; `None` is its end."""

    text: str | None


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something wrong with a device, in one sentence; `spoken` if it should be said as well as shown."""

    text: str
    spoken: bool = False


Item = Utterance | Typed | Trouble
Inbox = queue.Queue[Item]


class Ear(Protocol):
    """The listening side, as the loop needs it."""

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Change what is listened for, from the next utterance on."""


class Mouthpiece(Protocol):
    """The speaking side, as the loop needs it."""

    def say(self, announcement: Announcement) -> None:
        """Queue an announcement."""

    def obey(self, control: Control) -> None:
        """Stop, answer a call, or change volume or rate."""


class Heartbeat:
    """When the program was last alive: a small file, rewritten every few seconds, so that a gap can be told."""

    def __init__(self, home: Path) -> None:
        self._file = home / "alive.json"
        self._last = float("-inf")

    def last(self) -> Moment | None:
        """Return the last sign of life of the session before this one."""
        try:
            raw = json.loads(self._file.read_text("utf-8"))
            return Moment(utc=float(raw["utc"]), elapsed=float(raw["elapsed"]), boot=str(raw["boot"]))
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def beat(self, moment: Moment) -> None:
        """Leave a sign of life; a disk that can't take it is told of by the log, not here."""
        if moment.elapsed - self._last < _BEAT_S:
            return
        self._last = moment.elapsed
        fresh = self._file.with_suffix(".new")
        try:
            fresh.write_text(json.dumps({"utc": moment.utc, "elapsed": moment.elapsed, "boot": moment.boot}), "utf-8")
            fresh.replace(self._file)
        except OSError:
            return


class Session:
    """One session: give it a conversation, a log, a clock, an ear and a mouth, and run it."""

    def __init__(
        self,
        conversation: Conversation,
        log: EventLog,
        clock: Clock,
        mouth: Mouthpiece,
        *,
        ear: Ear | None = None,
        home: Path | None = None,
        show: Callable[[str, str, str | None], None] | None = None,
    ) -> None:
        self.inbox: Inbox = queue.Queue()
        self._conversation = conversation
        self._log = log
        self._clock = clock
        self._mouth = mouth
        self.ear = ear
        self._home = home
        self._show = show or _show_nothing
        self._heartbeat = None if home is None else Heartbeat(home)
        self._unsaved: list[Event] = []
        self._retry_t = 0.0
        start = clock.now()
        self._t0, self._elapsed0 = self._resume(start), start.elapsed

    # ------------------------------------------------------------ time

    def _resume(self, now: Moment) -> float:
        """Return the engine time to begin at: it never runs behind what is recorded."""
        return max(now.utc, self._conversation.talk.t)

    @property
    def t(self) -> float:
        """Engine time: the wall clock at the start, then the clock that never steps."""
        return self._t0 + self._clock.now().elapsed - self._elapsed0

    def _off_s(self) -> float:
        last, now = (self._heartbeat.last() if self._heartbeat is not None else None), self._clock.now()
        recorded = self._conversation.talk.kitchen.t
        if last is not None and last.boot == now.boot and now.elapsed >= last.elapsed:
            return now.elapsed - last.elapsed
        since = max(recorded, last.utc if last is not None else 0.0)
        return max(0.0, now.utc - since) if since > 0 else 0.0

    # ------------------------------------------------------------ the loop

    def begin(self) -> None:
        """Start: say what is known, ask what can't be known, and listen."""
        self._take(self._conversation.begin(self.t, off_s=self._off_s()))
        self._listen()

    def run(self) -> None:
        """Take one thing after another until the keyboard ends or `stop` is put in."""
        self.begin()
        while self.step():
            pass

    def step(self) -> bool:
        """Wait for the next thing, or for the time at which something is due, and deal with it. False ends the loop."""
        try:
            item = self.inbox.get(timeout=self._patience())
        except queue.Empty:
            item = None
        if self._heartbeat is not None:
            self._heartbeat.beat(self._clock.now())
        if item is None:
            self._take(self._conversation.tick(self.t))
        elif isinstance(item, Utterance):
            self._take(self._conversation.hear(item, self.t))
        elif isinstance(item, Trouble):
            self._trouble(item)
        elif item.text is None:
            return False
        else:
            self._take(self._conversation.hear(Utterance((item.text,)), self.t, typed=True))
        self._retry_log()
        self._listen()
        return True

    def _patience(self) -> float:
        coming = self._conversation.next_t()
        return _LONGEST_WAIT_S if coming is None else min(_LONGEST_WAIT_S, max(0.0, coming - self.t))

    def _listen(self) -> None:
        if self.ear is not None:
            self.ear.listen_for(self._conversation.grammar(self.t))

    def _take(self, turn: Turn) -> None:
        for note in turn.notes:
            self._show(note.kind, note.text, str(note.data.get("intent") or note.data.get("reason") or "") or None)
        self._write(turn.events)
        for event in turn.events:
            self._show("log", "", event.kind)
        for control in turn.controls:
            self._obey(control)
        for announcement in turn.announcements:
            self._show("kitchenvoice", announcement.text, None)
            self._mouth.say(announcement)

    def _trouble(self, trouble: Trouble) -> None:
        self._show("trouble", trouble.text, None)
        if trouble.spoken:
            self._mouth.say(Announcement(trouble.text, Urgency.CAUTION))

    # ------------------------------------------------------------ the record

    def _write(self, events: Sequence[Event]) -> None:
        """Put events on the disk before anything is said. A disk that refuses is said aloud, and tried again."""
        if not events:
            return
        waiting = [*self._unsaved, *events]
        try:
            self._log.append(waiting, self._clock.now())
        except LogbookError as exc:
            if not self._unsaved:
                self._say("not_recorded", why=str(exc))
            self._unsaved = waiting
            self._retry_t = self.t + _RETRY_LOG_S
        else:
            if self._unsaved:
                self._say("recorded_again")
            self._unsaved = []

    def _retry_log(self) -> None:
        if not self._unsaved or self.t < self._retry_t:
            return
        try:
            self._log.append(self._unsaved, self._clock.now())
        except LogbookError:
            self._retry_t = self.t + _RETRY_LOG_S
        else:
            self._unsaved = []
            self._say("recorded_again")

    def _say(self, key: str, **values: str) -> None:
        text = self._conversation.talk.texts.say("talk", key, values)
        self._show("kitchenvoice", text, None)
        self._mouth.say(Announcement(text, Urgency.CAUTION))

    def _obey(self, control: Control) -> None:
        if control.name == "altitude" and self._home is not None:
            self._keep(altitude_ft=int(control.data["feet"]))
        elif control.name == "level" and self._home is not None:
            self._keep(speech_level="brief" if control.data["brief"] else "full")
        else:
            self._mouth.obey(control)

    def _keep(self, **changes: Any) -> None:
        profile: Profile = replace(self._conversation.talk.profile, **changes)
        self._conversation.talk.profile = profile
        if self._home is not None:
            write_profile(self._home, profile)


def _show_nothing(*_: object) -> None:
    """Show nowhere."""
