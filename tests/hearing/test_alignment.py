"""Alignment of playback and microphone by counts, whatever the drivers' stamps do."""

from __future__ import annotations

import numpy as np
import pytest

from kitchenvoice.hearing.stop_word.alignment import LEAD_S, Alignment, StreamClock
from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.ports import EAR_RATE_HZ

HOP_S = HOP / EAR_RATE_HZ


def tone(rate_hz: int, seconds: float) -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    """A sweep from 200 Hz to 2 kHz."""
    t = np.arange(round(rate_hz * seconds)) / rate_hz
    return np.rint(8000 * np.sin(2 * np.pi * (200 * t + 900 * t * t / seconds))).astype(np.int16)


def fed(rate_hz: int, jitter_s: float = 0.0, late_s: float = 0.0) -> tuple[Alignment, list[int]]:
    """Two seconds of a sweep played from second 5 on, heard from second 5 on; return the positions of the hops."""
    rng = np.random.default_rng(1)
    aligned, places = Alignment(), []
    sound, step = tone(rate_hz, 2.0), rate_hz // 50
    for number in range(100):
        t = 5.0 + number / 50 + rng.uniform(-jitter_s, jitter_s)
        aligned.note_played(sound[number * step : (number + 1) * step], rate_hz, t)
    for number in range(100):
        places.append(aligned.note_heard(HOP, 5.0 + late_s + number * HOP_S + rng.uniform(-jitter_s, jitter_s)))
    return aligned, places


@pytest.mark.parametrize("rate_hz", [16_000, 22_050, 44_100, 48_000])
def test_what_was_played_comes_at_the_ear_s_rate_without_a_seam(rate_hz: int) -> None:
    aligned, places = fed(rate_hz)
    aligned.shift(LEAD_S)  # as it was in the air, not earlier
    joined = np.concatenate([aligned.played(place) for place in places[5:90]]).astype(float)
    whole = tone(EAR_RATE_HZ, 2.0)[5 * HOP : 90 * HOP].astype(float)
    error = np.sqrt(np.mean((joined - whole) ** 2)) / whole.std()
    assert error < 0.02


def test_jitter_of_the_stamps_moves_nothing_once_the_ends_are_tied() -> None:
    aligned, places = fed(16_000, jitter_s=0.02)
    pieces = [aligned.played(place) for place in places[5:90]]
    assert aligned.ties == 1
    joined = np.concatenate(pieces)
    sweep = tone(16_000, 2.0)
    starts = [np.flatnonzero((sweep == joined[800]) & (np.roll(sweep, -1) == joined[801]))]
    at = [start for start in starts[0] if np.array_equal(sweep[start : start + 4000], joined[800:4800])]
    assert len(at) == 1, "it isn't one piece of what was played"


def test_it_is_taken_early_by_the_lead_and_later_by_what_was_measured() -> None:
    aligned, places = fed(16_000)
    early = aligned.played(places[10])
    sweep = tone(16_000, 2.0)
    begin = 10 * HOP + round(LEAD_S * EAR_RATE_HZ)
    assert np.array_equal(early, sweep[begin : begin + HOP])
    aligned.shift(0.1)
    assert np.array_equal(aligned.played(places[10]), sweep[begin - 1600 : begin - 1600 + HOP])


def test_an_end_that_was_opened_again_ties_them_anew() -> None:
    aligned, places = fed(16_000)
    aligned.played(places[10])
    before = aligned.ties
    for number in range(60):  # the speaker lost half a second
        aligned.note_played(np.zeros(160, dtype=np.int16), 16_000, 7.5 + number / 100)
    aligned.played(places[10])
    assert aligned.ties == before + 1


def test_before_anything_was_played_there_was_silence() -> None:
    aligned = Alignment()
    assert not aligned.played(aligned.note_heard(HOP, 0.0)).any()


def test_a_stream_s_origin_is_the_middle_of_its_stamps() -> None:
    clock = StreamClock(1000)
    for t in (10.0, 10.13, 10.19, 10.3, 10.38):
        clock.note(100, t)
    assert clock.origin_t == pytest.approx(10.0)
    assert clock.count == 500
