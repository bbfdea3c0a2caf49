"""One sound in playback: position, fade-out, and the callback at its end."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from kitchenvoice.ports import Samples

__all__ = ["Flight", "fade", "guarded", "tell"]

_log = logging.getLogger(__name__)


@dataclass(eq=False, slots=True)
class Flight:
    """A sound in the air, with the noise that wakes the device before it: `handed` samples went to the device.

    After its end, `over_at` is when its last sample has left the device (monotonic clock).
    """

    samples: Samples
    on_end: Callable[[bool], None] | None
    handed: int = 0
    stopping: bool = False
    silent: bool = False
    over_at: float | None = None


def fade(mix: npt.NDArray[np.int32], flight: Flight, length: int) -> None:
    """Add the next `length` samples to `mix`, faded out to zero."""
    part = flight.samples[flight.handed : flight.handed + min(length, len(mix))]
    mix[: len(part)] += (part * np.linspace(1.0, 0.0, len(part))).astype(np.int32)


def tell(ended: Iterable[Flight], finished: bool) -> None:
    """Call `on_end` of these sounds."""
    for flight in ended:
        if flight.on_end is not None:
            guarded(partial(flight.on_end, finished))


def guarded(report: Callable[[], None]) -> None:
    """Call a callback; a bug in it must not end the watch thread."""
    try:
        report()
    except Exception:
        _log.exception("the speaker goes on after an error")
