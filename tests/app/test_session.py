"""The loop: time, record, trouble, in the order in which things come."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from kitchenvoice.app.heartbeat import Heartbeat
from kitchenvoice.app.session import Chosen, Pressed, Session, Trouble, Typed
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.errors import LogbookError
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import load_profile
from kitchenvoice.ports import Announcement, Event, ListeningGrammar, Moment, Utterance
from kitchenvoice.testing.fake_log import MemoryLog
from kitchenvoice.testing.simulated_kitchen import DAY_START_UTC, SimulatedKitchen

DISK_FULL = LogbookError("The disk is full, so nothing can be recorded. Free some space; recording goes on by itself.")


class NoteBook:
    """A mouth that writes down what it is to say and do."""

    def __init__(self) -> None:
        self.said: list[Announcement] = []
        self.obeyed: list[Control] = []

    def say(self, announcement: Announcement) -> None:
        self.said.append(announcement)

    def obey(self, control: Control) -> None:
        self.obeyed.append(control)

    @property
    def text(self) -> str:
        return " / ".join(each.text for each in self.said)


class Kitchen(SimulatedKitchen):
    """A session with everything around it made up, which can be cut off and started again."""

    log: MemoryLog

    def __init__(self, book: GrammarBook, home: Path) -> None:
        self.mouth = NoteBook()
        self.shown: list[tuple[str, str, str | None]] = []
        super().__init__(
            book, PRACTICE_KITCHEN, home=home, mouth=self.mouth, show=lambda *line: self.shown.append(line)
        )
        self.begin()

    def boot(self) -> None:
        self.mouth.said.clear()
        self.begin()

    @property
    def kinds(self) -> list[str]:
        return [event.kind for event in self.log.read()]

    def hold(self) -> None:
        """Bring a load of quarts into its hold."""
        self.type("start seven quarts of green beans raw pack", "yes", "seven jars are in", "lid is locked")
        self.type("steam is steady")
        self.wait(605)
        self.type("weight is on", "pressure is eleven")
        assert "hold_started" in self.kinds, self.mouth.text


@pytest.fixture
def kitchen(book: GrammarBook, tmp_path: Path) -> Kitchen:
    return Kitchen(book, tmp_path)


# ---------------------------------------------------------------- time


def test_a_hold_lasts_its_minutes_whatever_is_done_to_the_wall_clock(kitchen: Kitchen) -> None:
    kitchen.hold()
    began = kitchen.clock.now().elapsed
    kitchen.wait(600)
    kitchen.clock.step_wall_clock(7200.0)
    kitchen.wait(600)
    kitchen.clock.step_wall_clock(-90_000.0)
    while "hold_done" not in kitchen.kinds:
        kitchen.wait(1.0)
        assert kitchen.clock.now().elapsed - began < 1510
    assert kitchen.clock.now().elapsed - began >= 1500


def test_a_call_is_made_when_it_is_due_not_at_the_next_look(kitchen: Kitchen) -> None:
    kitchen.hold()
    started = next(event.t for event in kitchen.log.read() if event.kind == "hold_started")
    kitchen.wait(1490)
    assert "hold_done" not in kitchen.kinds
    while "hold_done" not in kitchen.kinds:
        kitchen.wait(0.1)
    assert kitchen.session.t - started == pytest.approx(1500.0, abs=0.1)


@pytest.mark.parametrize(
    "cut",
    [
        lambda clock: clock.advance(240.0),
        lambda clock: clock.reboot("two", off_s=240.0),
        lambda clock: (clock.advance(240.0), clock.step_wall_clock(-36_000.0)),
        lambda clock: (clock.advance(240.0), clock.step_wall_clock(36_000.0)),
    ],
    ids=["killed", "power cut", "wall clock set back", "wall clock set on"],
)
def test_after_four_minutes_off_it_says_so_and_asks_for_the_pressure(
    kitchen: Kitchen, cut: Callable[[SimulatedClock], object]
) -> None:
    kitchen.hold()
    kitchen.wait(120)
    t = kitchen.session.t
    cut(kitchen.clock)
    kitchen.boot()
    assert kitchen.session.t == pytest.approx(t + 240, abs=3.0)
    assert "off for four minutes" in kitchen.mouth.text
    assert ("By this machine's clock" in kitchen.mouth.text) == (kitchen.clock.now().boot == "two")
    assert "Was the pressure at eleven" in kitchen.mouth.text
    assert kitchen.mouth.text.endswith("all the time?")
    kitchen.type("yes")
    left_s = 1500 - 120 - 240
    kitchen.wait(left_s - 20)
    assert "hold_done" not in kitchen.kinds
    kitchen.wait(40)
    assert "hold_done" in kitchen.kinds


@pytest.mark.parametrize(
    ("off_s", "told"), [(5.0, "clock I was off for five seconds"), (0.5, "can't tell for how long")]
)
def test_a_new_boot_is_told_and_asked_about_however_short_the_clock_makes_it(
    kitchen: Kitchen, off_s: float, told: str
) -> None:
    kitchen.hold()
    kitchen.clock.reboot("two", off_s=off_s)
    kitchen.boot()
    assert told in kitchen.mouth.text
    assert kitchen.mouth.text.endswith("all the time?")


def test_where_the_length_of_the_gap_is_unknown_no_number_is_said(kitchen: Kitchen) -> None:
    kitchen.hold()
    kitchen.clock.reboot("two", off_s=60.0)
    kitchen.clock.step_wall_clock(-1e6)
    t = kitchen.session.t
    kitchen.boot()
    assert kitchen.session.t >= t - 3.0
    assert "can't tell for how long" in kitchen.mouth.text
    assert "seconds" not in kitchen.mouth.text
    assert kitchen.mouth.text.endswith("all the time?")


def test_a_gap_of_seconds_is_not_worth_a_question(kitchen: Kitchen) -> None:
    kitchen.hold()
    kitchen.wait(20)
    kitchen.clock.advance(6.0)
    kitchen.boot()
    assert "?" not in kitchen.mouth.text
    assert [event.data["off_s"] for event in kitchen.log.read() if event.kind == "session_start"] == [0.0, 0.0]
    kitchen.wait(1500)
    assert "hold_done" in kitchen.kinds


def test_a_machine_that_slept_in_mid_hold_asks_as_after_a_cut(kitchen: Kitchen) -> None:
    kitchen.hold()
    kitchen.mouth.said.clear()
    kitchen.sleep(1800.0)
    assert "hold_done" not in kitchen.kinds
    assert "off for thirty minutes" in kitchen.mouth.text
    assert "all the time?" in kitchen.mouth.text


def test_a_machine_that_stood_still_while_it_wrote_asks_too(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen.hold()
    kitchen.mouth.said.clear()
    append = kitchen.log.append

    def frozen(*given: Any) -> None:
        kitchen.clock.advance(1800.0 if not kitchen.mouth.said else 0.0)
        append(*given)

    monkeypatch.setattr(kitchen.log, "append", frozen)
    kitchen.type("set a timer for an hour")
    assert "hold_done" not in kitchen.kinds
    assert "off for thirty minutes" in kitchen.mouth.text
    assert "all the time?" in kitchen.mouth.text


def test_the_heartbeat_tells_when_it_was_last_alive(kitchen: Kitchen) -> None:
    kitchen.wait(60)
    last = Heartbeat(kitchen.home).last()
    assert last is not None
    assert kitchen.session.t - last.t <= 2.5
    assert last.moment.elapsed == pytest.approx(kitchen.clock.now().elapsed, abs=2.5)


def test_a_sign_of_life_from_a_year_ahead_ends_no_timer(kitchen: Kitchen) -> None:
    kitchen.hold()
    left = kitchen.session.t
    alive = kitchen.home / "alive.json"
    fields = json.loads(alive.read_text())
    alive.write_text(json.dumps(fields | {"t": fields["t"] + 3e7, "boot": "another"}))
    kitchen.boot()
    assert kitchen.session.t - left < 5.0
    assert "hold_done" not in kitchen.kinds
    assert json.loads(alive.with_name("alive.json.bad").read_text())["boot"] == "another"


# ---------------------------------------------------------------- the record


def test_a_full_disk_is_said_once_guidance_goes_on_and_all_is_written_later(kitchen: Kitchen) -> None:
    kitchen.type("start seven quarts of green beans raw pack")
    kitchen.log.trouble = DISK_FULL
    kitchen.type("yes")
    assert "I can't write the record: The disk is full" in kitchen.mouth.text
    kitchen.type("seven jars are in", "lid is locked", "steam is steady")
    kitchen.wait(605)
    assert "Ten minutes of venting are done" in kitchen.mouth.text
    assert kitchen.mouth.text.count("can't write the record") == 1
    assert "load_start" not in kitchen.kinds
    kitchen.log.trouble = None
    kitchen.wait(6)
    assert "written again" in kitchen.mouth.text
    order = [kitchen.kinds.index(kind) for kind in ("load_start", "jars_in", "lid_locked", "steam_steady", "vent_done")]
    assert order == sorted(order)
    assert [event.seq for event in kitchen.log.read()] == list(range(1, len(kitchen.kinds) + 1))


def test_a_record_that_can_not_be_written_is_tried_every_five_seconds(kitchen: Kitchen) -> None:
    kitchen.log.trouble = DISK_FULL
    kitchen.type("start seven quarts of green beans raw pack", "yes")
    tried: list[float] = []
    append = kitchen.log.append

    def counted(events: Sequence[Event], moment: Moment) -> None:
        tried.append(moment.elapsed)
        append(events, moment)

    kitchen.log.append = counted  # type: ignore[method-assign]
    kitchen.session.longest_wait_s = 0.5  # as in a real kitchen
    kitchen.wait(31)
    pauses = [later - sooner for sooner, later in pairwise(tried)]
    assert len(tried) in (5, 6, 7)
    assert all(5.0 <= pause_s < 6.0 for pause_s in pauses)


def test_what_is_said_is_recorded_first(kitchen: Kitchen) -> None:
    order: list[str] = []
    append, say = kitchen.log.append, kitchen.mouth.say
    kitchen.log.append = lambda events, moment: (append(events, moment), order.append("written"))[0]  # type: ignore[method-assign]
    kitchen.mouth.say = lambda announcement: (say(announcement), order.append("said"))[0]  # type: ignore[method-assign]
    kitchen.type("start seven quarts of green beans raw pack", "yes")
    assert order == ["said", "written", "said"]


def test_each_entry_carries_both_clocks(kitchen: Kitchen) -> None:
    kitchen.wait(30)
    kitchen.type("start seven quarts of green beans raw pack", "yes")
    assert kitchen.log.moments[-1] == Moment(kitchen.clock.now().utc, kitchen.clock.now().elapsed, "simulated")


# ---------------------------------------------------------------- trouble, ends, settings


def test_trouble_with_a_device_is_shown_and_said_if_it_should_be(kitchen: Kitchen) -> None:
    kitchen.mouth.said.clear()
    kitchen.inbox.put(Trouble("The speaker works again."))
    kitchen.inbox.put(Trouble("The microphone is back.", spoken=True))
    kitchen.wait(0.1)
    kitchen.wait(0.1)
    assert [each.text for each in kitchen.mouth.said] == ["The microphone is back."]
    assert [line for line in kitchen.shown if line[0] == "trouble"] == [
        ("trouble", "The speaker works again.", None),
        ("trouble", "The microphone is back.", None),
    ]


def test_a_fault_of_its_own_is_said_and_the_timers_go_on(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    kitchen.hold()
    with monkeypatch.context() as patched:
        patched.setattr(Conversation, "hear", lambda *_, **__: 1 // 0)
        kitchen.type("pressure is eleven", "pressure is eleven")
    assert kitchen.mouth.text.count("went wrong inside me") == 1
    assert "ZeroDivisionError" in caplog.text
    kitchen.wait(1510)
    assert "hold_done" in kitchen.kinds


def test_the_end_of_the_keyboard_ends_the_session(kitchen: Kitchen) -> None:
    kitchen.inbox.put(Typed(None))
    assert not kitchen.session.step()


def test_h22_while_something_runs_an_end_is_wanted_twice(kitchen: Kitchen) -> None:
    kitchen.hold()
    kitchen.inbox.put(Typed(None))
    assert kitchen.session.step()
    assert "Still running: green beans. If I end, nobody calls you." in kitchen.mouth.text
    kitchen.inbox.put(Typed(None))
    assert not kitchen.session.step()


def test_h22_who_cannot_be_put_off_is_told_what_runs(kitchen: Kitchen) -> None:
    kitchen.hold()
    kitchen.inbox.put(Typed(None, final=True))
    assert not kitchen.session.step()
    assert "I end now. Still running: green beans." in kitchen.mouth.text
    assert "then I ask about what had to be watched." in kitchen.mouth.text


def test_the_ear_gets_the_grammar_of_the_moment(kitchen: Kitchen) -> None:
    given: list[ListeningGrammar] = []

    class Ear:
        def listen_for(self, grammar: ListeningGrammar) -> None:
            given.append(grammar)

        def use_other_microphone(self) -> None:
            """Have no other."""

    kitchen.session.ear = Ear()
    kitchen.wait(0.1)
    kitchen.type("start seven quarts of green beans raw pack")
    assert not given[0].is_sentence("yes")
    assert given[-1].is_sentence("yes")


def test_another_microphone_is_kept_and_named(kitchen: Kitchen) -> None:
    kitchen.put(Chosen("Collar Microphone"))
    assert "I listen with another microphone now: Collar Microphone." in kitchen.mouth.text
    assert load_profile(kitchen.home).input_device == "Collar Microphone"
    kitchen.put(Chosen(None))
    assert "so I stay with this one" in kitchen.mouth.text
    kitchen.type("use the other microphone")
    assert "In a typed session there is no microphone." in kitchen.mouth.text


def test_louder_is_kept_in_the_profile(kitchen: Kitchen) -> None:
    kitchen.type("louder")
    assert load_profile(kitchen.home).volume == pytest.approx(0.71)


def test_a_spoken_speech_level_is_kept_in_the_profile(kitchen: Kitchen) -> None:
    kitchen.type("keep it short")
    assert load_profile(kitchen.home).speech_level == "brief"


def test_a_profile_that_cannot_be_written_holds_for_today(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kitchen.session, "_home", kitchen.home / "gone")
    kitchen.session._obey(Control("altitude", {"feet": 2500}))
    assert "holds for today only" in kitchen.mouth.text
    assert kitchen.session._conversation.talk.profile.altitude_ft == 2500


def test_after_a_press_of_the_key_one_utterance_needs_no_wake_phrase(kitchen: Kitchen) -> None:
    def hear(text: str) -> None:
        kitchen.inbox.put(Utterance((text,)))
        kitchen.session.step()

    hear("set a timer for four minutes")
    assert "timer_start" not in kitchen.kinds
    kitchen.inbox.put(Pressed())
    kitchen.session.step()
    assert kitchen.mouth.obeyed[-1] == Control("stop"), "it falls silent to hear"
    hear("set a timer for five minutes")
    hear("set a timer for six minutes")
    assert kitchen.kinds.count("timer_start") == 1
    assert "five minutes" in kitchen.mouth.text.lower()


@pytest.mark.parametrize("word", ["exit", "Quit.", "bye", "goodbye"])
def test_a_farewell_that_is_typed_ends_the_session_of_the_keyboard_and_beside_the_ear_says_how(
    book: GrammarBook, word: str
) -> None:
    def farewell(*lines: str, by_keyboard: bool = True) -> tuple[bool, str]:
        mouth = NoteBook()
        conversation = Conversation(book, PRACTICE_KITCHEN)
        session = Session(conversation, MemoryLog(), SimulatedClock(DAY_START_UTC), mouth, by_keyboard=by_keyboard)
        session.begin()
        for line in lines:
            session.inbox.put(Typed(line))
            assert session.step()
        mouth.said.clear()
        session.inbox.put(Typed(word))
        return session.step(), mouth.text

    assert farewell() == (False, "")
    assert farewell(by_keyboard=False) == (True, "Control C ends it.")
    goes_on, told = farewell("set a timer for six minutes")
    assert goes_on
    assert told.endswith("nobody calls you. Say it once more to end.")
    assert not farewell("set a timer for six minutes", word)[0]


def test_what_was_heard_is_shown_as_it_is_written(book: GrammarBook, tmp_path: Path) -> None:
    kitchen = Kitchen(book, tmp_path)
    kitchen.type("what's the headspace for quarts of crookneck squash")
    assert ("heard", "what's the headspace for quarts of crookneck squash") in [line[:2] for line in kitchen.shown]


def test_what_was_answered_counts_as_taken_and_what_was_missed_does_not(book: GrammarBook, tmp_path: Path) -> None:
    kitchen = Kitchen(book, tmp_path)
    kitchen.type("what is botulism")
    kitchen.type("can i can unicorns")
    kitchen.type("blue shoes and a hat")
    events = {text: event for who, text, event in kitchen.shown if who == "heard"}
    assert list(map(bool, events.values())) == [True, True, False]
