"""Kill a whole session amid its work and restart it: nothing shown as recorded is lost, and how long a start takes."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

from kitchenvoice.logbook import Logbook

from .sessions import PROFILE, Started

__all__ = ["Restarts", "kill_sessions"]

_LINES = (
    "start seven quarts of green beans raw pack",
    "yes",
    "three jars packed",
    "seven jars are in",
    "lid is locked",
    "heat is on",
    "steam is steady",
    "steam stopped",
    "steam is steady",
    "set a timer for ten minutes",
    "where are we",
    "give up the load",
    "yes",
)


@dataclass
class Restarts:
    """Results: seconds from the start to the first words, in wall time and processor time."""

    kind: str = "a whole session killed and started again"
    starts: int = 0
    entries: int = 0
    faults: list[str] = field(default_factory=list)
    wall_s: list[float] = field(default_factory=list)
    processor_s: list[float] = field(default_factory=list)

    @property
    def ok(self) -> bool:
        """True if nothing was lost."""
        return not self.faults

    def figures(self) -> dict[str, object]:
        """Return median and maximum of both."""
        told: dict[str, object] = {"ok": self.ok, "kind": self.kind, "starts": self.starts, "entries": self.entries}
        for name, times in (("wall_s", self.wall_s), ("processor_s", self.processor_s)):
            told[name] = {"median": round(median(times), 2), "slowest": round(max(times), 2)}
        return {**told, "faults": self.faults[:5]}


def kill_sessions(home: Path, count: int, chance: random.Random) -> Restarts:
    """Start a session so many times after killing it at a random moment of its work."""
    home.mkdir(mode=0o700)
    (home / "profile.toml").write_text(PROFILE)
    found, shown, line = Restarts(), 0, 0
    for number in range(count + 1):
        session = Started(home)
        session.wait_for("istening")
        if number:
            found.starts += 1
            found.wall_s.append(time.perf_counter() - session.begun)
            found.processor_s.append(session.processor_s())
        for _ in range(chance.randrange(1, 8)):
            session.type_in(_LINES[line % len(_LINES)])
            line += 1
            time.sleep(chance.random() * 0.1)
        session.kill()
        shown += session.recorded
        with Logbook(home) as book:
            stored, faults = book.last_seq, book.proof()
        found.faults += faults
        if stored < shown:
            found.faults.append(f"kill {number}: {shown} entries were shown as recorded, {stored} are there")
        shown = stored
    found.entries = shown
    return found
