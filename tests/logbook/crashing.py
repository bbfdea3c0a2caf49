"""Kill writers of the logbook, cut and damage what they left, and compare with what had been acknowledged.

    scripts/crash_test [--kills 2000] [--cuts 4000] [--seed N] [--folder DIR]

Prints one JSON object a kind of crash; exit 1 if an acknowledged entry was lost, doubled or altered anywhere. A writer
acknowledges through a pipe after `append` has returned, as the kitchen is told aloud. What may be found after a crash:
exactly the entries up to the last acknowledged append, or those and the one append that was under way, as a whole.
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
from kitchenvoice.logbook.files import NAME
from kitchenvoice.process import fold
from kitchenvoice.process.events import Event

from .days import DAY, Day, moment

RECORD = struct.Struct("<qq")
FRAME = 24 + 4096
WAL_HEADER = 32


def season(loads: int) -> list[Event]:
    """A made-up season of so many loads: restarts, failures, timers, things taken back, jars opened."""
    day = Day()
    for load in range(1, loads + 1):
        food = ("carrots", "peas_green", "corn_whole_kernel")[load % 3]
        day.add("session_start", off_s=0.0 if load % 4 else 90.0)
        day.whole(load, food, jars=7 + load % 3, failed=load % 2, restarts=load % 2)
        day.add("timer_start", minutes=12.0, name="bread")
        day.add("packed", load, count=1, heard="one more")
        day.add("scratched", load, seq=day.seq)
        day.ends(None, "bread", 12)
        day.add("answer_call")
        day.add("opened", food=food, count=2, jar="pint")
        if load % 5 == 0:
            day.add("scratched", seq=day.seq)
        day.t += DAY / 3
    return day.events


def batch_after(seq: int) -> int:
    """How many entries go into the append that follows entry `seq`: one to three."""
    return 1 + seq * 7919 % 3


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


def write_on(folder: Path, events: list[Event], pipe: int, die: Callable[[SqliteLog, int], None] | None = None) -> None:
    """Go on with the season from where the log ends; acknowledge each append with its last entry and the WAL's size."""
    wal = folder / f"{NAME}-wal"
    with SqliteLog(folder, moment()) as log:
        os.write(pipe, RECORD.pack(log.last_seq, -1))
        while log.last_seq < len(events):
            batch = events[log.last_seq : log.last_seq + batch_after(log.last_seq)]
            if die:
                die(log, batch[-1].seq)
            log.append(batch, moment(batch[-1].t))
            if die:
                die(log, -batch[-1].seq)
            os.write(pipe, RECORD.pack(log.last_seq, wal.stat().st_size))


def records(reading: int) -> Iterator[tuple[int, int]]:
    """Yield what a child acknowledged until its end of the pipe closes."""
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
    """Open the log as a start does; count what is lost or altered; return the number of its last entry."""
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
    events, last, acknowledged = season(40 + kills // 2), 0, 0
    for number in range(kills):
        child, reading = spawn(lambda pipe: write_on(folder, events, pipe))
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
        most = acknowledged + batch_after(acknowledged)
        last = inspect(folder, events, acknowledged, most, found, whole=number % 50 == 49 or number == kills - 1)
        if last not in (acknowledged, most) and last < len(events):
            found.faults.append(f"a part of an append: entry {last} after {acknowledged}")
        acknowledged = last
    return found


def kill_at_each(folder: Path, loads: int) -> Found:
    """At every append: killed between two inserts, at the commit, and after it but before the acknowledgement."""
    found, events, last = Found("killed at every append, in three places"), season(loads), 0
    while last < len(events):
        target = last + batch_after(last)
        target = min(target, len(events))
        for place in ("INSERT INTO event", "COMMIT", "after"):
            child, reading = spawn(lambda pipe, place=place: write_on(folder, events, pipe, _killer(place)))
            os.waitpid(child, 0)
            acknowledged = max((seq for seq, _ in records(reading)), default=0)
            os.close(reading)
            if acknowledged != last:
                found.faults.append(f"{acknowledged} was acknowledged before entry {target}, not {last}")
            expected = target if place == "after" else last
            now = inspect(folder, events, expected, expected, found, whole=place != "COMMIT")
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


def leave_wal(folder: Path, events: list[Event], before: int) -> list[tuple[int, int]]:
    """Make a log whose last part is only in the write-ahead log; return (entry, size of the WAL) of each append."""
    child, reading = spawn(lambda pipe: write_on(folder, events[:before], pipe))
    os.waitpid(child, 0)
    os.close(reading)

    def work(pipe: int) -> None:
        write_on(folder, events, pipe, lambda _, seq: seq == -len(events) and os.kill(os.getpid(), signal.SIGKILL))

    child, reading = spawn(work)
    os.waitpid(child, 0)
    ends = [(seq, size) for seq, size in records(reading) if size >= 0]
    os.close(reading)
    ends.append((len(events), (folder / f"{NAME}-wal").stat().st_size))
    return ends


def damage_wal(folder: Path, cuts: int, chance: random.Random) -> list[Found]:
    """Cut the WAL at any byte, flip a byte, put rubbish behind it: what was written before that place is all there."""
    events, before = season(2), 20
    while batch_ends(before, len(events)) is None:
        before += 1
    left = folder / "left"
    ends = [(batch_ends(before, len(events)) or 0, 0), *leave_wal(left, events, before)]
    size = ends[-1][1]
    found = [Found("WAL cut short"), Found("WAL damaged"), Found("WAL with rubbish behind it")]
    edges = [end + step for _, end in ends for step in (-1, 0, 1) if 0 <= end + step <= size]
    places = sorted({*edges, *range(0, size, max(1, size // max(1, cuts)))})
    for number, place in enumerate(places):

        def cut(wal: Path, place: int = place) -> None:
            os.truncate(wal, place)

        def flip(wal: Path, place: int = min(place, size - 1)) -> None:
            content = bytearray(wal.read_bytes())
            content[place] ^= 1 << chance.randrange(8)
            wal.write_bytes(content)

        whole = number % 40 == 0
        frame = 0 if place < WAL_HEADER else WAL_HEADER + (min(place, size - 1) - WAL_HEADER) // FRAME * FRAME
        _try(folder, left, events, cut, _expected(ends, place), found[0], whole=whole, shm=number % 2 == 0)
        _try(folder, left, events, flip, _expected(ends, frame), found[1], whole=whole, shm=number % 2 == 0)
    for length in (1, 23, FRAME - 1, FRAME, 3 * FRAME):
        rubbish = bytes(chance.randrange(256) for _ in range(length))

        def add(wal: Path, rubbish: bytes = rubbish) -> None:
            with wal.open("ab") as file:
                file.write(rubbish)

        _try(folder, left, events, add, len(events), found[2])
    return found


def batch_ends(at: int, most: int) -> int | None:
    """Return `at` if an append ends there, else None."""
    seq = 0
    while seq < min(at, most):
        seq += batch_after(seq)
    return at if seq == at else None


def _expected(ends: list[tuple[int, int]], place: int) -> int:
    return max(seq for seq, end in ends if end <= place or end == 0)


def _try(
    folder: Path,
    left: Path,
    events: list[Event],
    harm: Callable[[Path], None],
    expected: int,
    found: Found,
    *,
    whole: bool = True,
    shm: bool = False,
) -> None:
    trial = folder / "trial"
    shutil.rmtree(trial, ignore_errors=True)
    trial.mkdir()
    for name in (NAME, f"{NAME}-wal", *([f"{NAME}-shm"] if shm else [])):
        shutil.copyfile(left / name, trial / name)
    harm(trial / f"{NAME}-wal")
    try:
        last = inspect(trial, events, expected, expected, found, whole=whole)
        if last < len(events):
            with SqliteLog(trial) as log:
                log.append(events[last : last + 1], moment())
    except LogbookError as error:
        found.faults.append(f"expected {expected}: {error}")


def main(arguments: list[str] | None = None) -> int:
    """Run all kinds; return 0 if nothing that had been acknowledged was lost, doubled or altered."""
    parser = argparse.ArgumentParser(prog="scripts/crash_test", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--kills", type=int, default=2000, help="how many random kills (default 2000)")
    parser.add_argument("--loads", type=int, default=6, help="loads in the season that is killed at every append")
    parser.add_argument("--cuts", type=int, default=4000, help="about how many places in the write-ahead log")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, help="where to work: a folder on the disk to be tried")
    given = parser.parse_args(arguments)
    chance = random.Random(given.seed)
    ok = True
    with tempfile.TemporaryDirectory(dir=given.folder, prefix="crash-") as name:
        folder = Path(name)
        runs: list[Callable[[], list[Found]]] = [
            lambda: [kill_at_each(folder / "each", given.loads)],
            lambda: damage_wal(folder, given.cuts, chance),
            lambda: [kill_at_random(folder / "random", given.kills, chance)],
        ]
        for run in runs:
            for found in run():
                sys.stdout.write(json.dumps({"ok": found.ok, **vars(found), "faults": found.faults[:5]}) + "\n")
                sys.stdout.flush()
                ok = ok and found.ok
    return 0 if ok else 1


if __name__ == "__main__":
    sys.exit(main())
