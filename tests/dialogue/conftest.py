"""A cook to talk to, who says a line; the clock moves, and what was answered can be looked at."""

from __future__ import annotations

import copy
from dataclasses import replace

import pytest

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Utterance
from kitchenvoice.process import fold
from kitchenvoice.testing.copied import copied

MORNING = 1_786_521_600.0


class Cook:
    """One conversation driven by lines. `said` and `events` hold everything so far, `turn` the latest."""

    BEANS = ("start seven quarts of green beans raw pack", "> yes")
    CARROTS = ("start nine pints of carrots hot pack in canner two", "> yes")
    SAUCE = ("start seven pints of apple sauce hot pack", "> boiling water", "> yes")
    LOADED = ("seven jars packed", "jars are in")
    VENTING = ("lid is locked", "steam is steady")
    HOLDING = (10.1, "weight is on", "pressure is eleven")

    def __init__(self, book, history=(), pantry=None, **profile):
        self.book, self.t = book, MORNING
        self.conversation = Conversation(book, replace(PRACTICE_KITCHEN, **profile), history, pantry=pantry)
        self.said, self.events, self.turn = [], list(history), None

    @property
    def talk(self):
        return self.conversation.talk

    @property
    def kitchen(self):
        return self.talk.kitchen

    @property
    def load(self):
        return self.kitchen.loads[-1]

    def _take(self, turn):
        self.turn = turn
        self.events.extend(turn.events)
        texts = [each.text for each in turn.announcements]
        self.said.extend(texts)
        return " ".join(texts)

    def bare(self, *alternatives, typed=False, **heard):
        """Say something without calling first."""
        return self._take(self.conversation.hear(Utterance(alternatives, **heard), self.t, typed=typed))

    def say(self, *alternatives, posteriors=()):
        """Say something after the wake phrase."""
        return self.bare(*(f"kitchen voice {text}" for text in alternatives), posteriors=posteriors)

    def run(self, *lines):
        """Say lines; `>` before one means without calling, a number lets minutes pass."""
        answer = ""
        for line in lines:
            if isinstance(line, int | float):
                answer = self.wait(60 * line)
            elif line.startswith(">"):
                answer = self.bare(line[1:].strip())
            else:
                answer = self.say(line)
        return answer

    def to(self, step):
        """Say done to every step of the packing before this one; return what was said last."""
        answer = ""
        while self.load.step != step:
            answer = self.say("done")
            assert self.load.stage == "pack"
        return answer

    def wait(self, seconds):
        """Let the clock run, ticking whenever something is due."""
        end, heard = self.t + seconds, []
        while (coming := self.conversation.next_t()) is not None and coming < end:
            self.t = max(self.t, coming + 0.001)
            heard.append(self._take(self.conversation.tick(self.t)))
        self.t = end
        heard.append(self._take(self.conversation.tick(self.t)))
        return " ".join(text for text in heard if text)

    def cut(self, off_s):
        """Lose everything but the events, and begin again after `off_s`; `None`: nobody knows when."""
        self.t += off_s or 0.0
        last = max((event.seq for event in self.events), default=0)
        self.conversation = Conversation(
            self.book, self.talk.profile, self.events, last_seq=last, last_load=self.talk.last_load
        )
        return self._take(self.conversation.begin(self.t, off_s=off_s))

    def copy(self):
        """Another one in the same state."""
        other = copy.copy(self)
        other.conversation, other.said, other.events = copied(self.conversation), [*self.said], [*self.events]
        return other

    def kinds(self):
        """Names of the events that were not taken back."""
        gone = {event.data["seq"] for event in self.events if event.kind == "scratched"}
        return [x.kind for x in self.events if x.seq not in gone and x.data.get("of") not in gone]

    def replayed(self):
        """The kitchen as its events alone tell it."""
        return fold(self.events)


def typed(cook, *lines):
    """Type lines; return the last answer."""
    answer = ""
    for line in lines:
        answer = cook.bare(line, typed=True)
    return answer


@pytest.fixture(scope="session")
def begun(book):
    """Give a cook who said these lines, which are gone through once."""
    known = {}

    def give(*lines):
        if lines not in known:
            known[lines] = Cook(book)
            known[lines].run(*lines)
        return known[lines].copy()

    give.BEANS, give.LOADED, give.VENTING = Cook.BEANS, Cook.LOADED, Cook.VENTING
    return give


@pytest.fixture
def cook(book):
    return Cook(book)


@pytest.fixture
def make(book):
    return lambda **profile: Cook(book, **profile)


@pytest.fixture
def holding(begun):
    cook = begun(*Cook.BEANS, *Cook.LOADED, *Cook.VENTING, *Cook.HOLDING)
    assert cook.load.holding
    return cook


@pytest.fixture
def cooling(holding):
    holding.run(26, "heat is off", 10)
    return holding


@pytest.fixture
def boiling(begun):
    cook = begun(*Cook.SAUCE, *Cook.LOADED, "done", "heat is on", "full boil")
    assert cook.load.holding
    return cook


@pytest.fixture
def counting(holding):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off", "jars are out", 721)
    assert holding.load.stage == "count"
    return holding


@pytest.fixture
def two(begun):
    return begun(*Cook.BEANS, *Cook.CARROTS)


@pytest.fixture
def weighted(begun):
    loaded = ("nine jars packed", "jars are in", *Cook.VENTING, 10.1, "weight is on", "weight is rocking")
    return begun(*Cook.CARROTS, *loaded)
