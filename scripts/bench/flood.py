"""How late timers, typed answers and appends are while the board is flooded, beside how late they are without."""

from __future__ import annotations

import argparse
import json
import os
import queue
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from bench.attacks import ATTACKS, let_in
from tests.profiles import profile_text

__all__ = ["main"]

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ROOT / "scripts"
PORT = 8499
WAITS = ("timer", "answer", "append")
MOST_MS = 50.0
"""What a flood may add to the wait of one in a hundred."""
BEGIN = ("start seven quarts of green beans raw pack", "yes")
LINES = ("set a timer for ten seconds", "where are we", "one jar packed", "how much salt")
_PACE_S = 0.1
_PATIENCE_S = 30.0
_TABLET_NICE = "19"


@dataclass(slots=True)
class Waits:
    """Milliseconds waited by one program, by what for."""

    ms: dict[str, list[float]] = field(default_factory=lambda: {what: [] for what in WAITS})

    def at(self, share: float, what: str) -> float:
        """Return a quantile, by nearest rank."""
        ordered = sorted(self.ms[what]) or [0.0]
        return ordered[round(share * (len(ordered) - 1))]


@dataclass(slots=True)
class Trial:
    """One attack: the waits of the program under it and of the one beside it, and the share of a core it took."""

    name: str
    addresses: int
    beset: Waits
    beside: Waits
    share: float
    connections: int

    def in_time(self) -> bool:
        """True if the attack added no more than `MOST_MS` to the wait of one in a hundred."""
        return all(self.beset.at(0.99, what) - self.beside.at(0.99, what) <= MOST_MS for what in WAITS)

    def added(self, what: str) -> str:
        """What the attack added to the median and to the 95th and 99th percentile, in milliseconds."""
        return ", ".join(f"{self.beset.at(q, what) - self.beside.at(q, what):+.0f}" for q in (0.5, 0.95, 0.99))

    def row(self) -> str:
        """One row of the table."""
        waits = (
            " / ".join(f"{each.at(q, what):.0f}" for q in (0.5, 0.99, 1.0))
            for what in WAITS
            for each in (self.beset, self.beside)
        )
        where = (
            ""
            if not self.addresses or not self.name
            else "one address"
            if self.addresses == 1
            else f"{self.addresses} addresses"
        )
        cells = (self.name or "none", where, f"{self.connections:,}", f"{self.share:.0%}", *waits)
        return f"| {' | '.join(cells)} |"


def report(trials: Sequence[Trial], seconds: float) -> str:
    """The report in Markdown."""
    whole = together(trials)
    return "\n".join(
        (
            "# Late under a flood?",
            "",
            f"`scripts/bench_flood --seconds {seconds:.0f}`: two real sessions at once, the same typed into both; one",
            "has a board, which is attacked. Median / 99th percentile / maximum in milliseconds of the one, then of",
            "the other, which tells what the machine itself makes late. A timer's call counts from when it was due,",
            "an append until it is on the disk, an answer from the keyboard to the screen.",
            "",
            "| attack | from | connections | of a core | " + " | ".join(f"{each} | beside" for each in WAITS) + " |",
            "| --- | --- | ---: | ---: |" + " ---: |" * (2 * len(WAITS)),
            *(each.row() for each in (*trials, whole)),
            "",
            f"Last row: all attacks, {', '.join(f'{len(whole.beset.ms[what]):,} of {what}' for what in WAITS)}.",
            "Added by them to the median and the 95th and 99th percentile, in milliseconds: "
            f"{'; '.join(f'{what} {whole.added(what)}' for what in WAITS)}. The limit is {MOST_MS:.0f}.",
            f"Other work on the machine at the end: a load of {os.getloadavg()[1]:.1f} on {os.cpu_count()} cores.",
            "",
        )
    )


def together(trials: Sequence[Trial]) -> Trial:
    """All attacks as one: of each alone there are too few waits to tell the attack from the machine's other work."""
    attacks = [each for each in trials if each.name]
    beset, beside = Waits(), Waits()
    for what in WAITS:
        beset.ms[what] = [ms for each in attacks for ms in each.beset.ms[what]]
        beside.ms[what] = [ms for each in attacks for ms in each.beside.ms[what]]
    share = sum(each.share for each in attacks) / max(1, len(attacks))
    return Trial("together", 0, beset, beside, share, sum(each.connections for each in attacks))


class Program:
    """A running session with a board for the network."""

    def __init__(self, home: Path, board: bool) -> None:
        home.mkdir()
        (home / "profile.toml").write_text(profile_text(800, date.today()), "utf-8")
        self.measured = home / "measured.txt"
        self._board = ["--board", f"0.0.0.0:{PORT}"] if board else []
        self.code = ""
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._read_to = 0
        self._process = subprocess.Popen(
            [sys.executable, "-m", "bench.flooded", str(self.measured), "start", "--typed", *self._board],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=SCRIPTS,
            env={**os.environ, "KITCHENVOICE_HOME": str(home), "PYTHONPATH": f"{ROOT}:{SCRIPTS}"},
        )  # fmt: skip
        threading.Thread(target=self._read, daemon=True).start()

    def _next(self) -> str:
        try:
            return self._process.stdout.readline() if self._process.stdout is not None else ""
        except ValueError:  # closed meanwhile
            return ""

    def _read(self) -> None:
        while line := self._next():
            told = json.loads(line)
            if told["event"] == "board_code":
                self.code = told["text"]
            if told["who"] == "kitchenvoice" and not re.search(r"is up\.|seconds ago|minutes? ago", told["text"]):
                self._answers.put(told["text"])

    def ask(self, line: str) -> float:
        """Type a line; return the milliseconds until its answer was printed."""
        assert self._process.stdin is not None
        begun = time.perf_counter()
        self._process.stdin.write(f"{line}\n")
        self._process.stdin.flush()
        self._answers.get(timeout=_PATIENCE_S)
        return 1000.0 * (time.perf_counter() - begun)

    def wait_until_it_talks(self) -> None:
        """Wait for its greeting, and for the board's code."""
        self._answers.get(timeout=_PATIENCE_S)
        while self._board and not self.code:
            time.sleep(0.05)

    def processor_s(self) -> float:
        """Processor time so far, of all its threads, in seconds."""
        fields = Path(f"/proc/{self._process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def new_measurements(self) -> Iterator[tuple[str, float]]:
        """Yield what its stopwatch wrote since the last look."""
        lines = self.measured.read_text().splitlines()
        for line in lines[self._read_to :]:
            what, _, ms = line.partition(" ")
            yield what, float(ms)
        self._read_to = len(lines)

    def end(self) -> None:
        """End it."""
        with self._process:
            self._process.terminate()


@contextmanager
def flooded(name: str, addresses: int, cookie: str, seconds: float) -> Iterator[list[int]]:
    """Attack meanwhile; the list gets the number of connections made."""
    made: list[int] = []
    if not name:
        yield made
        return
    attack = subprocess.Popen(
        ["nice", "-n", _TABLET_NICE, sys.executable, "-m", "bench.attacks", name, str(PORT), "--addresses",
         str(addresses), "--cookie", cookie, "--seconds", str(seconds)],
        cwd=SCRIPTS, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": str(SCRIPTS)},
    )  # fmt: skip
    with attack:
        yield made
        made.append(int(attack.communicate()[0] or 0))


def trial(beset: Program, beside: Program, name: str, addresses: int, cookie: str, seconds: float) -> Trial:
    """Type the same into both for `seconds`, while one is under attack."""
    both = (beset, beside)
    waits = (Waits(), Waits())
    with flooded(name, addresses, cookie, seconds + 2.0) as made:
        time.sleep(2.0)
        for program in both:
            list(program.new_measurements())
        begun, before = time.perf_counter(), beset.processor_s()
        typing = [threading.Thread(target=_type, args=(*each, seconds)) for each in zip(both, waits, strict=True)]
        for each in typing:
            each.start()
        for each in typing:
            each.join()
        share = (beset.processor_s() - before) / (time.perf_counter() - begun)
        for program, found in zip(both, waits, strict=True):
            for what, ms in program.new_measurements():
                found.ms[what].append(ms)
    return Trial(name, addresses, *waits, share, sum(made))


def _type(program: Program, waits: Waits, seconds: float) -> None:
    begun, number = time.perf_counter(), 0
    while time.perf_counter() - begun < seconds:
        waits.ms["answer"].append(program.ask(LINES[number % len(LINES)]))
        number += 1
        time.sleep(_PACE_S)


def main() -> int:
    """Run the attacks asked for, each from one and from two hundred addresses."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="ATTACK", help=f"of {', '.join((*ATTACKS, 'all'))}; all by default")
    parser.add_argument("--seconds", type=float, default=15.0, help="of each")
    parser.add_argument("--report", type=Path, help="write the report to this file")
    given = parser.parse_args()
    trials: list[Trial] = []
    with tempfile.TemporaryDirectory() as folder, ExitStack() as running:
        beset, beside = (Program(Path(folder) / name, board) for name, board in (("beset", True), ("beside", False)))
        for program in (beset, beside):
            running.callback(program.end)
            program.wait_until_it_talks()
            for line in (*BEGIN, *LINES):
                program.ask(line)
        cookie = let_in(PORT, beset.code)
        for name in ("", *(given.names or (*ATTACKS, "all"))):
            for addresses in (1, 200) if name else (1,):
                trials.append(trial(beset, beside, name, addresses, cookie, given.seconds))
                print(trials[-1].row(), flush=True)
    if given.report is not None:
        given.report.write_text(report(trials, given.seconds), "utf-8")
    return int(not together(trials).in_time())


if __name__ == "__main__":
    sys.exit(main())
