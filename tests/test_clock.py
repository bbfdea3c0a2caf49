"""The system clock and the simulated one."""

from __future__ import annotations

import os
import queue
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.app.session import Item, Session, Typed
from kitchenvoice.clock import SimulatedClock, SystemClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Announcement
from kitchenvoice.testing.fake_log import MemoryLog


def test_the_real_clock_never_steps_back_and_names_its_boot() -> None:
    clock = SystemClock()
    moments = [clock.now() for _ in range(1000)]
    elapsed = [moment.elapsed for moment in moments]
    assert elapsed == sorted(elapsed)
    assert {moment.boot for moment in moments} == {SystemClock().now().boot}
    assert moments[0].utc > 1_700_000_000


def test_a_simulated_clock_moves_only_when_told() -> None:
    clock = SimulatedClock(1000.0)
    assert clock.now() == clock.now()
    clock.advance(2.5)
    assert (clock.now().utc, clock.now().elapsed) == (1002.5, 2.5)
    with pytest.raises(ValueError, match="runs forward"):
        clock.advance(-1.0)


def test_a_step_of_the_wall_clock_leaves_elapsed_time_alone() -> None:
    clock = SimulatedClock(1000.0)
    clock.step_wall_clock(-400.0)
    assert (clock.now().utc, clock.now().elapsed) == (600.0, 0.0)


def test_a_boot_starts_elapsed_time_anew() -> None:
    clock = SimulatedClock(1000.0)
    clock.advance(50.0)
    clock.reboot("two", off_s=7.0)
    assert (clock.now().utc, clock.now().elapsed, clock.now().boot) == (1057.0, 0.0, "two")


def test_summer_time_and_the_zone_are_nothing_to_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both clocks count seconds; time zones matter only for printing."""
    clock, read = SystemClock(), []
    for zone in ("UTC", "Europe/Berlin", "Pacific/Chatham"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        read.append(clock.now())
    monkeypatch.undo()
    time.tzset()
    assert 0 <= read[-1].elapsed - read[0].elapsed < 5
    assert abs((read[-1].utc - read[0].utc) - (read[-1].elapsed - read[0].elapsed)) < 1


# ---------------------------------------------------------------- clock faults on a canning day


class _Waiting(queue.SimpleQueue[Item]):
    """An inbox in which waiting moves the clock and takes no time; the machine may be suspended meanwhile."""

    def __init__(self, clock: SimulatedClock) -> None:
        self._clock = clock
        self.sleep_s = 0.0

    def get(self, block: bool = True, timeout: float | None = None) -> Item:
        try:
            return super().get_nowait()
        except queue.Empty:
            self._clock.advance((timeout or 0.0) + self.sleep_s)
            self.sleep_s = 0.0
            raise


class _Ears:
    """A mouth that records what is said, with the true time."""

    def __init__(self, day: _Day) -> None:
        self._day = day

    def say(self, announcement: Announcement) -> None:
        self._day.said.append((self._day.true_s, announcement))

    def obey(self, control: Control) -> None:
        pass


@dataclass
class _Day:
    """A session with manipulated clocks, beside the true time."""

    book: GrammarBook
    home: Path
    clock: SimulatedClock = field(default_factory=lambda: SimulatedClock(1_786_521_600.0))
    log: MemoryLog = field(default_factory=MemoryLog)
    said: list[tuple[float, Announcement]] = field(default_factory=list)
    lost_s: float = 0.0
    boots: int = 0

    @property
    def true_s(self) -> float:
        return self.clock.now().elapsed + self.lost_s

    def start(self) -> None:
        history = tuple(self.log.read())
        numbers = {"last_seq": self.log.last_seq, "last_load": self.log.last_load}
        conversation = Conversation(self.book, PRACTICE_KITCHEN, history, pantry=self.log, **numbers)
        last = self.log.last_moment
        self.session = Session(conversation, self.log, self.clock, _Ears(self), home=self.home, last=last)
        self.inbox = self.session.inbox = _Waiting(self.clock)
        self.session.begin()
        self.conversation = conversation

    def hear(self, words: str) -> None:
        self.inbox.put(Typed(words))
        self.session.step()

    def run(self, seconds: float) -> None:
        until = self.clock.now().elapsed + seconds
        while self.clock.now().elapsed < until:
            self.session.step()

    def suspend(self, seconds: float) -> None:
        self.inbox.sleep_s = seconds
        self.session.step()

    def step(self, seconds: float) -> None:
        self.clock.step_wall_clock(seconds)

    def cut_off(self, seconds: float) -> None:
        """The program dies; the machine stays on."""
        self.clock.advance(seconds)
        self.start()

    def power_cut(self, seconds: float, wall_kept: bool) -> None:
        self.lost_s += self.clock.now().elapsed + seconds
        self.boots += 1
        self.clock.reboot(f"boot {self.boots}", seconds, wall_kept=wall_kept)
        self.start()


_SECONDS = st.floats(1, 900)
_HAPPENS = st.one_of(
    st.tuples(st.just("run"), st.floats(1, 20)),
    st.tuples(st.just("suspend"), _SECONDS),
    st.tuples(st.just("step"), st.one_of(st.floats(-2, 2), st.sampled_from([3600.0, -3600.0]), st.floats(-9e5, 9e5))),
    st.tuples(st.just("cut_off"), _SECONDS),
)
_MINUTES = 30


def _day(book: GrammarBook, folder: str) -> _Day:
    day = _Day(book, Path(folder))
    day.start()
    day.run(3)
    day.hear("set a timer for thirty minutes")
    assert [timer.seconds for timer in day.conversation.talk.kitchen.timers] == [60 * _MINUTES]
    return day


def _left_s(day: _Day) -> float | None:
    timers = day.conversation.talk.kitchen.timers
    return timers[0].left_s(day.session.t) if timers else None


@settings(max_examples=25, deadline=None)
@given(happenings=st.lists(_HAPPENS, max_size=6))
def test_a_timer_is_true_to_a_second_whatever_is_done_to_the_clock_of_a_machine_that_stays_on(
    book: GrammarBook, happenings: list[tuple[str, float]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        day = _day(book, folder)
        due_s = day.true_s + 60 * _MINUTES
        for name, value in happenings:
            getattr(day, name)(value)
            left_s = _left_s(day)
            if left_s is None:
                assert day.true_s >= due_s - 1
            else:
                assert abs(left_s - (due_s - day.true_s)) <= 1
        off_s = max(0.0, day.true_s - due_s)
        if (left_s := _left_s(day)) is not None:
            day.suspend(max(0.0, left_s - 3))
            day.run(6)
            off_s = 0.0
        called_s = next(at for at, call in day.said if (call.key or "").startswith("timer_done"))
        assert due_s - 1 <= called_s <= due_s + 1 + off_s


@settings(max_examples=12, deadline=None)
@given(off_s=st.floats(0, 1500), step_s=st.sampled_from([0.0, 3600.0, -3600.0, 86_400.0]), kept=st.booleans())
def test_after_a_power_cut_a_timer_is_true_to_a_second_or_it_says_that_it_cannot_know(
    book: GrammarBook, off_s: float, step_s: float, kept: bool
) -> None:
    """A person sets the clock while the program runs; right or wrong, it goes on."""
    with tempfile.TemporaryDirectory() as folder:
        day = _day(book, folder)
        due_s = day.true_s + 60 * _MINUTES
        day.step(step_s)
        day.run(5)
        day.power_cut(off_s, wall_kept=kept)
        left_s = _left_s(day)
        words = " ".join(told.text for at, told in day.said if at == day.true_s)
        if kept:
            assert left_s is not None
            assert abs(left_s - (due_s - day.true_s)) <= 1
        else:
            assert "can't tell for how long" in words
            day.hear("how long is left on the timer")
            assert "t most " in day.said[-1][1].text


def test_a_clock_that_was_set_back_over_a_power_cut_is_noticed(book: GrammarBook, tmp_path: Path) -> None:
    day = _day(book, os.fspath(tmp_path))
    day.run(30)
    day.clock.step_wall_clock(-86_400.0)
    day.power_cut(60.0, wall_kept=True)
    assert "can't tell for how long" in " ".join(told.text for _, told in day.said)
