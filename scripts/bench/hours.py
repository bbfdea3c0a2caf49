"""Eight hours of a kitchen's sound through ear, dialogue and record, as fast as they take it: what memory does.

The sound is ten minutes that come again: noise all the time, talk, and commands that are answered and recorded. The
mouth isn't in it: `scripts/soak` has the whole program with real sound, for as long as the wall clock takes.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from random import Random

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.small_talk import KINDS, talk
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.grammar import GrammarBook
from kitchenvoice.hearing import make_listener, second_opinion
from kitchenvoice.hearing.model_store import verified_model
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.one_store import share_one_store
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import voices
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix
from kitchenvoice.rehearsal.practice import PRACTICE_KITCHEN

_BLOCK = EAR_RATE_HZ // 10
_COMMANDS = (
    "set a timer for five minutes", "how long is left", "got it", "start seven quarts of green beans raw pack", "yes",
    "three more", "where are we", "scratch that", "repeat", "give up the load", "yes", "what's on the shelf",
)  # fmt: skip
_NOISES = ("hood", "kitchen", "vent", "rattle", "water")


def ten_minutes(seed: int) -> Samples:
    """Return ten minutes: a noise for two minutes each, a sentence of talk or a command each eight seconds or so."""
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
    """Return the memory of this process that is in use now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def run(hours: float, folder: Path) -> Iterator[tuple[float, float, int, int]]:
    """Yield after each ten minutes of sound: hours, megabytes, utterances, events in the record."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as apart:  # the synthesisers are no part of the ear
        sound = apart.submit(ten_minutes, 1).result()
    clock = SimulatedClock(utc=1_790_000_000.0)
    with SqliteLog(folder) as log:
        conversation = Conversation(GrammarBook.load(), PRACTICE_KITCHEN)
        started = clock.now().utc
        log.append(conversation.begin(started).events, clock.now())
        listener = make_listener(verified_model(), conversation.grammar(started), second=second_opinion())
        heard = events = 0
        for round_ in range(round(hours * 6)):
            for at in range(0, len(sound), _BLOCK):
                clock.advance(_BLOCK / EAR_RATE_HZ)
                now = clock.now()
                turns = [conversation.tick(now.utc)]
                for utterance in listener.feed(sound[at : at + _BLOCK]):
                    turns.append(conversation.hear(utterance, now.utc))
                    heard += 1
                    listener.set_grammar(conversation.grammar(now.utc))
                written = [event for turn in turns for event in turn.events]
                if written:
                    log.append(written, now)
                    events += len(written)
            yield (round_ + 1) / 6, megabytes(), heard, events


def main() -> None:
    """Run, print a line each half hour and the growth from the second hour on."""
    parser = argparse.ArgumentParser(prog="scripts/bench_hours", description=__doc__)
    parser.add_argument("--hours", type=float, default=8.0, help="hours of sound (default 8)")
    given = parser.parse_args()
    share_one_store()
    seen = []
    with tempfile.TemporaryDirectory() as folder:
        for at, memory, heard, events in run(given.hours, Path(folder)):
            seen.append((at, memory))
            if round(at * 6) % 3 == 0 or at < 0.2:
                print(f"{at:5.2f} h  {memory:6.1f} MB  {heard} utterances  {events} events", flush=True)
    from_h = given.hours / 4
    later = [memory for at, memory in seen if at >= from_h]
    largest = max(memory for _, memory in seen)
    print(f"largest {largest:.0f} MB; from {from_h:g} h on {later[-1] - later[0]:+.1f} MB")


if __name__ == "__main__":
    main()
