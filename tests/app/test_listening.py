"""The ear's workers with a made-up microphone and engine: nothing that hangs or dies holds anything else."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from kitchenvoice.app import listening
from kitchenvoice.app.listening import LiveEar, LiveMouth, SilentMouth
from kitchenvoice.app.session import Chosen, Item, Trouble
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.ports import Announcement, ListeningGrammar, Samples, Utterance
from kitchenvoice.testing.fake_ear import SentenceList

LIMIT_S = 10.0
NEVER = 10**9
BLOCK = np.ones(320, dtype=np.int16)
ANY = SentenceList(["yes"])


class Heard(queue.SimpleQueue[Item]):
    """An inbox that a test reads, with a limit instead of a hang."""

    def next(self) -> Item:
        return self.get(timeout=LIMIT_S)


class HandMicrophone:
    """A microphone whose blocks the test hands in; `None` in its place is a loss, an exception is raised."""

    def __init__(self) -> None:
        self.given: queue.SimpleQueue[Samples | Exception] = queue.SimpleQueue()
        self.opened = threading.Semaphore(0)
        self.closed = threading.Event()

    def blocks(self) -> Iterator[Samples]:
        self.opened.release()
        while not self.closed.is_set():
            try:
                given = self.given.get(timeout=0.05)
            except queue.Empty:
                continue
            if isinstance(given, Exception):
                raise given
            yield given

    def close(self) -> None:
        self.closed.set()

    def wait_opened(self) -> None:
        assert self.opened.acquire(timeout=LIMIT_S), "it was never opened"


@dataclass
class HandListener:
    """A listener that takes each block for an utterance of as many words as the block's first sample tells."""

    grammar: ListeningGrammar
    fail: list[Exception] = field(default_factory=list)
    hold: threading.Event | None = None
    calls: list[str] = field(default_factory=list)
    fed: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(0))

    def feed(self, samples: Samples) -> tuple[Utterance, ...]:
        self.calls.append("feed")
        self.fed.release()
        if self.hold is not None:
            self.hold.wait(LIMIT_S)
        if self.fail:
            raise self.fail.pop()
        return (Utterance((" ".join(["word"] * int(samples[0])),)),)

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        self.calls.append("set_grammar")
        self.grammar = grammar

    def mute(self) -> None:
        self.calls.append("mute")

    def unmute(self) -> None:
        self.calls.append("unmute")


class Bench:
    """A live ear on a table."""

    def __init__(self) -> None:
        self.heard = Heard()
        self.microphone = HandMicrophone()
        self.listeners: list[HandListener] = []
        self.next_hold: threading.Event | None = None
        self.refreshed = threading.Semaphore(0)
        self.around = frozenset({"a sound server"})
        self.open: Callable[[], Any] = lambda: self.microphone
        self.change: Callable[[], str | None] = lambda: None
        self.ear = LiveEar(
            self._make,  # type: ignore[arg-type]
            ANY,
            self.heard,
            lambda: self.open(),
            refresh_devices=self.refreshed.release,
            surroundings=lambda: self.around,
            change_microphone=lambda: self.change(),
        )

    def _make(self, grammar: ListeningGrammar) -> HandListener:
        made = HandListener(grammar, hold=self.next_hold)
        self.next_hold = None
        self.listeners.append(made)
        return made

    def give(self, words: int = 1) -> None:
        self.microphone.given.put(BLOCK * np.int16(words))

    def texts(self, count: int) -> list[int]:
        """Return how many words each of the next utterances has."""
        items = [self.heard.next() for _ in range(count)]
        assert all(isinstance(item, Utterance) for item in items), items
        return [len(item.alternatives[0].split()) for item in items if isinstance(item, Utterance)]


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setattr(listening, "LOOK_S", 0.02)
    monkeypatch.setattr(listening, "RETRY_S", 0.02)
    monkeypatch.setattr(listening, "MICROPHONE_LOOKS", NEVER)
    monkeypatch.setattr(listening, "FIRST_LOOKS", NEVER)
    monkeypatch.setattr(listening, "DECODER_LOOKS", NEVER)
    made = Bench()
    yield made
    made.ear.close()


def test_what_the_microphone_hears_comes_as_utterances_in_order(bench: Bench) -> None:
    bench.ear.start()
    for words in (1, 2, 3):
        bench.give(words)
    assert bench.texts(3) == [1, 2, 3]
    assert bench.ear.wait_until_listening(LIMIT_S)


def test_without_a_microphone_it_tells_that_it_does_not_listen(bench: Bench) -> None:
    def missing() -> HandMicrophone:
        raise DeviceMissing("There is no microphone.")

    bench.open = missing
    bench.ear.start()
    assert bench.refreshed.acquire(timeout=LIMIT_S)
    assert not bench.ear.wait_until_listening(0.01)


def test_a_microphone_that_is_missing_at_the_start_is_told_of_and_taken_when_it_comes(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "FIRST_LOOKS", 3)
    there = threading.Event()

    def opened() -> HandMicrophone:
        if not there.is_set():
            raise DeviceMissing("There is no microphone.")
        return bench.microphone

    bench.open = opened
    bench.ear.start()
    assert not bench.ear.wait_until_listening(LIMIT_S), "it doesn't wait for what can't be opened"
    assert bench.heard.next() == Trouble(listening.NO_MICROPHONE, spoken=True)
    there.set()
    bench.give(2)
    items = [bench.heard.next(), bench.heard.next()]
    assert Trouble(listening.MICROPHONE_THERE, spoken=True) in items
    assert any(isinstance(item, Utterance) for item in items)
    assert bench.ear.wait_until_listening(0.0)


def test_sound_that_comes_while_we_speak_is_dropped_by_when_it_came(bench: Bench) -> None:
    """The decoder is behind: it decodes what came before we spoke only when we have long finished."""
    hold = bench.listeners[0].hold = threading.Event()
    bench.ear.start()
    bench.give(1)
    assert bench.listeners[0].fed.acquire(timeout=LIMIT_S)
    bench.ear.while_speaking(True)
    for _ in range(5):
        bench.give(9)
    _settle(bench)
    bench.ear.while_speaking(False)
    bench.give(2)
    hold.set()
    assert bench.texts(2) == [1, 2]


def test_an_utterance_that_had_begun_when_we_spoke_is_thrown_away(bench: Bench) -> None:
    bench.ear.start()
    bench.give(1)
    assert bench.texts(1) == [1]
    bench.listeners[0].calls.clear()
    bench.ear.while_speaking(True)
    bench.ear.while_speaking(False)
    bench.give(1)
    assert bench.texts(1) == [1]
    assert bench.listeners[0].calls == ["mute", "unmute", "feed"]


def test_handing_over_a_grammar_and_shutting_the_ear_never_wait_for_the_decoder(bench: Bench) -> None:
    hold = bench.listeners[0].hold = threading.Event()
    bench.ear.start()
    bench.give()
    assert bench.listeners[0].fed.acquire(timeout=LIMIT_S)
    other = SentenceList(["no"])
    done = threading.Event()

    def loop() -> None:
        bench.ear.listen_for(other)
        bench.ear.while_speaking(True)
        bench.ear.while_speaking(False)
        done.set()

    threading.Thread(target=loop, daemon=True).start()
    assert done.wait(LIMIT_S), "the loop waits for a slow decoder"
    assert bench.listeners[0].grammar is ANY
    hold.set()
    bench.give()
    bench.texts(2)
    assert bench.listeners[0].grammar is other


def test_a_decoder_that_hangs_is_told_and_replaced(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "DECODER_LOOKS", 5)
    hold = bench.listeners[0].hold = threading.Event()
    bench.ear.start()
    bench.give(5)
    told = bench.heard.next()
    assert told == Trouble(listening.DECODER_HUNG, spoken=True)
    bench.give(2)
    assert bench.texts(1) == [2]
    hold.set()
    bench.give(3)
    assert bench.texts(1) == [3], "what the hung decoder made of old sound must not come"
    assert len(bench.listeners) == 2


def test_a_decoder_that_fails_is_told_and_made_anew(bench: Bench, caplog: pytest.LogCaptureFixture) -> None:
    bench.listeners[0].fail.append(RuntimeError("broken"))
    bench.ear.start()
    bench.give()
    assert bench.heard.next() == Trouble(listening.DECODER_HUNG, spoken=True)
    bench.give(2)
    assert bench.texts(1) == [2]
    assert "broken" in caplog.text


def test_a_lost_microphone_is_told_once_and_again_when_it_is_back(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "MICROPHONE_LOOKS", 4)
    bench.ear.start()
    bench.give()
    bench.texts(1)
    bench.microphone.given.put(DeviceLost("gone"))
    assert bench.heard.next() == Trouble(listening.MICROPHONE_GONE, spoken=True)
    bench.give(2)
    items = [bench.heard.next(), bench.heard.next()]
    assert Trouble(listening.MICROPHONE_BACK, spoken=True) in items
    assert any(isinstance(item, Utterance) for item in items)


def test_a_microphone_that_freezes_without_a_word_is_told_too(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "MICROPHONE_LOOKS", 4)
    bench.ear.start()
    bench.give()
    bench.texts(1)
    assert bench.heard.next() == Trouble(listening.MICROPHONE_GONE, spoken=True)


def test_a_microphone_s_thread_that_hangs_in_the_driver_is_left_there_and_another_one_takes_the_sound(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "MICROPHONE_LOOKS", 2)
    monkeypatch.setattr(listening, "HANG_LOOKS", 5)
    bench.ear.start()
    bench.give()
    bench.texts(1)
    hang, hanging, second = threading.Event(), threading.Event(), HandMicrophone()

    def hangs() -> HandMicrophone:
        if hanging.is_set():
            return second
        hanging.set()
        hang.wait(LIMIT_S)
        return bench.microphone

    bench.open = hangs
    bench.microphone.given.put(DeviceLost("gone"))
    assert bench.heard.next() == Trouble(listening.MICROPHONE_GONE, spoken=True)
    second.wait_opened()
    second.given.put(BLOCK * np.int16(3))
    items = [bench.heard.next(), bench.heard.next()]
    assert Trouble(listening.MICROPHONE_BACK, spoken=True) in items
    hang.set()
    bench.give(9)
    second.given.put(BLOCK * np.int16(4))
    assert bench.texts(1) == [4], "the thread that hung must not hand on what it takes now"


def test_a_microphone_with_a_fault_of_its_own_is_tried_again(bench: Bench, caplog: pytest.LogCaptureFixture) -> None:
    bench.ear.start()
    bench.microphone.wait_opened()
    bench.microphone.given.put(ValueError("odd"))
    bench.microphone.wait_opened()
    assert bench.refreshed.acquire(timeout=LIMIT_S)
    bench.give()
    assert bench.texts(1) == [1]
    assert "odd" in caplog.text


def test_a_microphone_that_was_only_interrupted_is_opened_at_once_without_starting_sound_anew(bench: Bench) -> None:
    bench.ear.start()
    bench.microphone.wait_opened()
    bench.give()
    bench.microphone.given.put(DeviceLost("the speaker was opened again"))
    bench.microphone.wait_opened()
    bench.give(2)
    assert bench.texts(2) == [1, 2]
    assert not bench.refreshed.acquire(blocking=False)


def test_the_sound_system_is_not_started_anew_in_the_middle_of_a_sentence(bench: Bench) -> None:
    def missing() -> HandMicrophone:
        bench.microphone.opened.release()
        raise DeviceMissing("There is no microphone.")

    bench.open = missing
    bench.ear.while_speaking(True)
    bench.ear.start()
    bench.microphone.wait_opened()
    assert not bench.refreshed.acquire(timeout=0.05)
    bench.ear.while_speaking(False)
    assert bench.refreshed.acquire(timeout=LIMIT_S)


def test_where_a_sound_server_came_it_is_started_anew_at_once_and_then_waits_for_the_sentence(bench: Bench) -> None:
    def missing() -> HandMicrophone:
        bench.microphone.opened.release()
        raise DeviceMissing("There is no microphone.")

    bench.open = missing
    bench.around = frozenset({"another sound server"})
    bench.ear.while_speaking(True)
    bench.ear.start()
    for _ in range(listening.HOPEFUL):
        assert bench.refreshed.acquire(timeout=LIMIT_S)
    assert not bench.refreshed.acquire(timeout=0.05)


def _settle(bench: Bench) -> None:
    """Wait until the microphone's thread has taken all that was given."""
    bench.microphone.given.put(DeviceLost("settle"))
    bench.microphone.wait_opened()
    bench.microphone.wait_opened()


# ---------------------------------------------------------------- the mouth


class HandMouth:
    """A mouth that notes what it is told to do."""

    def __init__(self) -> None:
        self.done: list[Any] = []

    def __getattr__(self, name: str) -> Callable[..., None]:
        return lambda *given, **named: self.done.append((name, *given, *named.values()))


@pytest.mark.parametrize(
    ("control", "done"),
    [
        (Control("stop"), [("stop",)]),
        (Control("answered", {"keys": ("a",)}), [("withdraw", "a")]),
        (Control("volume", {"step": 1}), [("louder",)]),
        (Control("volume", {"step": -1}), [("softer",)]),
        (Control("rate", {"step": 1}), [("faster",)]),
        (Control("rate", {"step": -1}), [("slower",)]),
        (Control("voice", {"voice": "neural"}), [("voice", "neural")]),
        (Control("unheard of"), []),
    ],
    ids=lambda value: value.name if isinstance(value, Control) else "",
)
def test_the_mouth_obeys(control: Control, done: list[Any]) -> None:
    mouth = HandMouth()
    LiveMouth(mouth, lambda name: mouth.done.append(("voice", name))).obey(control)  # type: ignore[arg-type]
    assert mouth.done == done


def test_the_mouth_says_what_it_gets_and_the_silent_one_nothing() -> None:
    mouth = HandMouth()
    said = Announcement("Ready.")
    LiveMouth(mouth).say(said)  # type: ignore[arg-type]
    assert mouth.done == [("say", said)]
    SilentMouth().say(said)
    SilentMouth().obey(Control("stop"))


def test_another_microphone_is_opened_in_place_of_the_present_one(bench: Bench) -> None:
    bench.ear.start()
    before = bench.microphone
    before.wait_opened()

    def change() -> str:
        bench.microphone = HandMicrophone()
        return "the other"

    bench.change = change
    bench.give(1)
    assert isinstance(bench.heard.next(), Utterance)
    bench.ear.use_other_microphone()
    assert bench.heard.next() == Chosen("the other")
    bench.microphone.wait_opened()
    assert before.closed.is_set()


def test_without_another_microphone_the_present_one_stays(bench: Bench) -> None:
    bench.ear.start()
    bench.microphone.wait_opened()
    bench.ear.use_other_microphone()
    assert bench.heard.next() == Chosen(None)
    assert not bench.microphone.closed.is_set()
