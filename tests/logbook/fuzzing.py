"""Fuzzing of every file reader: each damaged or random file is taken, or refused in one sentence, in good time.

    scripts/fuzz_files [--count 2000] [--seed 1]      so many of each kind; the first fault ends it
    scripts/fuzz_files --minutes 60 [--report FILE]   as many as fit; every fault is counted, and a report written

A file is a valid one with bytes flipped, cut, doubled, joined or replaced, or pieces of the format in a random order.
An exception outside our own tree, a message of several lines or more than `MOST_S` of processor time ends the run with
the kind and the seed of the file; the file itself is kept.
"""

from __future__ import annotations

import argparse
import io
import json
import random
import shutil
import sqlite3
import sys
import tempfile
import time
import wave
from collections import Counter
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, field, replace
from functools import cache, partial
from pathlib import Path

from kitchenvoice.app.heartbeat import Heartbeat
from kitchenvoice.board.access import AccessControl
from kitchenvoice.clock import SystemClock
from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.grammar.jsgf import read_file
from kitchenvoice.hearing import read_wav
from kitchenvoice.hearing.recognise.graph_cache import find_kept, keep
from kitchenvoice.hearing.recognise.manifest import read_manifest
from kitchenvoice.hearing.recognise.model_store import NEEDED, RECORD, verified_folder
from kitchenvoice.kitchen.profile import load_profile
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.store.restore import restore
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.logbook.tables.rows import INSERT, row_of, sum_of
from kitchenvoice.rehearsal.scenario import read_scenario

from . import fuzzing_talk as talk
from .days import IN_MEMORY, Day, moment
from .sessions import PROFILE

ROOT = Path(__file__).resolve().parents[2]

CORPUS = Path(__file__).parent / "corpus"
MOST_S = 3.0
"""Limit of processor time for one file; about twenty times the slowest."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: name, valid examples, pieces, and reader (given its folder)."""

    name: str
    good: tuple[bytes, ...]
    pieces: tuple[bytes, ...]
    read: Callable[[Path], object]


def _sound() -> bytes:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setparams((1, 2, 16_000, 0, "NONE", ""))
        file.writeframes(bytes(range(256)) * 25)
    return buffer.getvalue()


def _record() -> bytes:
    day = Day()
    day.whole(1, failed=1)
    day.start(2)
    with tempfile.TemporaryDirectory(dir=IN_MEMORY) as folder:
        with SqliteLog(Path(folder)) as log:
            log.append(day.events, moment())
        return (Path(folder) / NAME).read_bytes()


def _read_record(folder: Path) -> None:
    """Read a file as a log, write to it, and restore from it as from a backup."""
    for end in ("-wal", "-shm"):
        (folder / f"{NAME}{end}").unlink(missing_ok=True)
    content = (folder / NAME).read_bytes()
    try:
        with Logbook(folder) as book:
            for number in [load.load for load in book.loads()] + [each.load for each in book.shelf()]:
                list(book.entries(number))
    finally:
        (folder / "backup").write_bytes(content)
        with tempfile.TemporaryDirectory(dir=IN_MEMORY) as fresh:
            restore(Path(fresh) / "home", folder / "backup")
            with SqliteLog(Path(fresh) / "home") as log:
                list(log.read())


def _find_kept(folder: Path) -> None:
    """Look up a cached file: intact, or a miss."""
    assert find_kept(folder, "print") in (None, bytes(range(256)))


def _entries(rng: random.Random, folder: Path) -> None:
    """Make a log of arbitrary entries with valid checksums."""

    day = Day()
    day.whole(1, failed=1)
    with SqliteLog(folder):
        pass
    with closing(sqlite3.connect(folder / NAME, isolation_level=None)) as database:
        for event in day.events:
            row = list(row_of(event, moment(event.t)))
            if rng.random() < 0.3:
                row[rng.choice((2, 4, 5, 8))] = rng.choice(
                    (
                        "",
                        "load_start",
                        "scratched",
                        "[" * 90_000,
                        '{"seq":1}',
                        '{"food":[1]}',
                        "NaN",
                        '"x"',
                        "\x1b[2J",
                        "{}",
                    )
                )
            database.execute(INSERT, (*row[:9], sum_of(row[:9])))


def kinds() -> tuple[Kind, ...]:
    """Return the kinds, with good files of each, and files that did harm once."""
    return tuple(replace(kind, good=(*kind.good, *corpus(kind.name))) for kind in _kinds())


def corpus(name: str) -> list[bytes]:
    """Return the files of one kind that did harm once, or were made to."""
    return [path.read_bytes() for path in sorted((CORPUS / name.lstrip(".")).glob("*"))]


@cache
def _kinds() -> tuple[Kind, ...]:
    scenarios = tuple(path.read_bytes() for path in sorted((ROOT / "tests/scenarios").glob("*.txt"))[:6])
    grammars = tuple(path.read_bytes() for path in sorted((ROOT / "grammars").glob("*.jsgf"))[:6])
    profile = PROFILE.encode()
    alive = json.dumps({"t": 1.0, "utc": 1.0, "elapsed": 1.0, "boot": "b", "sure": True}).encode()
    boards = json.dumps({"a" * 64: 1.0, "b" * 64: 2.0}).encode()
    archive = {"source": "page", "where": "a", "inside": "b", "bytes": 1, "sha256": "c"}
    manifest = json.dumps({"speech": {"name": "small", "unpacked_bytes": 1, "archives": [archive]}}).encode()
    listed = json.dumps(
        {"archive_sha256": "a" * 64, "files": {name: {"bytes": 1, "sha256": "b"} for name in NEEDED}}
    ).encode()
    with tempfile.TemporaryDirectory(dir=IN_MEMORY) as folder:
        keep(Path(folder), "print", bytes(range(256)))
        kept = (Path(folder) / "print.kept").read_bytes()
    signs = (b"<a>", b" = ", b";", b"(", b")", b"[", b"]", b"|", b"{", b"}", b"*", b"public ", b"\n", b"/9/")
    tables = (b"[", b"]", b"{", b"a.", b"=", b"\n", b'"', b"[[canner]]\n", b"number = 1\n", b"9" * 50)
    chunks = (b"RIFF", b"WAVE", b"fmt ", b"data", b"\xff\xff\xff\xff", b"\0" * 8, b"\x10\0\0\0")
    lines = (b"> ", b"< ", b"@ ", b"! ", b"% off ", b"00:99:99", b"\n", b"altitude ")
    values = (b"{", b"[", b'"t":', b"1e999", b"NaN", b",", b"null", b"}", b"]")
    return (
        Kind("day.txt", scenarios, lines, lambda folder: read_scenario(folder / "day.txt")),
        Kind("pack.jsgf", grammars, signs, lambda folder: read_file(folder / "pack.jsgf")),
        Kind("profile.toml", (profile,), tables, load_profile),
        Kind("sound.wav", (_sound(),), chunks, lambda folder: read_wav(folder / "sound.wav")),
        Kind("alive.json", (alive,), values, lambda folder: Heartbeat(folder).last()),
        Kind("boards.json", (boards,), values, lambda folder: AccessControl(moment, lambda _: None, folder)),
        Kind("manifest.json", (manifest,), values, lambda folder: read_manifest(folder / "manifest.json")),
        Kind(RECORD, (listed,), values, verified_folder),
        Kind("print.kept", (kept,), (b"\0" * 32, b"x"), _find_kept),
        Kind("typed.txt", talk.SENTENCES, talk.pieces_of_sentences(), talk.read_lines),
        Kind("request.http", talk.REQUESTS, talk.pieces_of_requests(), talk.send_request),
        Kind(NAME, (_record(),), (b"SQLite format 3\0", b"\0" * 100, b"\xff" * 100), _read_record),
    )


def spoiled(rng: random.Random, kind: Kind) -> bytes:
    """Return a damaged or random file of this kind."""
    if rng.random() < 0.25:
        return b"".join(rng.choice((*kind.pieces, rng.randbytes(3))) for _ in range(rng.choice((3, 30, 3_000))))
    content = bytearray(rng.choice(kind.good))
    for _ in range(rng.choice((1, 1, 4, 40))):
        at, length = rng.randrange(len(content) + 1), rng.choice((1, 1, 8, 200))
        change = rng.randrange(5)
        if change == 0:
            content[at : at + length] = rng.randbytes(length)
        elif change == 1:
            del content[at : at + length]
        elif change == 2:
            content[at:at] = rng.choice(kind.pieces) * rng.choice((1, 2, 300))
        elif change == 3:
            content[at:at] = content[at : at + length]
        elif len(content):
            content[at % len(content)] ^= 1 << rng.randrange(8)
    return bytes(content)


def judge(read: Callable[[], object]) -> str:
    """Return "taken" or "refused". Raises: AssertionError for a bad message or too long a time."""
    begun = time.process_time()
    try:
        read()
        return "taken"
    except KitchenVoiceError as error:
        assert str(error).strip(), "no sentence"
        assert str(error).isprintable(), f"more than a line, or a sign that steers a terminal: {str(error)!r}"
        assert len(str(error)) < 1000, "a long sentence"
        return "refused"
    finally:
        assert time.process_time() - begun < MOST_S, "too long"


@dataclass(slots=True)
class Tally:
    """What became of the files: how many were taken and refused, the longest time, the faults with their seeds."""

    found: Counter[str] = field(default_factory=Counter)
    longest_s: dict[str, float] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def try_one(self, kind: Kind, number: int) -> None:
        """Make the file of this number, and let it be read. Raises: whatever went wrong; the file is left then."""
        rng = random.Random(f"{kind.name} {number}")
        folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir=IN_MEMORY))
        begun = time.process_time()
        try:
            if kind.name == NAME and number % 3 == 0:
                _entries(rng, folder)
            else:
                (folder / kind.name).write_bytes(spoiled(rng, kind))
            self.found[f"{kind.name} {judge(partial(kind.read, folder))}"] += 1
        except BaseException as error:
            error.add_note(f"{kind.name}, seed {number}; the file is in {folder}")
            raise
        self.longest_s[kind.name] = max(self.longest_s.get(kind.name, 0.0), time.process_time() - begun)
        shutil.rmtree(folder)


def _read_once(kind: Kind) -> None:
    """Read a file, so that what is loaded once a session isn't taken for the time of the first damaged one."""
    with tempfile.TemporaryDirectory(prefix="fuzz-", dir=IN_MEMORY) as folder, suppress(KitchenVoiceError):
        (Path(folder) / kind.name).write_bytes(spoiled(random.Random(0), kind))
        kind.read(Path(folder))


def run(count: int, seed: int) -> Counter[str]:
    """Try so many files of each kind, each of a seed of its own; return how many were taken and refused."""
    tally, there = Tally(), kinds()
    for kind in there:
        _read_once(kind)
    for number in range(seed, seed + count):
        for kind in there:
            tally.try_one(kind, number)
    return tally.found


def run_for(minutes: float, seed: int) -> Tally:
    """Try as many as fit into these minutes, whatever goes wrong."""
    tally, there = Tally(), kinds()
    clock = SystemClock()
    end = clock.now().elapsed + 60.0 * minutes
    while clock.now().elapsed < end:
        for kind in there:
            try:
                tally.try_one(kind, seed)
            except Exception as error:
                tally.found[f"{kind.name} faults"] += 1
                tally.faults.append(f"{type(error).__name__}: {error} ({'; '.join(error.__notes__)})")
        seed += 1
    return tally


def report(tally: Tally, minutes: float, seed: int) -> str:
    """Return the page of a run."""
    rows = []
    for kind in _kinds():
        taken, refused, faults = (tally.found[f"{kind.name} {what}"] for what in ("taken", "refused", "faults"))
        slowest_ms = 1_000 * tally.longest_s.get(kind.name, 0.0)
        rows.append(
            f"| `{kind.name}` | {taken + refused + faults:,} | {taken:,} | {refused:,} | {faults} | {slowest_ms:.0f} |"
        )
    return "\n".join(
        (
            "# Damaged and made-up input, tried",
            "",
            f"`scripts/fuzz_files --minutes {minutes:g} --seed {seed}`: good files, `tests/logbook/corpus/` too,",
            "with bytes flipped, cut, doubled, joined or replaced, or pieces of the format in a random order, to",
            f"whatever reads them. Each is taken, or refused in one sentence, within {MOST_S:g} s of processor time;",
            "anything else is a fault.",
            "",
            "| what | tried | taken | refused | faults | slowest, processor ms |",
            "| --- | ---: | ---: | ---: | ---: | ---: |",
            *rows,
            "",
            f"{sum(tally.found.values()):,} inputs, {len(tally.faults)} faults.",
            *(f"- {fault}" for fault in tally.faults[:50]),
            "",
        )
    )


def main(arguments: list[str] | None = None) -> int:
    """Run, and print what became of the files; faults give exit code 1."""
    parser = argparse.ArgumentParser(prog="scripts/fuzz_files", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--count", type=int, default=2000, help="files of each kind")
    parser.add_argument("--minutes", type=float, help="instead: as many as fit into these minutes")
    parser.add_argument("--report", type=Path, help="write the report of --minutes to this file")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args(arguments)
    if given.minutes is None:
        found = run(given.count, given.seed)
        sys.stdout.write("".join(f"{name}: {count}\n" for name, count in sorted(found.items())))
        return 0
    tally = run_for(given.minutes, given.seed)
    page = report(tally, given.minutes, given.seed)
    if given.report is not None:
        given.report.write_text(page, "utf-8")
    sys.stdout.write(page)
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
