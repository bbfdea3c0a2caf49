"""Delay of the ear on a small computer: sound in real time, the process held to a share of one core.

The share is kept with signals: processor time is granted as time passes, and the process stops while it has used more
than was granted. The parts of the ear are those that it carries by a trial under the same limit, or given ones.
Every speaker is followed by noise alone for two to five seconds, as in a kitchen with one cook who talks a lot.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import time
from dataclasses import fields
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path
from random import Random
from statistics import median, quantiles
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench import ear
from bench.orders import order_grammar
from bench.real import in_noise, recording
from kitchenvoice.app.compose import carried_parts
from kitchenvoice.hearing import find_rescorer
from kitchenvoice.hearing.assembly import make_listener
from kitchenvoice.hearing.carrying import Parts
from kitchenvoice.hearing.vad import FRAME, FRAME_S
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import voices
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise

_SLICE_S = 0.02
_SAVED_S = 0.05
_MINUTE = round(60.0 / FRAME_S)
_TICKS = os.sysconf("SC_CLK_TCK")
_COMMANDS = (
    "the pressure is eleven", "weight is rocking", "set a timer for five minutes", "how long is left on load two",
    "fifteen jars are in", "six sealed and one failed", "heat is off", "start seven quarts of green beans raw pack",
)  # fmt: skip


def kitchen(minutes: float, snr_db: float, real: Path | None) -> Samples:
    """Return so much of a noisy kitchen: orders of real people in real noise, or else commands of synthetic voices."""
    random, people, parts, length = Random(5), voices(), [], 0
    noise = kitchen_noise("kitchen", 120.0, 1) if real is None else recording(real / "noise" / "kitchen.flac")
    files = [] if real is None else sorted((real / "orders").iterdir())
    while length < minutes * 60 * EAR_RATE_HZ:
        speech = recording(random.choice(files)) if files else _command(random, people)
        around = np.zeros(round(random.uniform(2.0, 5.0) * EAR_RATE_HZ), np.int16)
        parts.append(in_noise(np.concatenate([speech, around]), noise, snr_db, random.randrange(10**6)))
        length += len(parts[-1])
    return np.concatenate(parts)


def _command(random: Random, people: Any) -> Samples:
    said: Samples = random.choice(people).say(f"kitchen voice {random.choice(_COMMANDS)}")
    return said


def listen(sound: Samples, given: Parts | None, *, real: bool) -> None:
    """Listen in real time; print how far the ear is behind in each minute, and the delays of the utterances."""
    grammar = order_grammar() if real else ear.grammar_for(("hold",), "required", None)
    parts = given or carried_parts(ear.MODEL, grammar)
    listener = make_listener(ear.MODEL, grammar, second=find_rescorer(), parts=parts)
    print(f"The machine is {parts.told()}.")
    delays: list[float] = []
    began, worst, used = time.monotonic(), 0.0, time.process_time()
    for number, at in enumerate(range(0, len(sound) - FRAME, FRAME), 1):
        behind = time.monotonic() - began - number * FRAME_S
        if behind < 0.0:
            time.sleep(-behind)
        listener.behind_s = max(behind, 0.0)
        worst = max(worst, behind)
        delays += [heard.latency_s + listener.behind_s for heard in listener.feed(sound[at : at + FRAME])]
        if number % _MINUTE == 0:
            print(f"{number // _MINUTE} min: {listener.behind_s:.2f} s behind, at worst {worst:.2f}", flush=True)
            worst = 0.0
    print(
        f"{len(delays)} utterances, decided {median(delays):.2f} s after their end, 95 of 100 within "
        f"{quantiles(delays, n=20)[-1]:.2f} s, the last fifth within {max(delays[-(len(delays) // 5 + 1) :]):.2f} s; "
        f"{(time.process_time() - used) / len(sound) * EAR_RATE_HZ:.3f} s of processor time a second"
    )


def limit(process: BaseProcess, share: float) -> None:
    """Hold the process to this share of a core until it ends."""
    assert process.pid is not None
    began, going = time.monotonic(), True
    while process.is_alive():
        time.sleep(_SLICE_S)
        used = _used_s(process.pid)
        began = max(began, time.monotonic() - (used + _SAVED_S) / share)  # what isn't used can't be saved up
        within = used <= share * (time.monotonic() - began)
        if within is not going and process.is_alive():
            os.kill(process.pid, signal.SIGCONT if within else signal.SIGSTOP)
            going = within


def _used_s(pid: int) -> float:
    """Return the processor time that a process has used, seconds."""
    told = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / _TICKS


def main() -> None:
    """Run, and print a line for each minute and one for the whole."""
    parser = argparse.ArgumentParser(prog="scripts/bench_small", description=__doc__)
    parser.add_argument("--share", type=float, default=0.25, help="share of one core (default 0.25)")
    parser.add_argument("--minutes", type=float, default=4.0, help="minutes of sound (default 4)")
    parser.add_argument("--noise", type=float, default=8.0, help="ratio of speech to noise, dB (default 8)")
    parser.add_argument("--real", type=Path, metavar="DIR", help="recordings of real people; else synthetic voices")
    parser.add_argument("--parts", nargs="*", help="parts of the ear (default those that it can carry)")
    given = parser.parse_args()
    names = [field.name for field in fields(Parts)]
    parts = None if given.parts is None else Parts(*(name in given.parts for name in names))
    sound = kitchen(given.minutes, given.noise, given.real)
    process = get_context("spawn").Process(target=listen, args=(sound, parts), kwargs={"real": given.real is not None})
    process.start()
    limit(process, given.share)


if __name__ == "__main__":
    main()
