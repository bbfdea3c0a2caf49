"""The real clock and one that is moved by hand. The only module that reads the time."""

from __future__ import annotations

import time
from pathlib import Path

from kitchenvoice.ports import Moment

__all__ = ["SimulatedClock", "SystemClock"]

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class SystemClock:
    """Wall clock (UTC) and the boot-time clock, which counts suspend where the system offers it."""

    def __init__(self) -> None:
        self._boot = _BOOT_ID.read_text().strip() if _BOOT_ID.exists() else ""
        self._source = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)

    def now(self) -> Moment:
        """Read both clocks."""
        return Moment(utc=time.time(), elapsed=time.clock_gettime(self._source), boot=self._boot)


class SimulatedClock:
    """A clock for tests and rehearsals; it moves only when told to."""

    def __init__(self, utc: float = 0.0, boot: str = "simulated") -> None:
        self._utc = utc
        self._elapsed = 0.0
        self._boot = boot

    def now(self) -> Moment:
        """Return the time that was set."""
        return Moment(utc=self._utc, elapsed=self._elapsed, boot=self._boot)

    def advance(self, seconds: float) -> None:
        """Move forward. Raises: ValueError for a negative step."""
        if seconds < 0:
            raise ValueError("a clock runs forward; use step_wall_clock to set it back")
        self._utc += seconds
        self._elapsed += seconds

    def step_wall_clock(self, seconds: float) -> None:
        """Set the wall clock forward or back, as a hand or a time server does; elapsed time isn't touched."""
        self._utc += seconds

    def reboot(self, boot: str, off_s: float = 0.0) -> None:
        """Switch off for `off_s` seconds and boot again."""
        self._utc += off_s
        self._elapsed = 0.0
        self._boot = boot
