"""One sound on its way to the device, how it fades when it is cut short, and who is told of its end."""

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
    """A sound in the air: `handed` samples went to the device, the first `lead` of them are only to wake it.

    Once it ended, `over_at` tells when its last sample has left the device (monotonic clock).
    """

    samples: Samples
    lead: int
    on_end: Callable[[bool], None] | None
    handed: int = 0
    stopping: bool = False
    silent: bool = False
    over_at: float | None = None


def fade(mix: npt.NDArray[np.int32], flight: Flight, length: int) -> None:
    """Add the next `length` samples of it to `mix`, falling to nothing."""
    part = flight.samples[flight.handed : flight.handed + min(length, len(mix))]
    mix[: len(part)] += (part * np.linspace(1.0, 0.0, len(part))).astype(np.int32)


def tell(ended: Iterable[Flight], finished: bool) -> None:
    """Tell those who wait for the end of these."""
    for flight in ended:
        if flight.on_end is not None:
            guarded(partial(flight.on_end, finished))


def guarded(report: Callable[[], None]) -> None:
    """Do one thing; a mistake in it must not end the watch."""
    try:
        report()
    except Exception:
        _log.exception("the speaker goes on after an error")
