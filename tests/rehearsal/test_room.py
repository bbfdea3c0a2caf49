"""The virtual room: its decay, its distances, and that it changes no sentence's level."""

import numpy as np
import pytest

from kitchenvoice.rehearsal.room import RT60_S, decay_s, impulse_response, in_room

DISTANCES_M = [0.5, 1.0, 3.0, 5.0]


def direct_to_rest_db(response: np.ndarray) -> float:
    """Energy of the first 2.5 ms after the direct sound against all that follows."""
    split = int(np.argmax(np.abs(response))) + 40
    return float(10 * np.log10(np.sum(response[:split] ** 2) / np.sum(response[split:] ** 2)))


@pytest.mark.parametrize("distance_m", DISTANCES_M)
def test_the_room_decays_as_a_furnished_kitchen(distance_m: float) -> None:
    measured = [decay_s(impulse_response(distance_m, seed)) for seed in (0, 1)]
    assert np.mean(measured) == pytest.approx(RT60_S, abs=0.06)


def test_the_farther_the_more_room() -> None:
    ratio = [np.mean([direct_to_rest_db(impulse_response(d, seed)) for seed in range(3)]) for d in DISTANCES_M]
    assert ratio == sorted(ratio, reverse=True)
    assert ratio[0] > 0.0 > ratio[2]


def test_the_direct_sound_comes_first_and_the_response_repeats() -> None:
    response = impulse_response(1.0, 7)
    assert int(np.argmax(np.abs(response))) < 40
    impulse_response.cache_clear()
    assert np.array_equal(response, impulse_response(1.0, 7))
    assert not np.array_equal(response, impulse_response(1.0, 8))


def test_speech_keeps_its_level_and_gains_a_tail() -> None:
    rng = np.random.default_rng(1)
    dry = (3_000 * rng.standard_normal(16_000)).clip(-32_000, 32_000).astype(np.int16)
    wet = in_room(dry, 3.0, 2)
    assert len(wet) > len(dry) + 8_000
    assert np.sum(wet.astype(float) ** 2) == pytest.approx(np.sum(dry.astype(float) ** 2), rel=0.02)
    assert np.max(np.abs(wet.astype(int))) <= 32_000


def test_silence_stays_silent() -> None:
    assert not np.any(in_room(np.zeros(1_000, dtype=np.int16), 1.0, 0))


@pytest.mark.parametrize("distance_m", [0.0, 0.1, 5.1, -1.0, 50.0])
def test_a_distance_that_does_not_fit_is_refused(distance_m: float) -> None:
    with pytest.raises(ValueError, match="fit into this kitchen"):
        impulse_response(distance_m, 0)
