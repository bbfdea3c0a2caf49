"""The delay of our own echo: measured to a fraction of a sample, and followed where an end of the sound card slips."""

from __future__ import annotations

import numpy as np
import pytest

from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.hearing.stop_word.echo_delay import EVERY_S, FIRST_S, NEXT_S, EchoDelay, delay_of
from kitchenvoice.ports import EAR_RATE_HZ
from tests.hearing.test_echo_canceller import Floats, echoed, talk


@pytest.mark.parametrize("delay_s", [0.0, 0.011, 0.25, 0.48])
def test_the_delay_is_found_through_a_room_to_the_millisecond(delay_s: float) -> None:
    found = delay_of(echoed(talk(), delay_s), talk(), 0.5)
    assert found == pytest.approx(delay_s, abs=0.001 + 0.001)


def test_sound_that_runs_ahead_has_a_negative_delay() -> None:
    played = talk()
    found = delay_of(played[1600:], played[:-1600], 0.5)
    assert found == pytest.approx(-0.1, abs=0.001)


def test_without_an_echo_no_delay_is_made_up() -> None:
    rng = np.random.default_rng(9)
    assert delay_of(rng.normal(0.0, 1.0, len(talk())), talk(), 0.5) is None


def test_too_little_sound_tells_nothing() -> None:
    assert delay_of(talk()[:16_000], talk()[:16_000], 0.5) is None


def measured(heard: Floats, played: Floats) -> list[tuple[float, float]]:
    """Feed both hop by hop; return when a delay was measured (seconds of sound), and which."""
    delay, found = EchoDelay(), []
    for start in range(0, len(played) - HOP, HOP):
        pair = [np.rint(8000 * end[start : start + HOP]).astype(np.int16) for end in (heard, played)]
        if (delay_s := delay.note(*pair)) is not None:
            found.append((start / EAR_RATE_HZ, delay_s))
    return found


@pytest.mark.parametrize("lost_s", [0.0086, 0.043, 0.25])
def test_sound_that_an_end_loses_shows_within_two_windows(lost_s: float) -> None:
    lost_at_s, lost = 5.0, round(lost_s * EAR_RATE_HZ)
    at = round(lost_at_s * EAR_RATE_HZ)
    echo = echoed(talk(), 0.1)
    slipped = np.concatenate([echo[:at], np.zeros(lost), echo[at:]])[: len(echo)]
    found = measured(slipped, talk())
    assert found[0] == (pytest.approx(FIRST_S, abs=0.1), pytest.approx(0.1, abs=0.002))
    assert all(delay_s == pytest.approx(found[0][1], abs=2e-5) for t, delay_s in found if t < lost_at_s)
    after = [delay_s - found[0][1] for t, delay_s in found if t > lost_at_s + NEXT_S + FIRST_S + EVERY_S]
    assert after
    assert after == pytest.approx([lost / EAR_RATE_HZ] * len(after), abs=2e-5)
