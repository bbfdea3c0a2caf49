"""Noise reduction: less noise, the same speech, nothing invented."""

from __future__ import annotations

import numpy as np
import pytest

from kitchenvoice.hearing.noise import WAYS, NoiseReducer, _boost_table
from kitchenvoice.hearing.vad import FRAME
from kitchenvoice.ports import Samples

DELAY = FRAME // 2


def through(reducer: NoiseReducer, sound: Samples, is_noise: bool, way: int = WAYS - 1) -> Samples:
    starts = range(0, len(sound) - FRAME + 1, FRAME)
    return np.concatenate([reducer.clean(sound[start : start + FRAME], is_noise)[way] for start in starts])


def noise(frames: int, scale: float = 1000.0, seed: int = 1) -> Samples:
    return (np.random.default_rng(seed).standard_normal(frames * FRAME) * scale).astype(np.int16)


def tone(frames: int, hertz: float = 1000.0, peak: float = 8000.0) -> Samples:
    return (peak * np.sin(2 * np.pi * hertz * np.arange(frames * FRAME) / 16_000)).astype(np.int16)


def rms(sound: Samples) -> float:
    return float(np.sqrt(np.mean(sound.astype(np.float64) ** 2)))


@pytest.mark.parametrize(("way", "left"), [(0, 0.45), (1, 0.6), (2, 0.35)])
def test_what_it_has_learned_as_noise_becomes_much_quieter(way: int, left: float) -> None:
    reducer = NoiseReducer()
    through(reducer, noise(60), is_noise=True)
    after = through(reducer, noise(30, seed=2), is_noise=False, way=way)
    assert rms(after) < left * 1000.0


@pytest.mark.parametrize("way", range(WAYS))
def test_a_loud_voice_over_learned_noise_passes_almost_unchanged(way: int) -> None:
    reducer = NoiseReducer()
    through(reducer, noise(60, 300.0), is_noise=True)
    after = through(reducer, tone(30) + noise(30, 300.0, seed=2), is_noise=False, way=way)
    assert rms(after[10 * FRAME :]) == pytest.approx(rms(tone(20)), rel=0.1)


@pytest.mark.parametrize("way", range(WAYS))
def test_before_any_noise_is_known_the_sound_is_only_delayed(way: int) -> None:
    sound = tone(20)
    after = through(NoiseReducer(), sound, is_noise=False, way=way)
    assert np.abs(after[DELAY + FRAME :].astype(int) - sound[FRAME:-DELAY].astype(int)).max() < 60


def test_digital_silence_teaches_nothing() -> None:
    reducer = NoiseReducer()
    through(reducer, np.ones(30 * FRAME, dtype=np.int16), is_noise=True)
    after = through(reducer, tone(20), is_noise=False)
    assert rms(after[FRAME:]) == pytest.approx(rms(tone(20)), rel=0.02)


def test_hum_below_the_voice_is_dropped() -> None:
    after = through(NoiseReducer(), tone(20, hertz=50.0), is_noise=False)
    assert rms(after[FRAME:]) < 0.15 * rms(tone(20))


def test_after_a_reset_it_repeats_itself() -> None:
    reducer = NoiseReducer()
    sound = noise(20)
    first = through(reducer, sound, is_noise=True)
    reducer.reset()
    assert np.array_equal(first, through(reducer, sound, is_noise=True))


def test_the_loudest_samples_are_clipped_and_do_not_wrap() -> None:
    square = np.where(tone(20) >= 0, 32767, -32768).astype(np.int16)
    after = through(NoiseReducer(), square, is_noise=False)[DELAY + FRAME :]
    before = square[FRAME:-DELAY]
    assert np.mean(np.sign(after) == np.sign(before)) > 0.95


def test_the_table_agrees_with_the_known_values_of_the_exponential_integral() -> None:
    places, boosts = _boost_table()
    for value, integral in ((0.1, 1.8229240), (1.0, 0.2193839), (5.0, 0.0011483)):  # E1 as tabulated in handbooks
        assert np.interp(np.log(value), places, boosts) == pytest.approx(np.exp(integral / 2), rel=1e-3)


@pytest.mark.parametrize("scale", [10.0, 300.0])
def test_it_tells_how_loud_the_noise_is(scale: float) -> None:
    reducer = NoiseReducer()
    assert reducer.noise_dbfs < -100.0
    through(reducer, noise(60, scale), is_noise=True)
    assert reducer.noise_dbfs == pytest.approx(20.0 * np.log10(scale / 32768.0), abs=1.0)
