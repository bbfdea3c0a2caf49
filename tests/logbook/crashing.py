"""Crash tests of the logbook: kill its writers, damage their files, and compare with the acknowledged entries.

    scripts/crash_test [--kills 2000] [--every 1] [--starts 20] [--seed N] [--folder DIR]

Prints one JSON object a kind of crash; exit 1 if an acknowledged entry was lost, doubled or altered anywhere. The
write-ahead log is truncated and damaged at every byte (`--every 1`), in memory, since only the bytes matter; writers
are killed in the folder named, or in the system's folder for temporary files. A writer acknowledges through a pipe
after `append` has returned, as the kitchen is told aloud. Valid after a crash: exactly the entries up to the last
acknowledged append, or these and the append in progress, as a whole.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import select
import shutil
import signal
import struct
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from kitchenvoice.errors import LogbookError
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.store.checkpoints import Checkpointer
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.ports import Event
from kitchenvoice.process import fold

from .days import IN_MEMORY, moment
from .restarting import kill_sessions
from .stories import Story, demo, season

RECORD = struct.Struct("<qq")
FRAME = 24 + 4096
WAL_HEADER = 32


# ---------------------------------------------------------------- the writer, in a child


def spawn(work: Callable[[int], None]) -> tuple[int, int]:
    """Fork a child that does `work` with the writing end of a pipe; return its id and the reading end."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.close(reading)
            work(writing)
            status = 0
        finally:
            os._exit(status)
    os.close(writing)
    return child, reading


def write_on(
    folder: Path,
    story: Story,
    pipe: int,
    die: Callable[[SqliteLog, int], None] | None = None,
    *,
    busy: bool = False,
) -> None:
    """Continue the story from the end of the log; acknowledge each append with its last entry and the WAL's size.

    A `busy` writer runs a checkpoint after every other append.
    """
    wal = folder / f"{NAME}-wal"
    with SqliteLog(folder, moment()) as log:
        if busy:
            log._checkpoints = Checkpointer(folder / NAME, log._watch, appends=2)
        os.write(pipe, RECORD.pack(log.last_seq, -1))
        while batch := story.batch(log.last_seq):
            if die:
                die(log, batch[-1].seq)
            log.append(batch, moment(batch[-1].t))
            if die:
                die(log, -batch[-1].seq)
            os.write(pipe, RECORD.pack(log.last_seq, wal.stat().st_size))


def records(reading: int) -> Iterator[tuple[int, int]]:
    """Yield the acknowledgements of a child until it closes its end of the pipe."""
    rest = b""
    while piece := os.read(reading, 4096):
        rest += piece
        while len(rest) >= RECORD.size:
            yield RECORD.unpack(rest[: RECORD.size])
            rest = rest[RECORD.size :]


@dataclass
class Found:
    """The outcome of one kind of crash."""

    kind: str
    crashes: int = 0
    lost: int = 0
    doubled_or_altered: int = 0
    under_way_kept: int = 0
    faults: list[str] = field(default_factory=list)
    slowest_open_s: float = 0.0
    entries: int = 0

    @property
    def ok(self) -> bool:
        return self.crashes > 0 and not (self.lost or self.doubled_or_altered or self.faults)


def inspect(folder: Path, events: list[Event], least: int, most: int, found: Found, *, whole: bool = True) -> int:
    """Open the log as a start does; count lost and altered entries; return the number of its last entry."""
    begun = time.perf_counter()
    with closing(SqliteLog(folder)) as log:
        found.slowest_open_s = max(found.slowest_open_s, time.perf_counter() - begun)
        last = log.last_seq
        read = list(log.read())
    found.crashes += 1
    found.lost += max(0, least - last)
    found.under_way_kept += last > least
    if last > most:
        found.faults.append(f"{last} entries, {most} were written")
    if any(event != events[event.seq - 1] for event in read) or len({event.seq for event in read}) != len(read):
        found.doubled_or_altered += 1
    if whole:
        with Logbook(folder) as book:
            stored = [entry.event for entry in book.entries()]
            found.faults += book.proof()
        found.doubled_or_altered += stored != events[:last]
        if fold(read).open_loads != fold(events[:last]).open_loads:
            found.faults.append(f"the kitchen isn't the same after entry {last}")
    found.entries = last
    return last


# ---------------------------------------------------------------- kinds of crash


def kill_at_random(folder: Path, kills: int, chance: random.Random) -> Found:
    """SIGKILL at a random time, again and again on the same log."""
    found = Found("killed at random")
    story = season(40 + kills // 2)
    last, acknowledged = 0, 0
    for number in range(kills):
        child, reading = spawn(lambda pipe: write_on(folder, story, pipe, busy=True))
        for _ in range(chance.randrange(1, 8)):
            os.set_blocking(reading, True)
            piece = os.read(reading, RECORD.size)
            if len(piece) == RECORD.size:
                acknowledged = RECORD.unpack(piece)[0]
        select.select([], [], [], chance.random() * 0.004)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        acknowledged = max([acknowledged, *(seq for seq, _ in records(reading))])
        os.close(reading)
        most = story.after(acknowledged)
        whole = number % 50 == 49 or number == kills - 1
        last = inspect(folder, story.events, acknowledged, most, found, whole=whole)
        if last not in (acknowledged, most):
            found.faults.append(f"a part of an append: entry {last} after {acknowledged}")
        acknowledged = last
    return found


def kill_at_each(folder: Path, story: Story, kind: str) -> Found:
    """At every append: killed between two inserts, at the commit, and after it but before the acknowledgement."""
    found, last = Found(f"killed at every append of {kind}, in three places"), 0
    while (target := story.after(last)) > last:
        for place in ("INSERT INTO event", "COMMIT", "after"):
            child, reading = spawn(lambda pipe, place=place: write_on(folder, story, pipe, _killer(place)))
            os.waitpid(child, 0)
            acknowledged = max((seq for seq, _ in records(reading)), default=0)
            os.close(reading)
            if acknowledged != last:
                found.faults.append(f"{acknowledged} was acknowledged before entry {target}, not {last}")
            expected = target if place == "after" else last
            now = inspect(folder, story.events, expected, expected, found, whole=place != "COMMIT")
            if now != expected:
                found.faults.append(f"killed at {place} of {target}: {now}, not {expected}")
        last = target
    return found


def _killer(place: str) -> Callable[[SqliteLog, int], None]:
    def die(log: SqliteLog, seq: int) -> None:
        if place == "after":
            if seq < 0:
                os.kill(os.getpid(), signal.SIGKILL)
        elif seq > 0:
            log._connection.set_trace_callback(strike)

    def strike(statement: str) -> None:
        if statement.lstrip().startswith(place):
            os.kill(os.getpid(), signal.SIGKILL)

    return die


def leave_wal(folder: Path, story: Story, before: int) -> list[tuple[int, int]]:
    """Make a log with the entries after `before` only in the WAL; return (entry, size of the WAL) of each append."""
    first = Story(story.events[:before], [end for end in story.ends if end <= before])
    child, reading = spawn(lambda pipe: write_on(folder, first, pipe))
    os.waitpid(child, 0)
    os.close(reading)
    last = len(story.events)

    def work(pipe: int) -> None:
        write_on(folder, story, pipe, lambda _, seq: seq == -last and os.kill(os.getpid(), signal.SIGKILL))

    child, reading = spawn(work)
    os.waitpid(child, 0)
    ends = [(before, 0), *((seq, size) for seq, size in records(reading) if size >= 0)]
    os.close(reading)
    return [*ends, (last, (folder / f"{NAME}-wal").stat().st_size)]


def damage_wal(folder: Path, every: int, appends: int, chance: random.Random) -> list[Found]:
    """Truncate the WAL, flip a bit, append garbage: everything written before that place survives.

    At one byte of every so many, and at each end of an append and the bytes beside it.
    """
    story = season(1)
    left = folder / "left"
    ends = leave_wal(left, story, story.ends[-1 - appends])
    content = (left / f"{NAME}-wal").read_bytes()
    size = len(content)
    found = [Found("WAL cut short"), Found("WAL damaged"), Found("WAL with rubbish behind it")]
    edges = [end + step for _, end in ends for step in (-1, 0, 1) if 0 <= end + step <= size]
    for number, place in enumerate(sorted({*edges, *range(0, size, every)})):
        at = min(place, size - 1)
        frame = 0 if at < WAL_HEADER else WAL_HEADER + (at - WAL_HEADER) // FRAME * FRAME
        flipped = bytearray(content)
        flipped[at] ^= 1 << chance.randrange(8)
        whole, shm = number % 40 == 0, number % 2 == 0
        _try(folder, left, story, content[:place], _expected(ends, place), found[0], whole, shm)
        _try(folder, left, story, flipped, _expected(ends, frame), found[1], whole, shm)
    for length in (1, 23, FRAME - 1, FRAME, 3 * FRAME):
        rubbish = bytes(chance.randrange(256) for _ in range(length))
        _try(folder, left, story, content + rubbish, len(story.events), found[2], True, False)
    return found


def _expected(ends: list[tuple[int, int]], place: int) -> int:
    return max(seq for seq, end in ends if end <= place)


def _try(
    folder: Path, left: Path, story: Story, wal: bytes, expected: int, found: Found, whole: bool, shm: bool
) -> None:
    """Start on a copy of the files with this write-ahead log; now and then go on writing there."""
    trial = folder / "trial"
    shutil.rmtree(trial, ignore_errors=True)
    trial.mkdir(mode=0o700)
    shutil.copyfile(left / NAME, trial / NAME)
    if shm:  # of a program that shared the index, and was killed before
        (trial / f"{NAME}-shm").write_bytes(b"\xa5" * 32_768)
    (trial / f"{NAME}-wal").write_bytes(wal)
    try:
        last = inspect(trial, story.events, expected, expected, found, whole=whole)
        if whole and last < len(story.events):
            with SqliteLog(trial) as log:
                log.append(story.batch(last), moment())
    except LogbookError as error:
        found.faults.append(f"expected {expected}: {error}")


def main(arguments: list[str] | None = None) -> int:
    """Run all kinds; return 0 if no acknowledged entry was lost, doubled or altered."""
    parser = argparse.ArgumentParser(prog="scripts/crash_test", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--kills", type=int, default=2000, help="how many random kills (default 2000)")
    parser.add_argument("--loads", type=int, default=6, help="loads in the season that is killed at every append")
    parser.add_argument("--every", type=int, default=1, help="harm one byte of so many of the write-ahead log")
    parser.add_argument("--appends", type=int, default=4, help="appends in the write-ahead log that is harmed")
    parser.add_argument("--starts", type=int, default=20, help="how often a whole session is killed and started again")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, help="where to work: a folder on the disk to be tried")
    given = parser.parse_args(arguments)
    chance = random.Random(given.seed)
    ok = True
    with (
        tempfile.TemporaryDirectory(dir=given.folder, prefix="crash-") as disk,
        tempfile.TemporaryDirectory(dir=given.folder or IN_MEMORY, prefix="crash-") as memory,
    ):
        runs: list[Callable[[], list[Found]]] = [
            lambda: [kill_at_each(Path(disk) / "demo", demo(), "the demonstration")],
            lambda: [kill_at_each(Path(disk) / "each", season(given.loads), "a season")],
            lambda: [kill_at_random(Path(disk) / "random", given.kills, chance)],
            lambda: damage_wal(Path(memory), given.every, given.appends, chance),
        ]
        for run in runs:
            begun = time.perf_counter()
            for found in run():
                took_s = round(time.perf_counter() - begun, 1)
                told = {"ok": found.ok, **vars(found), "faults": found.faults[:5], "took_s": took_s}
                sys.stdout.write(json.dumps(told) + "\n")
                sys.stdout.flush()
                ok = ok and found.ok
        if given.starts:
            restarts = kill_sessions(Path(disk) / "sessions", given.starts, chance)
            sys.stdout.write(json.dumps(restarts.figures()) + "\n")
            ok = ok and restarts.ok
    return 0 if ok else 1


if __name__ == "__main__":
    sys.exit(main())
