"""Worker thread that listens for the stop words during speech. Where it fails or lags, the ear is half duplex.

Three threads call in and none of them ever waits: the speaker's callback (`note_played`), the microphone's
(`note_heard`), and the mouth's (`while_speaking`, `saying`). The worker takes everything in order of arrival.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import threading
import time
from collections import deque
from collections.abc import Callable

import numpy as np

from kitchenvoice.hearing.stop_word.alignment import LEAD_S, Alignment
from kitchenvoice.hearing.stop_word.echo_canceller import HOP, TAIL_S
from kitchenvoice.hearing.stop_word.echo_delay import EchoDelay
from kitchenvoice.hearing.stop_word.spotter import StopWordSpotter
from kitchenvoice.ports import Samples

__all__ = ["BargeIn"]

BACKLOG = 500
"""Blocks of 20 ms in the queue at most: 10 s."""
BEHIND = 25
"""Hops that the worker stays behind the microphone at most, until the playback for them has been handed over."""
SLIP_S = 0.001
"""Change of the echo's delay between two measurements from which the playback is moved after it.

What creeps the filter follows by itself: moved after two clocks that drift apart (0.9 ms in a minute of the virtual
room), it lost what it had learnt, and of 24 stop words over our own voice, replayed from a recording, five were missed;
now one is. Beside seven busy processes, where sound is lost every few seconds, 9 of 24 are heard (7 before)."""
EARLIEST_S, LATEST_S = 0.01, TAIL_S - 0.2
"""Bounds of the first echo in the filter, so that it and 0.2 s of the room fit in."""

_log = logging.getLogger(__name__)

_Item = str | bool | tuple[int, Samples]


class BargeIn:
    """Obey the stop words during speech: `obey(phrase)` is called from the worker's thread."""

    def __init__(
        self,
        make_ear: Callable[[], StopWordSpotter],
        obey: Callable[[str], None],
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        """Make the spotter with `make_ear` in the worker's own thread, and again if it fails."""
        self._make_ear = make_ear
        self._obey = obey
        self._now = now
        self._alignment = Alignment()
        self._items: queue.Queue[_Item] = queue.Queue(maxsize=BACKLOG)
        self._speaking = False
        self._closed = False
        self._ear: StopWordSpotter | None = None
        self._ties = 0
        self._held: deque[tuple[int, Samples]] = deque()
        self._rest: tuple[int, Samples] = (0, np.zeros(0, dtype=np.int16))
        self._delay = EchoDelay()
        self._delay_s: float | None = None

    # ------------------------------------------------------------ notices from the other threads

    def note_played(self, samples: Samples, rate_hz: int, t: float) -> None:
        """Take the samples handed to the speaker, silence included; the first sounds at `t` (monotonic)."""
        self._alignment.note_played(samples, rate_hz, t)

    def note_heard(self, block: Samples) -> None:
        """Take a block of the microphone, whether we speak or not."""
        place = self._alignment.note_heard(len(block), self._now())
        if self._speaking:
            self._put((place, block))

    def while_speaking(self, speaking: bool) -> None:
        """Note that our own speech begins or has ended."""
        self._speaking = speaking
        self._put(speaking)

    def saying(self, text: str) -> None:
        """Note the sentence that begins now."""
        self._put(text)

    def start(self) -> None:
        """Start the worker."""
        threading.Thread(target=self._work, name="barge-in", daemon=True).start()

    def close(self) -> None:
        """End the worker. Safe to call twice."""
        self._closed = True
        self._put(False)

    def _put(self, item: _Item) -> None:
        with contextlib.suppress(queue.Full):  # a stuck worker: the ear is half duplex then
            self._items.put_nowait(item)

    # ------------------------------------------------------------ the worker's thread

    def _work(self) -> None:
        while not self._closed:
            item = self._items.get()
            try:
                self._take(item)
            except Exception:  # whatever it is, the next sentence may go better
                _log.exception("the stop words are listened for anew after an error of their own")
                self._ear = None

    def _take(self, item: _Item) -> None:
        if self._ear is None:
            self._ear = self._make_ear()
        if isinstance(item, str):
            self._ear.begin(item)
        elif isinstance(item, bool):
            self._ear.end()
            self._held.clear()
        else:
            self._held.extend(self._hops(*item))
            while self._held and (len(self._held) > BEHIND or self._alignment.ready(self._held[0][0])):
                self._hear(self._ear, *self._held.popleft())

    def _hops(self, place: int, block: Samples) -> list[tuple[int, Samples]]:
        """Cut the microphone's blocks into hops that begin at a multiple of a hop."""
        begin, rest = self._rest
        if begin + len(rest) != place:  # the first one, or one after a gap
            begin, rest = place, rest[:0]
        sound = np.concatenate([rest, block])
        skip = -begin % HOP
        whole = max(0, len(sound) - skip) // HOP
        ends = [skip + number * HOP for number in range(whole)]
        used = skip + whole * HOP if whole else 0
        self._rest = (begin + used, sound[used:])
        return [(begin + start, sound[start : start + HOP]) for start in ends]

    def _hear(self, ear: StopWordSpotter, place: int, heard: Samples) -> None:
        played = self._alignment.played(place)
        if self._alignment.ties != self._ties:
            self._ties = self._alignment.ties
            self._delay.forget(known=False)
            self._delay_s = None
            ear.doubt()
        said = ear.hear(heard, played)
        if said is not None:
            self._obey(said)
        if played.any() and (delay_s := self._delay.note(heard, played)) is not None:
            self._meet(ear, delay_s)

    def _meet(self, ear: StopWordSpotter, delay_s: float) -> None:
        """Move the playback into the filter's reach, and anew after lost sound at either end."""
        known_s = self._delay_s
        if known_s is not None and abs(delay_s - known_s) >= SLIP_S:
            _log.info("our echo comes %.0f ms later than before", 1000 * (delay_s - known_s))
            self._alignment.follow(delay_s - known_s)
            self._delay.forget(known=True)
        elif known_s is None and not EARLIEST_S <= delay_s <= LATEST_S:
            _log.info("our echo comes after %.3f s; what was played is moved to meet it", delay_s)
            self._alignment.shift(delay_s - LEAD_S)
            self._delay.forget(known=False)
            self._ties = self._alignment.ties
            ear.doubt()
        else:
            self._delay_s = delay_s
