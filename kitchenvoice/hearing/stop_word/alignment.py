"""Which of the samples that we played were in the air when the microphone took a block: by counting, not by stamps.

Both ends of the sound card run on without a gap, so the place of a sample in its stream is exact, while the times that
a driver tells jitter by tens of milliseconds. The two counts are tied together once, by the middle of many such times,
and again only if they have gone apart for good. What is wrong then is wrong by the same all the time, so it can be
measured and told by `shift`.
"""

from __future__ import annotations

import statistics
import threading
from collections import deque

import numpy as np
import soxr

from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["LEAD_S", "Alignment", "StreamClock"]

KEPT_S = 3.0
"""How much of what was played is kept; who listens for the stop words is never so far behind."""
LEAD_S = 0.05
"""How much earlier than the stamps say what was played is taken, so that its echo never seems to come before it."""
STAMPS = 50
APART_S = 0.06
"""Difference of the two clocks from which on they are tied anew: an end was opened again, or lost sound."""


class StreamClock:
    """When the first sample of an endless stream would have been due, by the middle of many stamps."""

    def __init__(self, rate_hz: int) -> None:
        self.rate_hz = rate_hz
        self.count = 0
        self._stamps: deque[float] = deque(maxlen=STAMPS)

    def note(self, samples: int, t: float) -> int:
        """Note that `samples` more were due from `t` (seconds) on; return the place of the first of them."""
        place = self.count
        stamp = t - place / self.rate_hz
        if self._stamps and abs(stamp - self._stamps[-1]) > 5 * APART_S:
            self._stamps.clear()  # the stream broke off, or is another one
        self._stamps.append(stamp)
        self.count += samples
        return place

    @property
    def origin_t(self) -> float:
        """When place 0 was due. Raises: statistics.StatisticsError before the first stamp."""
        return statistics.median(self._stamps)


class Alignment:
    """What was played, by the count of the microphone. `note_played` may be called from a driver's callback."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._played: deque[tuple[int, Samples]] = deque()
        self._speaker: StreamClock | None = None
        self._microphone = StreamClock(EAR_RATE_HZ)
        self._tied_s: float | None = None
        self._shift_s = -LEAD_S
        self.ties = 0
        """How often the two ends were tied together; after each time what was learnt of the room is of no use."""

    def note_played(self, samples: Samples, rate_hz: int, t: float) -> None:
        """Keep what the speaker was given; its first sample is in the air at `t`, seconds of the monotonic clock."""
        with self._lock:
            if self._speaker is None or self._speaker.rate_hz != rate_hz:
                self._speaker, self._tied_s = StreamClock(rate_hz), None
                self._played.clear()
            place = self._speaker.note(len(samples), t)
            self._played.append((place, samples))
            while place - self._played[0][0] > KEPT_S * rate_hz:
                self._played.popleft()

    def note_heard(self, samples: int, t: float) -> int:
        """Count a block of the microphone that came at `t`; return the place of its first sample."""
        with self._lock:
            return self._microphone.note(samples, t)

    def shift(self, seconds: float) -> None:
        """Take what was played so much later than the stamps say, from now on."""
        with self._lock:
            self._shift_s += seconds
            self.ties += 1

    def played(self, place: int) -> Samples:
        """Return what was in the air while the microphone took the hop from `place` on, at 16 kHz.

        `place` is best a multiple of a hop: then the two rates meet at whole samples, and nothing is rounded.
        """
        with self._lock:
            speaker = self._speaker
            if speaker is None or not self._microphone.count:
                return np.zeros(HOP, dtype=np.int16)
            rate_hz = speaker.rate_hz
            hop = round(rate_hz * HOP / EAR_RATE_HZ)
            first = round(place * rate_hz / EAR_RATE_HZ) + round((self._tie(speaker) - self._shift_s) * rate_hz)
            found = self._cut(first - hop, 3 * hop)  # a hop more at both ends, for the change of rate
        if rate_hz == EAR_RATE_HZ or not found.any():
            return found[hop : hop + HOP] if rate_hz == EAR_RATE_HZ else np.zeros(HOP, dtype=np.int16)
        even: Samples = soxr.resample(found, rate_hz, EAR_RATE_HZ)
        return even[HOP : 2 * HOP]

    def _tie(self, speaker: StreamClock) -> float:
        """Return the seconds from the microphone's count to the speaker's."""
        apart_s = self._microphone.origin_t - speaker.origin_t
        if self._tied_s is None or abs(apart_s - self._tied_s) > APART_S:
            self._tied_s = apart_s
            self.ties += 1
        return self._tied_s

    def _cut(self, first: int, length: int) -> Samples:
        cut = np.zeros(length, dtype=np.int16)
        for place, samples in self._played:
            start, end = max(place, first), min(place + len(samples), first + length)
            if start < end:
                cut[start - first : end - first] = samples[start - place : end - place]
        return cut
