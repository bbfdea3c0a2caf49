"""Child of the flood's bench: the real command line, with a stopwatch around appends and calls of timers.

    python -m bench.flooded FILE start --typed --board 0.0.0.0:PORT     FILE gets one line a measurement: what, ms

A call's lateness is from the time at which it was due until the session hands it to the mouth.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

from kitchenvoice.app.session import SilentMouth
from kitchenvoice.cli import main
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.logbook import ResilientLog
from kitchenvoice.ports import Announcement, Event, Moment

_append, _tick = ResilientLog.append, Conversation.tick
_due: list[float] = []
"""Of the call that is being made: when it was due, on `perf_counter`'s clock."""


def measure(out: TextIO) -> None:
    """Put the stopwatch around the program's own functions."""

    def append(self: ResilientLog, events: Sequence[Event], moment: Moment) -> None:
        begun = time.perf_counter()
        _append(self, events, moment)
        out.write(f"append {1000.0 * (time.perf_counter() - begun):.3f}\n")

    def tick(self: Conversation, t: float) -> Turn:
        coming = self.next_t()
        _due[:] = [] if coming is None or coming > t else [time.perf_counter() - (t - coming)]
        return _tick(self, t)

    def say(_: SilentMouth, __: Announcement) -> None:
        if _due:
            out.write(f"timer {1000.0 * (time.perf_counter() - _due.pop()):.3f}\n")

    ResilientLog.append, Conversation.tick, SilentMouth.say = append, tick, say  # type: ignore[assignment, method-assign]


if __name__ == "__main__":
    with Path(sys.argv.pop(1)).open("w", buffering=1, encoding="ascii") as file:
        measure(file)
        main()
