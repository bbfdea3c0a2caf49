"""A practice day: the live session with a stove in words alone, and leaps of time between questions.

The session, the dialogue and the engine are those of a real day; the logbook is thrown away afterwards.
"""

from __future__ import annotations

import queue
from collections.abc import Callable
from dataclasses import replace

from kitchenvoice.app.session import Ear, Inbox, Item, Mouthpiece, Session
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.ports import Announcement, Clock, Moment, Urgency
from kitchenvoice.process import Load, Stage
from kitchenvoice.rehearsal.practice_stove import PATIENCE_S, Sight, Stove
from kitchenvoice.rehearsal.practice_tally import Tally

__all__ = ["LeapingClock", "PracticeDay", "PracticeInbox", "PracticeMouth"]

_TURN_S = 0.05
_LONGEST_TURN_S = 0.2
_SPOKEN_PER_S = 13.0
_READ_PER_S = 40.0
_BREATH_S = 1.0
_RESTS_FASTER = 60.0
_GOES_ON = "hold_lost"  # it calls until the pressure is back, which takes time, not the cook
_COOKS_STAGES = frozenset({Stage.PACK, Stage.COUNT, Stage.KEEP})
_COOKS_STEPS = frozenset({"weight", "off", "open", "bath_open", "unload"})


class LeapingClock:
    """A clock that can be moved ahead of the one it follows."""

    def __init__(self, real: Clock) -> None:
        self._real = real
        self._ahead_s = 0.0

    def now(self) -> Moment:
        """Read the real clock and add what was leapt."""
        real = self._real.now()
        return Moment(real.utc + self._ahead_s, real.elapsed + self._ahead_s, real.boot, real.sure)

    def leap(self, seconds: float) -> None:
        """Move ahead."""
        self._ahead_s += max(0.0, seconds)


class PracticeInbox:
    """An inbox of many short looks, with leaps of time between them; `heard` is called for each item."""

    def __init__(self, heard: Callable[[], None]) -> None:
        self._items: queue.SimpleQueue[Item] = queue.SimpleQueue()
        self._heard = heard

    def put(self, item: Item, /) -> None:
        """Add something."""
        self._items.put(item)

    def get(self, block: bool = True, timeout: float | None = None) -> Item:
        """Wait a twentieth of a second at most. Raises: queue.Empty."""
        item = self._items.get(block, _TURN_S if timeout is None else min(timeout, _TURN_S))
        self._heard()
        return item

    def qsize(self) -> int:
        """Return the number of items that wait."""
        return self._items.qsize()


class PracticeMouth:
    """The mouth, with the word "practice" on every call."""

    def __init__(self, mouth: Mouthpiece, mark: Callable[[str], str], said: Callable[[str], None]) -> None:
        self._mouth = mouth
        self._mark = mark
        self._said = said

    def say(self, announcement: Announcement) -> None:
        """Say it; a call with the mark of practice."""
        self._said(announcement.text)
        if announcement.urgency >= Urgency.ALARM:
            announcement = replace(announcement, text=self._mark(announcement.text))
        self._mouth.say(announcement)

    def obey(self, control: Control) -> None:
        """Pass a wish on."""
        self._mouth.obey(control)


class PracticeDay:
    """Run a session with an invented stove. `speed` is how many times faster time goes while nothing is asked.

    `read`: the answers are read, which takes less time than hearing them.
    """

    def __init__(
        self,
        session: Session,
        conversation: Conversation,
        clock: LeapingClock,
        stove: Stove,
        tell: Callable[[str], None],
        *,
        speed: float = 60.0,
        read: bool = False,
    ) -> None:
        self._session = session
        self._conversation = conversation
        self._clock = clock
        self._stove = stove
        self._tell = tell
        self._speed = max(1.0, speed)
        self._counted = len(conversation.talk.history)
        self._calm_until = 0.0
        self._unreported_t: float | None = None
        self._asked: object = None
        self._shown: set[str] = set()
        self._last = clock.now().elapsed
        self.tally = Tally()
        self._letters_per_s = _READ_PER_S if read else _SPOKEN_PER_S
        session.inbox = PracticeInbox(self.heard)

    def run(self) -> None:
        """Begin, and go on until the load is closed or given up, or the keyboard ends."""
        self.begin()
        while not self.over and self._session.step():
            self.look()

    def begin(self) -> None:
        """Say that it is practice, before anything else can be taken for real."""
        self._tell(self._say("hello", attention=self._conversation.talk.profile.attention))
        self._session.begin()

    @property
    def inbox(self) -> Inbox:
        """Where what is heard and typed is put."""
        return self._session.inbox

    def listen_with(self, ear: Ear) -> None:
        """Give the session its ear."""
        self._session.ear = ear

    @property
    def over(self) -> bool:
        """True once there was a load and none is open any more."""
        kitchen = self._conversation.talk.kitchen
        return bool(kitchen.loads) and not kitchen.open_loads

    def said(self, text: str) -> None:
        """Leave time to hear or read what was said before time leaps on."""
        now = self._session.t
        self._calm_until = max(self._calm_until, now) + _BREATH_S + len(text) / self._letters_per_s

    def heard(self) -> None:
        """The cook has spoken, and so has heard what was said before."""
        self._calm_until = 0.0

    def look(self) -> None:
        """See what is new, and let time leap if nobody is waited for. Call it between two steps of the session."""
        talk, t = self._conversation.talk, self._session.t
        fresh = talk.history[self._counted :]
        self._counted = len(talk.history)
        if fresh:
            self._unreported_t, self._shown = None, set()
        self.tally.record(fresh, talk.kitchen)
        for sight in (*self._asked_for(), *self._stove.look(talk.kitchen, t)):
            self.tally.saw(sight, t)
            self._unreported_t = t
            number = self._conversation.talk.language.number
            values = {name: number(value) for name, value in sight.values.items()}
            text = self._say("seen", sight=self._say(sight.key, **values))
            if text not in self._shown:  # it was asked for just after it could be seen anyway
                self._tell(text)
            self._shown.add(text)
        self._leap()

    def _asked_for(self) -> tuple[Sight, ...]:
        """Show the gauge when its reading was just asked for."""
        question, kitchen = self._conversation.talk.question, self._conversation.talk.kitchen
        load = kitchen.load(question.load) if question is not None and question.of_stove else None
        if question is None or load is None or question == self._asked:
            return ()
        self._asked = question
        return (self._stove.now(load),)

    def _leap(self) -> None:
        now = self._clock.now().elapsed
        passed = min(max(0.0, now - self._last), _LONGEST_TURN_S)
        coming = self._conversation.next_t()
        if self._may_leap():
            resting = all(load.stage is Stage.REST for load in self._conversation.talk.kitchen.open_loads)
            ahead = passed * (self._speed - 1.0) * (_RESTS_FASTER if resting else 1.0)
            self._clock.leap(ahead if coming is None else min(ahead, max(0.0, coming - self._session.t)))
        self._last = self._clock.now().elapsed

    def _may_leap(self) -> bool:
        talk, t = self._conversation.talk, self._session.t
        asked = talk.question is not None and talk.question.pressing
        waits = self._unreported_t is not None and t < self._unreported_t + PATIENCE_S
        theirs = not talk.kitchen.open_loads or any(map(_waits_for_the_cook, talk.kitchen.open_loads))
        called = any(call.name != _GOES_ON for call in talk.kitchen.calls)
        return not (asked or waits or theirs or called or t < self._calm_until)

    def _say(self, key: str, **values: str) -> str:
        return self._conversation.talk.language.say("practice_report", key, values)


def _waits_for_the_cook(load: Load) -> bool:
    """True if nothing goes on by itself: in a kitchen the cook takes the minutes needed."""
    return load.stage in _COOKS_STAGES or load.step in _COOKS_STEPS
