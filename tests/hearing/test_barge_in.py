"""The barge-in worker beside speaker and microphone: correct alignment of its inputs, and nobody waits for it."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

import numpy as np
import pytest

from kitchenvoice.hearing import BargeIn
from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.ports import EAR_RATE_HZ, Samples

LIMIT_S = 60.0


class HandEar:
    """An ear that records what it hears and returns what it is told to."""

    def __init__(self) -> None:
        self.calls: list[str] = []
        self.pairs: list[tuple[Samples, Samples]] = []
        self.says: queue.SimpleQueue[str] = queue.SimpleQueue()
        self.fail = False

    def begin(self, text: str) -> None:
        self.calls.append(text)
        if self.fail:
            raise RuntimeError("broken")

    def end(self) -> None:
        self.calls.append("end")

    def doubt(self) -> None:
        self.calls.append("doubt")

    def hear(self, heard: Samples, played: Samples) -> str | None:
        self.pairs.append((heard, played))
        return None if self.says.empty() else self.says.get()


class Table:
    """A barge-in with its threads' calls made by hand, on a simulated clock."""

    def __init__(self) -> None:
        self.t = 100.0
        self.ears: list[HandEar] = []
        self.obeyed: queue.SimpleQueue[str] = queue.SimpleQueue()
        self.barge_in = BargeIn(self._make, self.obeyed.put, now=lambda: self.t)  # type: ignore[arg-type]
        self.noise = np.random.default_rng(2).integers(-6000, 6000, 10 * EAR_RATE_HZ).astype(np.int16)
        self.count = 0

    def _make(self) -> HandEar:
        self.ears.append(HandEar())
        return self.ears[-1]

    def speak(self, seconds: float, delay_s: float, block: int = HOP) -> None:
        """Play noise and hear it with this delay."""
        late = round(delay_s * EAR_RATE_HZ)
        for _ in range(round(seconds * EAR_RATE_HZ / block)):
            here = self.count
            self.barge_in.note_played(self.noise[here : here + block], EAR_RATE_HZ, self.t)
            heard = self.noise[max(0, here - late) : here - late + block] if here >= late else np.zeros(block, np.int16)
            self.barge_in.note_heard(heard)
            self.count += block
            self.t += block / EAR_RATE_HZ

    def caught_up(self) -> None:
        """Wait until the worker has emptied its queue."""
        self.barge_in.saying(f"mark {self.count}")
        wait_until(lambda: bool(self.ears) and f"mark {self.count}" in self.ears[-1].calls)

    def done(self) -> HandEar:
        """Stop speaking; return the ear after it was told."""
        self.barge_in.while_speaking(False)
        self.caught_up()
        return self.ears[-1]


def wait_until(condition: Callable[[], bool]) -> None:
    pause = threading.Event()
    for _ in range(round(LIMIT_S / 0.01)):
        if condition():
            return
        pause.wait(0.01)
    raise AssertionError("it never came to that")


@pytest.fixture
def table() -> Table:
    made = Table()
    made.barge_in.start()
    return made


def lag(pairs: list[tuple[Samples, Samples]]) -> float:
    """Return the lag of the microphone behind the playback in seconds."""
    heard = np.concatenate([pair[0] for pair in pairs]).astype(float)
    played = np.concatenate([pair[1] for pair in pairs]).astype(float)
    size = 2 * len(heard)
    likeness = np.fft.irfft(np.fft.rfft(heard, size) * np.fft.rfft(played, size).conj())
    best = int(np.argmax(likeness))
    return (best if best < size // 2 else best - size) / EAR_RATE_HZ


@pytest.mark.parametrize("block", [HOP, 441, 100])
def test_heard_and_played_meet_whatever_the_size_of_the_blocks(table: Table, block: int) -> None:
    table.barge_in.while_speaking(True)
    table.speak(1.5, delay_s=0.03, block=block)
    ear = table.done()
    assert all(len(heard) == len(played) == HOP for heard, played in ear.pairs)
    assert lag(ear.pairs) == pytest.approx(0.03 + 0.05, abs=0.03)


def test_a_delay_that_no_driver_tells_of_is_measured_and_met(table: Table) -> None:
    table.barge_in.while_speaking(True)
    for _ in range(10):
        table.speak(0.5, delay_s=0.4)
        table.caught_up()
    ear = table.done()
    assert ear.calls.count("doubt") <= 2
    assert lag(ear.pairs[-60:]) == pytest.approx(0.05, abs=0.03)


def test_sound_that_an_end_loses_is_met_without_learning_the_room_again(table: Table) -> None:
    table.barge_in.while_speaking(True)
    table.speak(3.5, delay_s=0.03)
    table.caught_up()
    before = lag(table.ears[0].pairs[-60:])
    for _ in range(5):
        table.speak(0.5, delay_s=0.073)
        table.caught_up()
    ear = table.done()
    assert lag(ear.pairs[-40:]) == pytest.approx(before, abs=1e-4)
    assert ear.calls.count("doubt") == 1, "only as the ends were tied"


def test_a_delay_that_creeps_is_left_to_the_filter(table: Table) -> None:
    table.barge_in.while_speaking(True)
    table.speak(3.5, delay_s=0.03)
    table.caught_up()
    before = lag(table.ears[0].pairs[-60:])
    for step in range(1, 11):
        table.speak(0.5, delay_s=0.03 + step * 0.00025)
        table.caught_up()
    assert lag(table.done().pairs[-40:]) == pytest.approx(before + 0.0025, abs=3e-4)


def test_while_we_are_silent_nothing_is_decoded(table: Table) -> None:
    table.speak(1.0, delay_s=0.03)
    table.barge_in.while_speaking(True)
    assert table.done().pairs == []


def test_the_sentence_is_told_before_its_sound_and_the_phrase_is_obeyed(table: Table) -> None:
    table.barge_in.while_speaking(True)
    table.barge_in.saying("Six jars.")
    table.speak(0.2, delay_s=0.03)
    table.caught_up()
    table.ears[0].says.put("stop talking")
    table.speak(0.2, delay_s=0.03)
    assert table.obeyed.get(timeout=LIMIT_S) == "stop talking"
    assert table.done().calls[:2] == ["end", "Six jars."], "in the order in which it came"


def test_an_ear_that_fails_is_made_anew_and_nobody_else_notices(table: Table, caplog: pytest.LogCaptureFixture) -> None:
    table.barge_in.while_speaking(True)
    table.caught_up()
    table.ears[0].fail = True
    table.barge_in.saying("Six jars.")
    table.barge_in.while_speaking(True)
    table.speak(0.3, delay_s=0.03)
    ear = table.done()
    assert len(table.ears) == 2
    assert ear.pairs
    assert "broken" in caplog.text


def test_a_worker_that_hangs_holds_nobody() -> None:
    hold = threading.Event()

    def hangs() -> HandEar:
        hold.wait(LIMIT_S)
        return HandEar()

    table = Table()
    make: Callable[[], HandEar] = hangs
    table.barge_in = BargeIn(make, table.obeyed.put, now=lambda: table.t)  # type: ignore[arg-type]
    table.barge_in.start()
    table.barge_in.while_speaking(True)
    done = threading.Event()

    def others() -> None:
        table.speak(9.9, delay_s=0.03, block=160)
        table.barge_in.close()
        done.set()

    threading.Thread(target=others, daemon=True).start()
    assert done.wait(LIMIT_S), "somebody waits for the stop words' worker"
    hold.set()
