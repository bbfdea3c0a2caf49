"""Benchmark of the logbook at several sizes: opening, appending, listing, the shelf, checks and backups.

    scripts/bench_logbook [--events 10000 100000 ...] [--appends 1000] [--folder DIR [--keep]] [--out FILE.md]

The logs are synthetic: loads of about a hundred entries each, five thousand loads a year, most jars eaten in time. They
are written to the folder in bulk, then measured through the interfaces of a session and of the commands.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from matplotlib import rc_context
from matplotlib.figure import Figure

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.logbook import Logbook, SqliteLog, back_up
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.logbook.tables.rows import INSERT, row_of, sum_of
from kitchenvoice.ports import Event, Utterance
from kitchenvoice.process import fold

from .days import DAY, Day, moment

FOODS = ("carrots", "peas_green", "corn_whole_kernel", "beets", "okra", "snap_beans", "tomatoes_crushed", "peaches")
EATEN_AFTER = 60
FOLDED = 20_000
LOOKS = (("o", "-"), ("s", "--"), ("^", "-."), ("x", ":"))
UNEATEN = 5_000
"""Loads of a year, all with jars still on the shelf."""
VERIFIED = 1_000_000


def years(events: int) -> Iterator[Event]:
    """Yield a long history: loads, pressure readings all along, jars opened some months later."""
    day, load = Day(t=1_200_000_000.0), 0
    while day.seq < events:
        load += 1
        day.add("session_start", off_s=3600.0)
        day.until_rest(load, FOODS[load % 8], jars=7 + load % 3, restarts=load % 2)
        for reading in range(70):
            day.add("pressure_is", load, heard="pressure is eleven", pressure=11.0 + reading % 3 / 2)
        day.ends(load, "rest", 12 * 60)
        day.add("seal_count", load, sealed=6 + load % 3, failed=1)
        day.add("jar_outcome", load, outcome="refrigerate", count=1)
        if load > EATEN_AFTER:
            for _ in range(2):
                day.add("opened", food=FOODS[(load - EATEN_AFTER) % 8], count=4, jar="pint")
        day.add("load_close", load)
        day.t += DAY / 14
        yield from day.hand_over()


def fill(folder: Path, events: int) -> None:
    """Write a history of at least so many entries.

    The first part goes through the engine's fold; beyond `FOLDED` it is repeated, entries and rows, with new numbers
    and times. The jars of all loads but the last year's are eaten.
    """
    with SqliteLog(folder) as log:
        database = log._connection
        rows = (row_of(event, moment(event.t)) for event in years(min(events, FOLDED)))
        database.execute("BEGIN")
        while chunk := list(islice(rows, 50_000)):
            database.executemany(INSERT, chunk)
        database.execute("COMMIT")
    with SqliteLog(folder) as log:
        _repeat(log._connection, max(0, events // FOLDED - 1))


def _repeat(database: sqlite3.Connection, times: int) -> None:
    seqs, loads, first, last = database.execute("SELECT max(seq), max(load), min(t), max(t) FROM event").fetchone()
    columns = [name for _, name, *_ in database.execute("PRAGMA table_info(loads)")]
    shifts = {"load": loads, "opened_t": last - first, "closed_t": last - first, "processed_t": last - first}
    shifts |= {"opened_seq": seqs, "closed_seq": seqs, "counted_seq": seqs}
    picked = ", ".join(f"{name} + ?1 * {shifts[name]}" if name in shifts else name for name in columns)
    said = f"seq + ?1 * {seqs}, t + ?1 * {last - first}, kind, load + ?1 * {loads}, data, heard, utc, elapsed, boot"
    for part in range(1, times + 1):
        database.execute("BEGIN")
        rows = database.execute(f"SELECT {said} FROM event WHERE seq <= {seqs} ORDER BY seq", (part,))
        database.executemany(INSERT, ((*row, sum_of(row)) for row in rows))
        database.execute("UPDATE loads SET taken = shelved WHERE shelved > taken AND load > ?", ((part - 1) * loads,))
        database.execute(f"INSERT INTO loads SELECT {picked} FROM loads WHERE load <= {loads}", (part,))
        database.execute("UPDATE projection SET seq = ?", ((part + 1) * seqs,))
        database.execute("COMMIT")
    if times:
        database.execute(
            "UPDATE loads SET taken = 0 WHERE load > (SELECT max(load) FROM loads) - ? AND sealed IS NOT NULL",
            (UNEATEN,),
        )
    database.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def forget(folder: Path) -> None:
    """Ask the system to drop the file from its cache, as after a boot."""
    for path in folder.glob(f"{NAME}*"):
        handle = os.open(path, os.O_RDONLY)
        os.fsync(handle)
        os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)
        os.close(handle)


def seconds(work: Callable[[], Any]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def of(samples: list[float], share: float) -> float:
    return sorted(samples)[min(len(samples) - 1, int(len(samples) * share))]


def opened(folder: Path, *, cold: bool, clock: Callable[[], float] = time.perf_counter) -> float:
    """Time opening as a start does, up to the state of the kitchen: the median of five."""
    samples = []
    for _ in range(5):
        if cold:
            forget(folder)
        begun = clock()
        with SqliteLog(folder) as log:
            fold(log.read())
            samples.append(clock() - begun)
    return statistics.median(samples)


def appended(folder: Path, count: int) -> tuple[list[float], list[float]]:
    """Append one by one, as a session does; between two appends write and sync a bare page on the same disk."""
    samples: list[float] = []
    bare: list[float] = []
    handle = os.open(folder / "bare", os.O_WRONLY | os.O_CREAT, 0o600)
    with SqliteLog(folder) as log:
        day = Day(log.last_seq, max(2_000_000_000.0, log.last_t))  # engine time never runs back
        while len(samples) < count:
            day.whole(log.last_load + 1, "carrots")
            day.add("opened", food="carrots", count=1)
            for event in day.hand_over():
                samples.append(seconds(lambda event=event: log.append([event], moment(event.t))))
                bare.append(seconds(lambda: (os.write(handle, b"x" * 4096), os.fsync(handle))))
    os.close(handle)
    return samples, bare


ASKED = ("what's on the shelf", "how many jars of okra are left", "what should we use first")


def queries(folder: Path) -> dict[str, float]:
    """Return milliseconds for each question: the median of five in wall time, the maximum in processor time."""
    with Logbook(folder) as book:
        last, opened_t = max((load.load, load.opened_t) for load in book.loads(newest=1))
        since = opened_t - 30 * DAY
        found = _timed(
            {
                "list, newest 50": lambda: list(book.loads(newest=50)),
                "list, newest 50 of a food": lambda: list(book.loads(food="okra", newest=50)),
                "list, open ones": lambda: list(book.loads(only_open=True)),
                "list, newest 50 since a day": lambda: list(book.loads(since_t=since, newest=50)),
                "list, newest 50, none fits": lambda: list(book.loads(food="nothing", since_t=since, newest=50)),
                "show one load": lambda: (book.load(last // 2), list(book.entries(last // 2))),
                "shelf, first 50": lambda: list(book.shelf(first=50)),
                "shelf, first 50 of a food": lambda: list(book.shelf("okra", first=50)),
            }
        )
    with SqliteLog(folder) as log:
        talk = Conversation(GrammarBook.load(), PRACTICE_KITCHEN, last_seq=1, pantry=log)
        asked = {f'"{text}"': partial(_ask, talk, text) for text in ASKED}
        return found | _timed(asked)


def _ask(talk: Conversation, text: str) -> None:
    (answer,) = talk.hear(Utterance((text,)), 2_000_000_000.0, typed=True).announcements
    if not answer.text:
        raise SystemExit(f"{text!r} wasn't answered")


def _timed(asked: dict[str, Callable[[], Any]]) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, work in asked.items():
        wall, processor = [], []
        for _ in range(5):
            used = time.process_time()
            wall.append(seconds(work))
            processor.append(time.process_time() - used)
        found[f"{name}: wall"] = statistics.median(wall) * 1000
        found[f"{name}: processor"] = max(processor) * 1000
    return found


def measure(folder: Path, events: int, appends: int) -> dict[str, Any]:
    """Measure one size."""
    with SqliteLog(folder), Logbook(folder) as book:
        loads = sum(1 for _ in book.loads())
    result: dict[str, Any] = {
        "events": events,
        "loads": loads,
        "megabytes": (folder / NAME).stat().st_size / 1e6,
        "open_warm_s": opened(folder, cold=False),
        "open_cold_s": opened(folder, cold=True),
        "open_processor_s": opened(folder, cold=False, clock=time.process_time),
        **queries(folder),
        "every load in full": seconds(lambda: _all(folder)) * 1000,
        "backup_s": seconds(lambda: back_up(folder, moment())),
        "verify_s": seconds(lambda: _prove(folder, fold_too=False)) if events <= VERIFIED else None,
        "verify_all_s": seconds(lambda: _prove(folder, fold_too=True)) if events <= FOLDED else None,
    }
    used = time.process_time()
    samples, bare = appended(folder, appends)
    result["append_processor_ms"] = (time.process_time() - used) / len(samples) * 1000
    for name, times in (("append", samples), ("bare sync", bare)):
        result.update({f"{name} p50_ms": of(times, 0.5) * 1000, f"{name} p99_ms": of(times, 0.99) * 1000})
    result.update({"append_max_ms": max(samples) * 1000, "appends": len(samples)})
    return result


def history(folder: Path, events: int) -> Path:
    """Return the folder of a synthetic history, reused if it exists."""
    made = folder / f"history-{events}"
    if not (made / "whole").exists():
        shutil.rmtree(made, ignore_errors=True)  # an unfinished one
        made.mkdir()
        fill(made, events)
        (made / "whole").touch()
    return made


def _all(folder: Path) -> None:
    with Logbook(folder) as book:
        for _ in book.loads():
            pass


def _prove(folder: Path, *, fold_too: bool) -> None:
    with Logbook(folder) as book:
        faults = book.proof(fold_too=fold_too)
    if faults:
        raise SystemExit(f"the log isn't in order: {faults}")


def table(results: list[dict[str, Any]]) -> str:
    """Return the figures as a table in Markdown."""
    heads = " | ".join(f"{each['events']:,} events" for each in results)
    lines = [f"| figure | {heads} |", "| --- |" + " ---: |" * len(results)]
    for name in results[0]:
        if name != "events":
            cells = ["not measured" if each[name] is None else f"{each[name]:,.4g}" for each in results]
            unit = "" if name.endswith(("_s", "_ms")) or name in ("loads", "megabytes", "appends") else " (ms)"
            lines.append(f"| {name.replace('_', ' ')}{unit} | {' | '.join(cells)} |")
    return "\n".join(lines)


def draw_growth(curves: dict[str, list[tuple[int, float]]], file: Path) -> None:
    """Plot milliseconds against events, both on logarithmic scales, one line for each figure."""
    figure = Figure(figsize=(7.0, 4.2))
    axes = figure.subplots()
    for (name, points), (marker, dash) in zip(curves.items(), LOOKS, strict=False):
        axes.plot(*zip(*points, strict=True), marker=marker, linestyle=dash, label=name)
    axes.set(xscale="log", yscale="log", xlabel="events in the log", ylabel="milliseconds")
    axes.grid(alpha=0.4)
    axes.legend(fontsize=8)
    figure.tight_layout()
    with rc_context({"svg.hashsalt": "kitchenvoice"}):
        figure.savefig(file, format="svg", metadata={"Date": None})


def curves(results: list[dict[str, Any]]) -> dict[str, list[tuple[int, float]]]:
    """Pick the figures with a limit: opening (1 s), slowest list or question (100 ms), append (10 ms), bare sync."""
    asked = [name for name in results[0] if name.startswith(('"', "list", "shelf", "show")) and name.endswith(": wall")]
    figures: dict[str, Callable[[dict[str, Any]], float]] = {
        "opening, warm (limit 1,000)": lambda each: each["open_warm_s"] * 1000,
        "slowest list or question (limit 100)": lambda each: max(each[name] for name in asked),
        "append, 99 of 100 (limit 10)": lambda each: each["append p99_ms"],
        "bare sync of the disk, 99 of 100": lambda each: each["bare sync p99_ms"],
    }
    return {name: [(each["events"], pick(each)) for each in results] for name, pick in figures.items()}


def main(arguments: list[str] | None = None) -> int:
    """Measure, print one JSON object a size, and write the table if a file is named."""
    parser = argparse.ArgumentParser(prog="scripts/bench_logbook", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--events", type=int, nargs="+", default=[10_000, 100_000, 1_000_000])
    parser.add_argument("--appends", type=int, default=1000)
    parser.add_argument("--folder", type=Path, help="where to work: a folder on the disk to be measured")
    parser.add_argument("--keep", action="store_true", help="leave the histories in --folder, and use those left there")
    parser.add_argument("--out", type=Path, help="write the table to this file")
    parser.add_argument("--plot", type=Path, help="draw the growth curve into this SVG file")
    given = parser.parse_args(arguments)
    results = []
    for events in given.events:
        with tempfile.TemporaryDirectory(dir=given.folder, prefix="bench-") as fresh:
            keep = given.folder if given.keep and given.folder else Path(fresh)
            results.append(measure(history(keep, events), events, given.appends))
        sys.stdout.write(json.dumps(results[-1]) + "\n")
        sys.stdout.flush()
    if given.plot:
        draw_growth(curves(results), given.plot)
    if given.out:
        where = f"Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}, {os.cpu_count()} cores"
        load = f"load average while measuring {os.getloadavg()[1]:.1f}"
        given.out.write_text(f"# The logbook, measured\n\n{where}, {load}.\n\n{table(results)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
