"""Memory over eight hours of kitchen sound through ear, dialogue, record and mouth, faster than real time.

The sound is a loop of ten minutes: constant noise, talk, and commands that are answered and recorded. Answers are
spoken by the real voice into the same room, with the ear muted meanwhile and the stop-word spotter on. Only sound
devices and board are missing: `scripts/soak` has them, in real time.
"""

from __future__ import annotations

import argparse
import ctypes
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from random import Random
from statistics import median

import numpy as np
import soxr

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.small_talk import KINDS, talk
from kitchenvoice.app.listening import LiveMouth
from kitchenvoice.audio.malloc import share_one_store
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.hearing import StopWordSpotter, VoskRecogniser, find_rescorer, make_listener
from kitchenvoice.hearing.recognise.model_store import verified_model
from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.language import load_language
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Sound, Utterance
from kitchenvoice.rehearsal.cook import voices
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix
from kitchenvoice.speaking import Mouth, MouthCallbacks, Pyttsx3Synthesiser
from kitchenvoice.speaking.levels import amplified

_BLOCK = EAR_RATE_HZ // 10
_ECHO = 0.1
_COMMANDS = (
    "set a timer for five minutes", "how long is left", "got it", "start seven quarts of green beans raw pack", "yes",
    "three more", "where are we", "scratch that", "repeat", "give up the load", "yes", "what's on the shelf",
)  # fmt: skip
_NOISES = ("hood", "kitchen", "vent", "rattle", "water")


def ten_minutes(seed: int) -> Samples:
    """Return ten minutes: a noise for two minutes each, a sentence of talk or a command every eight seconds or so."""
    random, people = Random(seed), [cook for cook in voices() if cook.engine != "festival"]
    commands, parts = iter(_COMMANDS * 9), []
    for noise in _NOISES:
        spoken = np.zeros(120 * EAR_RATE_HZ, np.int16)
        at = EAR_RATE_HZ
        while at < len(spoken) - 8 * EAR_RATE_HZ:
            talked = random.random() < 0.6
            words = talk(random.choice(tuple(KINDS)), random) if talked else f"kitchen voice {next(commands)}"
            said = random.choice(people).say(words)
            spoken[at : at + len(said)] = said[: len(spoken) - at]
            at += len(said) + round(random.uniform(1.5, 6.0) * EAR_RATE_HZ)
        parts.append(mix(spoken, kitchen_noise(noise, 120.0, seed), 12.0)[: len(spoken)])
    return np.concatenate(parts)


def megabytes() -> float:
    """Return the present memory of this process in megabytes."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


class _Heap(ctypes.Structure):
    """Heap statistics of the C library, in bytes (mallinfo2(3), glibc 2.33)."""

    _names = "arena ordblks smblks hblks hblkhd usmblks fsmblks uordblks fordblks keepcost"
    _fields_ = tuple((name, ctypes.c_size_t) for name in _names.split())


def allocated() -> float:
    """Return the megabytes allocated from the C library, touched or not: a leak shows here in two hours, while the
    memory in use still varies with the age of the present decoder."""
    library = ctypes.CDLL(None)
    library.mallinfo2.restype = _Heap
    heap = library.mallinfo2()
    return (heap.uordblks + heap.hblkhd) / 1e6


class Speaker:
    """A player into the same room: `take` gives the next samples in the air, at the ear's rate."""

    def __init__(self) -> None:
        self._left = np.zeros(0, np.int16)
        self._on_end: Callable[[bool], None] | None = None

    def play(self, sound: Sound, *, gain: float = 1.0, on_end: Callable[[bool], None] | None = None) -> None:
        """Begin a sound; a running one is stopped."""
        self.stop()
        self._left, self._on_end = soxr.resample(amplified(sound.samples, gain), sound.rate_hz, EAR_RATE_HZ), on_end

    def take(self, samples: int) -> Samples:
        """Return the next samples, quiet after the end."""
        taken, self._left = self._left[:samples], self._left[samples:]
        if not len(self._left):
            self._end(finished=True)
        return np.pad(taken, (0, samples - len(taken)))

    @property
    def playing(self) -> bool:
        """True until the last sample was taken."""
        return bool(len(self._left))

    def stop(self) -> None:
        """Fall silent."""
        self._left = self._left[:0]
        self._end(finished=False)

    def close(self) -> None:
        """Fall silent."""
        self.stop()

    def _end(self, *, finished: bool) -> None:
        on_end, self._on_end = self._on_end, None
        if on_end is not None:
            on_end(finished)


class Kitchen:
    """The whole program but its devices, on a simulated clock. Counts its work."""

    def __init__(self, log: SqliteLog) -> None:
        self.heard = self.events = self.spoken = 0
        self._log = log
        self._clock = SimulatedClock(utc=1_790_000_000.0)
        self._conversation = Conversation(GrammarBook.load(), PRACTICE_KITCHEN)
        started = self._clock.now().utc
        model = verified_model()
        self._ear = make_listener(model, self._conversation.grammar(started), second=find_rescorer())
        recogniser = VoskRecogniser(model)
        self._stop_ear = StopWordSpotter(recogniser, PRACTICE_KITCHEN.attention, knows=recogniser.knows)
        self._speaker = Speaker()
        self._mouth = Mouth(
            Pyttsx3Synthesiser(),
            self._speaker,
            lambda: self._clock.now().elapsed,
            callbacks=MouthCallbacks(
                on_speaking=lambda on: self._ear.mute() if on else self._ear.unmute(),
                on_started=lambda announcement: self._stop_ear.begin(announcement.text),
                on_spoken=self._note_spoken,
            ),
            run=lambda work: work(),
        )
        self._take(self._conversation.begin(started))

    def live(self, block: Samples) -> None:
        """Process a block of the kitchen's sound."""
        self._clock.advance(len(block) / EAR_RATE_HZ)
        t = self._clock.now().utc
        self._take(self._conversation.tick(t))
        self._mouth.step()
        played = self._speaker.take(len(block))
        block = np.clip(block + _ECHO * played, -32768, 32767).astype(np.int16)
        said = list(self._ear.feed(block)) + (self._said_meanwhile(block, played) if self._mouth.busy else [])
        for utterance in said:
            self.heard += 1
            self._take(self._conversation.hear(utterance, t))
            self._ear.set_grammar(self._conversation.grammar(t))

    def tidy(self) -> None:
        """Discard open loads, because this cook never finishes one: a real day has two or three, not thirty."""
        t = self._clock.now().utc
        while loads := self._conversation.talk.kitchen.open_loads:
            which = (f"load {load_language().number(loads[0].number)}",) if len(loads) > 1 else ()
            for text in (f"{PRACTICE_KITCHEN.attention} give up the load", *which, "yes"):
                self._take(self._conversation.hear(Utterance((text,)), t, typed=True))
        self._ear.set_grammar(self._conversation.grammar(t))

    def _said_meanwhile(self, block: Samples, played: Samples) -> list[Utterance]:
        hops = range(0, len(block), HOP)
        said = [self._stop_ear.hear(block[at : at + HOP], played[at : at + HOP]) for at in hops]
        return [Utterance((f"{PRACTICE_KITCHEN.attention} {phrase}",)) for phrase in said if phrase]

    def _take(self, turn: Turn) -> None:
        if turn.events:
            self._log.append(turn.events, self._clock.now())
            self.events += len(turn.events)
        for control in turn.controls:
            LiveMouth(self._mouth).obey(control)
        for announcement in turn.announcements:
            self._mouth.say(announcement)

    def _note_spoken(self, _: str) -> None:
        self.spoken += 1


def run(hours: float, folder: Path) -> Iterator[tuple[float, float, Kitchen]]:
    """Yield after each ten minutes of sound: hours, megabytes, and the kitchen."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as apart:  # keeps the cook's voices out of the memory
        sound = apart.submit(ten_minutes, 1).result()
    with SqliteLog(folder) as log:
        kitchen = Kitchen(log)
        for round_ in range(round(hours * 6)):
            for at in range(0, len(sound), _BLOCK):
                kitchen.live(sound[at : at + _BLOCK])
            kitchen.tidy()
            yield (round_ + 1) / 6, megabytes(), kitchen


def main() -> None:
    """Run, print a line every half hour, and at the end the growth of an hour's median since the second hour."""
    parser = argparse.ArgumentParser(prog="scripts/bench_hours", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0, help="hours of sound (default 8)")
    given = parser.parse_args()
    share_one_store()
    seen = []
    with tempfile.TemporaryDirectory() as folder:
        for at, memory, kitchen in run(given.hours, Path(folder)):
            seen.append((at, memory))
            if round(at * 6) % 3 == 0 or at < 0.2:
                done = f"{kitchen.heard} utterances  {kitchen.spoken} sentences spoken  {kitchen.events} events"
                print(f"{at:5.2f} h  {memory:6.1f} MB in use, {allocated():6.1f} MB allocated  {done}", flush=True)
    taken = [memory for _, memory in seen]
    part = max(1, len(taken) // 8)
    second, last = median(taken[part : 2 * part]), median(taken[-part:])
    print(f"largest {max(taken):.0f} MB; middle of the last eighth {last:.0f} MB, {last - second:+.1f} from the second")


if __name__ == "__main__":
    main()
