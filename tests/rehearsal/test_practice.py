"""A practice day on a simulated clock: what is seen, what goes wrong, how fast it is said; none of it stays."""

from __future__ import annotations

import itertools
import json
import os
import queue
import random
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from kitchenvoice.app.session import Item, Session, Typed
from kitchenvoice.cli import practice
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.language import load_language
from kitchenvoice.ports import Announcement, Utterance
from kitchenvoice.rehearsal.practice_day import LeapingClock, PracticeDay, PracticeMouth
from kitchenvoice.rehearsal.practice_report import facts_of, report
from kitchenvoice.rehearsal.practice_stove import FAULTS, Stove
from kitchenvoice.rehearsal.practice_tally import Incident, Tally
from kitchenvoice.terminal import Screen
from kitchenvoice.testing.fake_log import MemoryLog

MORNING = 1_786_521_600.0


class Pupil:
    """A cook who does what the day asks for, some seconds after each call; what is left out can be chosen."""

    def __init__(self, book: GrammarBook, *, faults: tuple[str, ...] = FAULTS, blind: tuple[str, ...] = ()) -> None:
        self.real = SimulatedClock(MORNING)
        self.clock = LeapingClock(self.real)
        self.log = MemoryLog()
        self.conversation = Conversation(book, PRACTICE_KITCHEN, pantry=self.log)
        self.said: list[str] = []
        self.spoken: list[Announcement] = []
        self.heard: list[str] = []
        self.blind = blind
        self.mouth = PracticeMouth(self, lambda text: f"Practice. {text}", lambda text: self.day.said(text))
        self.session = Session(self.conversation, self.log, self.clock, self.mouth)
        stove = Stove(random.Random(5), faults)
        self.day = PracticeDay(self.session, self.conversation, self.clock, stove, self.told, read=True)
        self.session.inbox = self.inbox = Waiting(self.real, self.day.heard)

    def say(self, announcement: Announcement) -> None:
        self.spoken.append(announcement)
        self.react(announcement.text)

    def obey(self, control: Control) -> None:
        pass

    def told(self, text: str) -> None:
        self.said.append(text)
        self.react(text)

    def type(self, *lines: str, after: float = 4.0) -> None:
        for line in lines:
            self.inbox.later(after, Typed(line))

    def react(self, text: str) -> None:
        self.heard.append(text)
        for pattern, answers in REACTIONS:
            found = re.search(pattern, text)
            if found:
                self.type(*(answer.format(*found.groups()) for answer in answers if answer not in self.blind))
                return

    @property
    def kinds(self) -> list[str]:
        return [event.kind for event in self.log.read()]


class Waiting(queue.SimpleQueue[Item]):
    """An inbox in which waiting moves the real clock and takes no time; things can be put into it for later."""

    def __init__(self, clock: SimulatedClock, heard: Callable[[], None]) -> None:
        self._clock, self._heard = clock, heard
        self._later: list[tuple[float, Item]] = []

    def __new__(cls, *_: object) -> Waiting:
        return super().__new__(cls)

    def later(self, seconds: float, item: Item) -> None:
        last = max((t for t, _ in self._later), default=0.0)
        self._later.append((max(self._clock.now().elapsed + seconds, last + 1.0), item))

    def get(self, block: bool = True, timeout: float | None = None) -> Item:
        now = self._clock.now().elapsed
        due = next((each for each in self._later if each[0] <= now), None)
        if due is not None:
            self._later.remove(due)
            self._heard()
            return due[1]
        self._clock.advance(0.2)
        raise queue.Empty


REACTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"This is practice", ("start seven quarts of green beans raw pack",)),
    (r"Is that right\?", ("yes",)),
    (r"is started", ("seven jars packed", "jars are in", "lid is locked")),
    (r"You see: .*steady", ("steam is steady",)),
    (r"steam has stopped", ("steam stopped",)),
    (r"gauge reads (\w+)", ("pressure is {0}",)),
    (r"venting are done", ("weight is on",)),
    (r"hold is done", ("heat is off",)),
    (r"You see: The pressure is at zero", ("gauge is at zero",)),
    (r"ten minutes are up", ("lid is off",)),
    (r"lies broken", ("a jar broke",)),
    (r"left in the load", ("six jars are out",)),
    (r"Lift the jars", ("seven jars are out",)),
    (r"(\w+) are down for good, and one springs back", ("{0} sealed one failed",)),
    (r"Logged: one in the refrigerator", ("close the load",)),
    (r"Logged: \w+ sealed, one failed", ("put it in the refrigerator",)),
)


def run(pupil: Pupil, hours: float = 0.6) -> Pupil:
    """Let at most so much real time pass."""
    pupil.day.begin()
    while not pupil.day.over and pupil.real.now().elapsed < hours * 3600.0:
        assert pupil.session.step()
        pupil.day.look()
    return pupil


@pytest.fixture(scope="module")
def attentive(book: GrammarBook) -> Pupil:
    """A day in which everything was noticed."""
    return run(Pupil(book))


def test_a_whole_day_takes_minutes_and_everything_that_went_wrong_is_noticed(attentive: Pupil) -> None:
    assert attentive.day.over
    assert attentive.real.now().elapsed < 20 * 60
    assert attentive.clock.now().elapsed > 12 * 3600
    assert {trouble.fault for trouble in attentive.day.tally.troubles} == set(FAULTS)
    assert attentive.day.tally.missed == []
    for trouble in attentive.day.tally.troubles:
        assert trouble.after_s is not None
        assert 3.0 <= trouble.after_s <= 30.0, trouble


def test_time_does_not_leap_while_the_cook_is_asked_or_called(attentive: Pupil) -> None:
    answered = [call.answered_t - call.t for call in attentive.day.tally.calls.values() if call.answered_t is not None]
    assert len(answered) >= 3
    assert max(answered) < 30.0


def test_the_hold_starts_over_as_on_a_real_day(attentive: Pupil) -> None:
    kinds = attentive.kinds
    assert kinds.index("steam_stopped") < kinds.index("hold_started") < kinds.index("hold_lost")
    assert kinds.index("hold_lost") < kinds.index("hold_restarted") < kinds.index("hold_done")


def test_nothing_is_shown_twice_in_a_row(attentive: Pupil) -> None:
    assert not [text for text, after in itertools.pairwise(attentive.heard) if text == after]


def test_the_report_tells_facts_and_that_nothing_is_kept(attentive: Pupil) -> None:
    text = report(load_language("en"), attentive.day.tally)
    assert text.startswith("Practice is over.")
    assert text.count("You said so after") == len(FAULTS)
    assert "answered after" in text
    assert text.endswith("Nothing of it is in your record.")


def test_what_was_said_within_half_a_second_was_said_at_once() -> None:
    tally = Tally()
    tally.troubles.append(Incident("broken_jar", 1, MORNING, MORNING + 0.2))
    assert "A jar broke. You said so at once." in report(load_language("en"), tally)


def test_every_call_and_every_sight_says_that_it_is_practice(attentive: Pupil) -> None:
    calls = [each for each in attentive.spoken if each.tone in ("timer", "alarm")]
    assert calls
    assert all(each.text.startswith("Practice. ") for each in calls)
    assert all(text.startswith(("This is practice", "Practice. You see: ")) for text in attentive.said)
    assert attentive.said[0].startswith("This is practice. Nothing is hot")


@pytest.mark.parametrize(
    ("blind", "fault"),
    [("steam stopped", "vent_interrupted"), ("a jar broke", "broken_jar"), ("{0} sealed one failed", "failed_seal")],
)
def test_what_the_cook_does_not_say_is_told_as_missed(book: GrammarBook, blind: str, fault: str) -> None:
    pupil = run(Pupil(book, faults=(fault,), blind=(blind,)), hours=0.4)
    assert [trouble.fault for trouble in pupil.day.tally.missed] == [fault]
    (fact, *_) = facts_of(load_language("en"), pupil.day.tally)
    assert fact.endswith("it wasn't reported.")


def test_a_pressure_that_is_reported_higher_than_it_was_to_be_seen_is_told(book: GrammarBook) -> None:
    pupil = Pupil(book, faults=("pressure_drop",))
    react = pupil.react
    pupil.react = lambda text: react(text.replace("nine", "eleven"))  # type: ignore[method-assign]
    run(pupil, hours=0.4)
    (fact, *_) = facts_of(load_language("en"), pupil.day.tally)
    assert fact == "The pressure or the boil was lost, and you reported that all was well."


def test_on_a_calm_day_nothing_goes_wrong(book: GrammarBook) -> None:
    pupil = run(Pupil(book, faults=()), hours=0.1)
    assert next(facts_of(load_language("en"), pupil.day.tally)) == "Nothing went wrong before the end."


def test_the_same_seed_brings_the_same_day() -> None:
    one, other = (Stove(random.Random(7)) for _ in range(2))
    assert (one._vent_at, one._drop_at) == (other._vent_at, other._drop_at)


def test_the_real_kitchen_is_only_read(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    text = 'altitude_ft = 5200\n[[canner]]\ngauge = "weighted"\n'
    (home / "profile.toml").write_text(text)
    done = subprocess.run(
        [sys.executable, "-m", "kitchenvoice", "practice", "--typed", "--json"],
        input="change the speech level\nkeep it short\nset a timer for one minute\n",
        capture_output=True, text=True, check=False, timeout=100,
        env=os.environ | {"KITCHENVOICE_HOME": str(home), "TMPDIR": str(tmp_path)},
    )  # fmt: skip
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert (done.returncode, done.stderr) == (0, "")
    assert all(line["practice"] is True for line in lines)
    assert "5200 ft" in lines[0]["text"]
    assert any(line["who"] == "kitchenvoice" and "Timer set" in (line["text"] or "") for line in lines)
    assert any("control D, ends it." in (line["text"] or "") for line in lines)
    assert lines[-1]["text"].startswith("Practice is over.")
    assert [path.name for path in home.iterdir()] == ["profile.toml"]
    assert (home / "profile.toml").read_text() == text
    assert [path.name for path in tmp_path.iterdir()] == ["home"]


def test_a_day_of_practice_is_in_the_language_of_the_kitchen(tmp_path: Path) -> None:
    (tmp_path / "profile.toml").write_text('altitude_ft = 900\nlanguage = "de"\n[[canner]]\ngauge = "weighted"\n')
    done = subprocess.run(
        [sys.executable, "-m", "kitchenvoice", "practice", "--typed", "--json"],
        input="stell eine uhr auf zehn minuten\n", capture_output=True, text=True, check=False, timeout=100,
        env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path)},
    )  # fmt: skip
    heard = [json.loads(line) for line in done.stdout.splitlines() if '"heard"' in line]
    assert (done.returncode, [line["event"] for line in heard]) == (0, ["timer_start"])


def test_with_the_heat_off_no_gauge_comes_up(book: GrammarBook) -> None:
    """It comes up again a while after the heat is on, and who looks meanwhile sees it below."""
    talked, stove, t = Conversation(book, PRACTICE_KITCHEN), Stove(random.Random(5), ()), MORNING
    told = ["start seven quarts of green beans raw pack", "yes", "seven jars packed", "jars are in", "lid is locked"]
    for line in (*told, "heat is on", "steam is steady", 601, "weight is on", "pressure is eleven", 60, "heat is off"):
        t += line if isinstance(line, int) else 2
        talked.hear(Utterance((line,)), t, typed=True) if isinstance(line, str) else talked.tick(t)
        stove.look(talked.talk.kitchen, t)
    for _ in range(20):
        t += 30
        talked.tick(t)
        assert stove.look(talked.talk.kitchen, t) == ()
    (load,) = talked.talk.kitchen.open_loads
    assert stove.now(load).values["psi"] < 11
    talked.hear(Utterance(("heat is on",)), t, typed=True)
    assert stove.look(talked.talk.kitchen, t + 60) == ()
    (sight,) = stove.look(talked.talk.kitchen, t + 121)
    assert sight.values["psi"] == 11


def test_numbers_are_shown_as_figures_as_on_a_real_day(capsys: pytest.CaptureFixture[str]) -> None:
    screen = Screen(False)
    show = practice._show(screen, load_language("en"))
    show("heard", "start seven quarts", None)
    show("kitchenvoice", "Hold twenty five minutes.", None)
    screen.close()
    assert capsys.readouterr().out == "practice > start 7 quarts   (not taken)\npractice   Hold 25 minutes.\n"
