"""Alignment of playback and microphone by sample counts instead of time stamps.

Both ends of the sound card run without gaps, so the position of a sample in its stream is exact, while a driver's time
stamps jitter by tens of milliseconds. The two counts are tied together once, by the median of many stamps, and again
only if they have drifted apart for good. The remaining error is measured: once for `shift`, and again and again for
`follow`, since a busy machine loses sound at either end.
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
"""How much of the playback is kept; the stop-word worker is never so far behind."""
LEAD_S = 0.05
"""Lead of the playback over its stamps, so that its echo never seems to come before it."""
STAMPS = 50
APART_S = 0.3
"""Jump of a clock that means a reopened stream, so that the two are tied again. Sound lost on a busy machine (up to
0.09 s at once measured) is for `follow`: it is measured, where stamps would only guess."""


class StreamClock:
    """When the first sample of an endless stream was due, by the median of many stamps."""

    def __init__(self, rate_hz: int) -> None:
        self.rate_hz = rate_hz
        self.count = 0
        self._stamps: deque[float] = deque(maxlen=STAMPS)

    def note(self, samples: int, t: float) -> int:
        """Note `samples` more, due from `t` (seconds) on; return the position of the first of them."""
        place = self.count
        stamp = t - place / self.rate_hz
        if self._stamps and abs(stamp - self._stamps[-1]) > APART_S:
            self._stamps.clear()  # the stream broke off, or is a new one
        self._stamps.append(stamp)
        self.count += samples
        return place

    @property
    def origin_t(self) -> float:
        """When position 0 was due. Raises: statistics.StatisticsError before the first stamp."""
        return statistics.median(self._stamps)


class Alignment:
    """The playback, by the microphone's count. `note_played` may be called from a driver's callback."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._played: deque[tuple[int, Samples]] = deque()
        self._speaker: StreamClock | None = None
        self._microphone = StreamClock(EAR_RATE_HZ)
        self._tied_s: float | None = None
        self._shift_s = -LEAD_S
        self.ties = 0
        """How often the two ends were tied together; each time, what was learnt of the room becomes useless."""

    def note_played(self, samples: Samples, rate_hz: int, t: float) -> None:
        """Keep the samples handed to the speaker; the first sounds at `t`, seconds of the monotonic clock."""
        with self._lock:
            if self._speaker is None or self._speaker.rate_hz != rate_hz:
                self._speaker, self._tied_s = StreamClock(rate_hz), None
                self._played.clear()
            place = self._speaker.note(len(samples), t)
            self._played.append((place, samples))
            while place - self._played[0][0] > KEPT_S * rate_hz:
                self._played.popleft()

    def note_heard(self, samples: int, t: float) -> int:
        """Count a block of the microphone that came at `t`; return the position of its first sample."""
        with self._lock:
            return self._microphone.note(samples, t)

    def shift(self, seconds: float) -> None:
        """Delay the playback by so much against the stamps, from now on: they are wrong by that."""
        with self._lock:
            self._shift_s += seconds
            self.ties += 1

    def follow(self, seconds: float) -> None:
        """Delay the playback by so much more: an end has lost sound. What was learnt of the room stays valid."""
        with self._lock:
            if self._tied_s is not None:
                self._tied_s -= seconds

    def ready(self, place: int) -> bool:
        """True if the playback during the microphone's hop at `place` has been handed over."""
        with self._lock:
            speaker = self._speaker
            if speaker is None or not self._microphone.count:
                return True
            first, hop = self._span(speaker, place)
            return first + 2 * hop <= speaker.count

    def played(self, place: int) -> Samples:
        """Return the playback during the microphone's hop at `place`, at 16 kHz.

        `place` is best a multiple of a hop: then the two rates meet at whole samples, without rounding.
        """
        with self._lock:
            speaker = self._speaker
            if speaker is None or not self._microphone.count:
                return np.zeros(HOP, dtype=np.int16)
            rate_hz = speaker.rate_hz
            first, hop = self._span(speaker, place)
            found = self._cut(first - hop, 3 * hop)  # a hop more at both ends, for the resampler
        if rate_hz == EAR_RATE_HZ or not found.any():
            return found[hop : hop + HOP] if rate_hz == EAR_RATE_HZ else np.zeros(HOP, dtype=np.int16)
        even: Samples = soxr.resample(found, rate_hz, EAR_RATE_HZ)
        return even[HOP : 2 * HOP]

    def _span(self, speaker: StreamClock, place: int) -> tuple[int, int]:
        """Return where the hop at `place` begins in the playback, and its length there."""
        rate_hz = speaker.rate_hz
        first = round(place * rate_hz / EAR_RATE_HZ) + round((self._tie(speaker) - self._shift_s) * rate_hz)
        return first, round(rate_hz * HOP / EAR_RATE_HZ)

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
