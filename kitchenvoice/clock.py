"""The system clock and a simulated one. The only module that reads the time."""

from __future__ import annotations

import ctypes
import time
from pathlib import Path

from kitchenvoice.ports import Moment

__all__ = ["SimulatedClock", "SystemClock"]

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
_KEPT_CLOCKS = Path("/sys/class/rtc")
_ASK_AGAIN_S = 10.0
_NOT_SYNCHRONISED = 5
"""Return value of `adjtimex` while no time server disciplines the clock (TIME_ERROR, adjtimex(2))."""


class SystemClock:
    """Wall clock (UTC) and boot-time clock; the latter counts suspend if the system offers it."""

    def __init__(self) -> None:
        self._boot = _BOOT_ID.read_text().strip() if _BOOT_ID.exists() else ""
        self._source = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)

        self._sure, self._asked = _is_set(), self._elapsed()

    def _elapsed(self) -> float:
        return time.clock_gettime(self._source)

    def now(self) -> Moment:
        """Read both clocks."""
        elapsed = self._elapsed()
        if not self._sure and elapsed >= self._asked + _ASK_AGAIN_S:
            self._sure, self._asked = _is_set(), elapsed
        return Moment(time.time(), elapsed, self._boot, self._sure)


def _is_set() -> bool:
    """True if the wall clock can be right after a boot: a battery-backed clock, or one set by a time server.

    Where the system can't be asked, the clock is assumed to be right.
    """
    if not _BOOT_ID.exists() or (_KEPT_CLOCKS.is_dir() and any(_KEPT_CLOCKS.iterdir())):
        return True
    try:
        asked = ctypes.create_string_buffer(512)  # struct timex with modes 0: only a question
        return int(ctypes.CDLL(None).adjtimex(asked)) not in (_NOT_SYNCHRONISED, -1)
    except (OSError, AttributeError):
        return True


class SimulatedClock:
    """A clock for tests and rehearsals, which moves only on demand."""

    def __init__(self, utc: float = 0.0, boot: str = "simulated") -> None:
        self._utc = utc
        self._elapsed = 0.0
        self._boot = boot
        self._sure = True

    def now(self) -> Moment:
        """Return the time that was set."""
        return Moment(self._utc, self._elapsed, self._boot, self._sure)

    def advance(self, seconds: float) -> None:
        """Move forward. Raises: ValueError for a negative step."""
        if seconds < 0:
            raise ValueError("a clock runs forward; use step_wall_clock to set it back")
        self._utc += seconds
        self._elapsed += seconds

    def step_wall_clock(self, seconds: float) -> None:
        """Set the wall clock forward or back, as a person or a time server does; elapsed time is unaffected."""
        self._utc += seconds

    def reboot(self, boot: str, off_s: float = 0.0, *, wall_kept: bool = True) -> None:
        """Switch off for `off_s` seconds and boot again; without `wall_kept` the wall clock stood still meanwhile."""
        self._utc += off_s if wall_kept else 0.0
        self._elapsed = 0.0
        self._boot = boot
        self._sure = wall_kept
