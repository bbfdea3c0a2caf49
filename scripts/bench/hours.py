"""Memory over eight hours of kitchen sound through ear, session, record and mouth, faster than real time.

The sound is a loop of ten minutes: constant noise, talk, and commands that are answered and recorded. Answers are
spoken by the real voice into the same room, with the ear muted meanwhile and the stop-word spotter on. Only sound
devices and board are missing: `scripts/soak` has them, in real time.
"""

from __future__ import annotations

import argparse
import ctypes
import math
import sys
import tempfile
from collections import deque
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from random import Random
from statistics import median

import numpy as np
import soxr

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.small_talk import KINDS, talk
from kitchenvoice.app.inbox import Chosen
from kitchenvoice.app.listening import LiveMouth, told_to
from kitchenvoice.audio.malloc import share_one_store
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.hearing import Listener, StopWordSpotter, VoskRecogniser, find_rescorer, make_listener
from kitchenvoice.hearing.recognise.model_store import verified_model
from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.language import load_language
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.ports import EAR_RATE_HZ, ListeningGrammar, Samples, Sound, Utterance
from kitchenvoice.rehearsal.cook import voices
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix
from kitchenvoice.speaking import Mouth, MouthCallbacks, Pyttsx3Synthesiser
from kitchenvoice.speaking.levels import amplified
from kitchenvoice.testing import FakePlayer, SimulatedKitchen

_BLOCK_S = 0.1
_BLOCK = round(_BLOCK_S * EAR_RATE_HZ)
_INSTANT_S = 1e-6
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


class SoundKitchen(SimulatedKitchen):
    """The session with real ear, record and voice, in a room whose sound moves the clock. Counts its work."""

    def __init__(self, log: SqliteLog, folder: Path) -> None:
        super().__init__(GrammarBook.load(), PRACTICE_KITCHEN, log, home=folder, ear=self)
        self.heard = self.spoken = 0
        self._model = verified_model()
        recogniser = VoskRecogniser(self._model)
        self._stop_ear = StopWordSpotter(recogniser, PRACTICE_KITCHEN.attention, knows=recogniser.knows)
        self._listener: Listener | None = None
        self._grammar: ListeningGrammar | None = None
        self._player = FakePlayer()
        self._aloud = (Sound(np.zeros(0, np.int16), EAR_RATE_HZ), np.zeros(0, np.int16))
        self._sound: deque[Samples] = deque()
        self._begun_t, self._taken = 0.0, 0

    # ------------------------------------------------------------ ear and mouth, as the session needs them

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Change what is listened for."""
        if self._listener is None:
            self._listener = make_listener(self._model, grammar, second=find_rescorer())
        elif grammar is not self._grammar:
            self._listener.set_grammar(grammar)
        self._grammar = grammar

    def use_other_microphone(self) -> None:
        """Find none."""
        self.inbox.put(Chosen(None))

    def mouthpiece(self) -> LiveMouth:
        """Return a mouth with the real voice, whose sound goes into the room."""
        hears = {f"on_{name}": hear for name, hear in told_to(self.inbox).items()}
        callbacks = MouthCallbacks(
            on_speaking=self._shut_ear,
            on_started=lambda announcement: self._stop_ear.begin(announcement.text),
            on_spoken=self._note_spoken,
            **hears,
        )
        clock = self.clock
        self._mouth_in_room = Mouth(
            Pyttsx3Synthesiser(),
            self._player,
            lambda: clock.now().elapsed,
            callbacks=callbacks,
            run=lambda work: work(),
        )
        return LiveMouth(self._mouth_in_room)

    # ------------------------------------------------------------ the room

    def live(self, sound: Samples) -> None:
        """Let the session live through so much of the kitchen's sound."""
        self._sound.extend(sound[at : at + _BLOCK] for at in range(0, len(sound), _BLOCK))
        self._begun_t, self._taken = self.clock.now().elapsed, 0
        self.wait(len(sound) / EAR_RATE_HZ)

    def meanwhile(self) -> float:
        """Let ear and mouth come to the clock's time; return the seconds until the next block of sound."""
        while (
            self._sound and (left_s := self._begun_t + self._taken * _BLOCK_S - self.clock.now().elapsed) < _INSTANT_S
        ):
            self._taken += 1
            self._pass_on(self._sound.popleft())
        return max(left_s, 0.0) if self._sound else math.inf

    def tidy(self) -> None:
        """Discard open loads, because this cook never finishes one: a real day has two or three, not thirty."""
        while loads := self.conversation.talk.kitchen.open_loads:
            which = (f"load {load_language().number(loads[0].number)}",) if len(loads) > 1 else ()
            self.type(f"{PRACTICE_KITCHEN.attention} give up the load", *which, "yes")

    def _pass_on(self, block: Samples) -> None:
        self._mouth_in_room.step()
        played = self._in_the_air(len(block))
        block = np.clip(block + _ECHO * played, -32768, 32767).astype(np.int16)
        assert self._listener is not None
        for utterance in self._listener.feed(block):
            self.heard += 1
            self.inbox.put(utterance)
        if self._mouth_in_room.busy:
            hops = range(0, len(block), HOP)
            said = [self._stop_ear.hear(block[at : at + HOP], played[at : at + HOP]) for at in hops]
            for phrase in filter(None, said):
                self.heard += 1
                self.inbox.put(Utterance((f"{PRACTICE_KITCHEN.attention} {phrase}",)))

    def _in_the_air(self, samples: int) -> Samples:
        """Return our own next samples, quiet after their end, and move the player on."""
        del self._player.played[:-1]
        present = self._player.present
        if present is None:
            return np.zeros(samples, np.int16)
        if self._aloud[0] is not present.sound:
            loud = amplified(present.sound.samples, present.gain)
            self._aloud = (present.sound, soxr.resample(loud, present.sound.rate_hz, EAR_RATE_HZ))
        at = round(present.heard_s * EAR_RATE_HZ)
        self._player.advance(samples / EAR_RATE_HZ)
        taken = self._aloud[1][at : at + samples]
        return np.pad(taken, (0, samples - len(taken)))

    def _shut_ear(self, speaking: bool) -> None:
        if self._listener is not None:
            (self._listener.mute if speaking else self._listener.unmute)()

    def _note_spoken(self, _: str) -> None:
        self.spoken += 1


def run(hours: float, folder: Path) -> Iterator[tuple[float, float, SoundKitchen]]:
    """Yield after each ten minutes of sound: hours, megabytes, and the kitchen."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as apart:  # keeps the cook's voices out of the memory
        sound = apart.submit(ten_minutes, 1).result()
    with SqliteLog(folder) as log:
        kitchen = SoundKitchen(log, folder)
        kitchen.begin()
        for round_ in range(round(hours * 6)):
            kitchen.live(sound)
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
                done = f"{kitchen.heard} utterances  {kitchen.spoken} sentences spoken  {kitchen.log.last_seq} events"
                print(f"{at:5.2f} h  {memory:6.1f} MB in use, {allocated():6.1f} MB allocated  {done}", flush=True)
    taken = [memory for _, memory in seen]
    part = max(1, len(taken) // 8)
    second, last = median(taken[part : 2 * part]), median(taken[-part:])
    print(f"largest {max(taken):.0f} MB; middle of the last eighth {last:.0f} MB, {last - second:+.1f} from the second")


if __name__ == "__main__":
    main()
