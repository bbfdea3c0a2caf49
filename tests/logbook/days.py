"""Synthetic days for the tests of the logbook: events as the engine records them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from kitchenvoice.ports import Event, Moment

IN_MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None
"""Only the stored content matters here, not whether a disk was synced."""

DAY = 86_400.0
SEASON = 1_783_000_000.0
"""A day in July 2026."""

PRESSURE = {
    "pack": "raw",
    "jar": "pint",
    "count": 9,
    "canner": 1,
    "method": "pressure",
    "gauge": "dial",
    "altitude_ft": 800,
    "minutes": 25,
    "psi": 11,
    "headspace": "one inch",
    "source": ("table 4",),
}


class Day:
    """Builds numbered events, a minute apart, or at the end of a timer."""

    def __init__(self, seq: int = 0, t: float = SEASON) -> None:
        self.seq = seq
        self.t = t
        self.events: list[Event] = []

    def ends(self, load: int | None, timer: str, minutes: float) -> Event:
        """The end of a timer, so many minutes after the previous entry."""
        self.t += 60.0 * (minutes - 1)
        return self.add("timer_due", load, timer=timer, mark="end")

    def add(self, kind: str, load: int | None = None, heard: str = "", **data: Any) -> Event:
        self.seq += 1
        self.t += 60.0
        self.events.append(Event(seq=self.seq, t=self.t, kind=kind, load=load, data=data, heard=heard))
        return self.events[-1]

    def start(self, load: int, food: str = "carrots", **data: Any) -> Event:
        given = {**PRESSURE, "food": food, "food_name": food.replace("_", " "), "number": load, "canner": load, **data}
        return self.add("load_start", load, heard=f"start a load of {food}", **given)

    def until_rest(self, load: int, food: str = "carrots", *, jars: int = 9, restarts: int = 0, **data: Any) -> None:
        """A load from its start to its jars on the counter."""
        self.start(load, food, count=jars, **data)
        self.add("packed", load, count=jars)
        self.add("jars_in", load)
        self.add("lid_locked", load)
        self.add("heat_on", load)
        self.add("steam_steady", load)
        self.ends(load, "vent", 10)
        self.add("weight_on", load)
        self.add("pressure_is", load, pressure=11.0)
        for _ in range(restarts):
            self.add("pressure_low", load, pressure=9.5)
            self.add("pressure_is", load, pressure=11.5)
        self.ends(load, "hold", data.get("minutes", PRESSURE["minutes"]))
        self.add("heat_off", load)
        self.add("gauge_zero", load)
        self.ends(load, "settle", 10)
        self.add("lid_off", load)
        self.add("jars_out", load)

    def whole(self, load: int, food: str = "carrots", *, jars: int = 9, failed: int = 0, **more: Any) -> None:
        """A load from its start to the shelf."""
        self.until_rest(load, food, jars=jars, **more)
        self.ends(load, "rest", 12 * 60)
        self.add("seal_count", load, sealed=jars - failed, failed=failed)
        if failed:
            self.add("jar_outcome", load, outcome="refrigerate", count=failed)
        self.add("load_close", load)

    def hand_over(self) -> list[Event]:
        """Return the events added since the last time."""
        events, self.events = self.events, []
        return events


def moment(t: float = SEASON) -> Moment:
    return Moment(utc=t, elapsed=t - SEASON + 100.0, boot="boot 1")


def one_by_one(events: list[Event]) -> Iterator[tuple[list[Event], Moment]]:
    for event in events:
        yield [event], moment(event.t)
