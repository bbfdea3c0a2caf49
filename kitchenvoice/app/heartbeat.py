"""Length of a gap between sessions, and the engine time to go on at, from signs of life of the one before.

Engine time runs on from what was recorded, by the clock that never steps where the machine stayed on, by the wall
clock where it was off. So a wall clock that is set by hand or by a time server moves no timer.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.files import read_small, replace_file, set_aside
from kitchenvoice.ports import Moment

__all__ = ["BELIEVED_AHEAD_S", "Heartbeat", "Sign", "resume"]

_BEAT_S = 2.0
_MOST_BYTES = 4_096
_LATEST_S = 4_102_444_800.0
"""The year 2100: a time beyond it was never written by a session."""
BELIEVED_AHEAD_S = 86_400.0
"""A session notes its time every two seconds: no sign of life is a day ahead of the clock and of the record both."""
_NOT_BELIEVED = "My note of when I was last on can't be right, so I set it aside and go by the record."
_FASTEST_BOOT_S = 1.0
"""No machine starts in less: a clock that says so was set."""


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of life: the engine time `t` (seconds) and both clocks at one moment."""

    t: float
    moment: Moment


def resume(now: Moment, signs: Sequence[Sign], *, timers_run: bool) -> tuple[float, float | None]:
    """Return the engine time to go on at, and the seconds off: `None` if they can't be known.

    Engine time never runs backwards. Without running timers it is set to the wall clock again. Seconds can't be known
    if the machine was started anew and its wall clock is behind what was recorded, or hardly on, or isn't known to be
    set.
    """
    if not signs:
        return now.utc, 0.0
    t = max(sign.t for sign in signs)
    off_s = _off_s(now, signs)
    if timers_run:
        return t + (off_s or 0.0), off_s
    return max(now.utc, t), off_s


def _off_s(now: Moment, signs: Sequence[Sign]) -> float | None:
    same = [s.moment.elapsed for s in signs if s.moment.boot == now.boot and s.moment.elapsed <= now.elapsed]
    if same:
        return now.elapsed - max(same)
    latest = max(signs, key=lambda sign: sign.t).moment
    off_s = now.utc - latest.utc
    return off_s if now.sure and latest.sure and off_s >= _FASTEST_BOOT_S else None


class Heartbeat:
    """When the program was last alive: a small file, rewritten every two seconds."""

    def __init__(self, home: Path) -> None:
        self._file = home / "alive.json"
        self._last = float("-inf")
        self.trouble = ""

    def last(self, latest_t: float = _LATEST_S) -> Sign | None:
        """Return the last sign of life of the session before this one; `None` if there is none that can be believed.

        One that can't be read, or is of an engine time after `latest_t`, is set aside; `trouble` tells so.
        """
        try:
            raw = json.loads(read_small(self._file, _MOST_BYTES))
            t, utc, elapsed = (float(raw[name]) for name in ("t", "utc", "elapsed"))
            if t <= latest_t and all(0.0 <= each <= _LATEST_S for each in (t, utc, elapsed)):
                return Sign(t, Moment(utc, elapsed, str(raw["boot"]), raw.get("sure") is not False))
        except FileNotFoundError:
            return None
        except (OSError, ValueError, LookupError, TypeError, AttributeError, OverflowError, RecursionError):
            pass
        set_aside(self._file)
        self.trouble = _NOT_BELIEVED
        return None

    def beat(self, t: float, moment: Moment) -> None:
        """Leave a sign of life; a disk that can't take it is told of by the log, not here."""
        if moment.elapsed - self._last < _BEAT_S:
            return
        if self._last == float("-inf"):
            self._clear_away()
        self._last = moment.elapsed
        fields = {"t": t, "utc": moment.utc, "elapsed": moment.elapsed, "boot": moment.boot, "sure": moment.sure}
        with contextlib.suppress(OSError):
            replace_file(self._file, json.dumps(fields).encode(), sync=False)

    def _clear_away(self) -> None:
        """Delete the half-written sign of life of a killed session."""
        for left in self._file.parent.glob(f".new-{self._file.stem}-*{self._file.suffix}"):
            with contextlib.suppress(OSError):
                left.unlink()
