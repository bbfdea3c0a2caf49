"""Kitchen noise: repeatable, at one level, with the spectrum that its name promises; mixing at the ratio asked for."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.rehearsal.kitchen_noise import KINDS, STEADY_KINDS, active_level, kitchen_noise, mix

SILENT = np.zeros(16_000, dtype=np.int16)


def rms(sound: np.ndarray) -> float:
    return float(np.sqrt(np.mean(sound.astype(float) ** 2)))


def speechlike(seconds: float = 1.0) -> np.ndarray:
    """A tone in syllables with a pause after it, 60 % of the time on."""
    t = np.arange(round(seconds * 16_000)) / 16_000
    tone = 6_000 * np.sin(2 * np.pi * 300 * t) * (t < 0.6 * seconds)
    return tone.astype(np.int16)


@pytest.mark.parametrize("kind", STEADY_KINDS)
def test_noise_has_the_length_and_level_asked_for_and_repeats(kind: str) -> None:
    one, again, other = kitchen_noise(kind, 2.0, 3), kitchen_noise(kind, 2.0, 3), kitchen_noise(kind, 2.0, 4)
    assert one.dtype == np.int16
    assert len(one) == 32_000
    assert rms(one) == pytest.approx(3_276.8, rel=0.12)
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)
    assert np.max(np.abs(one.astype(int))) < 32_767


@pytest.mark.audio
@pytest.mark.parametrize("kind", sorted(set(KINDS) - set(STEADY_KINDS)))
def test_talk_as_noise_repeats_and_has_the_level(kind: str) -> None:
    one = kitchen_noise(kind, 2.0, 3)
    assert rms(one) == pytest.approx(3_276.8, rel=0.15)
    assert np.array_equal(one, kitchen_noise(kind, 2.0, 3))


@pytest.mark.parametrize(
    ("kind", "low_hz", "high_hz", "share"),
    [
        ("vent", 1_000, 8_000, 0.85),
        ("hood", 50, 1_000, 0.75),
        ("water", 400, 8_000, 0.9),
        ("rattle", 1_000, 8_000, 0.9),
    ],
)
def test_the_energy_lies_where_such_a_source_has_it(kind: str, low_hz: float, high_hz: float, share: float) -> None:
    sound = kitchen_noise(kind, 4.0, 1).astype(float)
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / 16_000)
    assert power[(hz >= low_hz) & (hz <= high_hz)].sum() / power.sum() > share


def test_a_rattle_strikes_about_three_times_a_second() -> None:
    sound = np.abs(kitchen_noise("rattle", 10.0, 2).astype(float))
    envelope = sound[: len(sound) // 160 * 160].reshape(-1, 160).mean(axis=1)
    rate = np.fft.rfftfreq(len(envelope), 0.01)
    spectrum = np.abs(np.fft.rfft(envelope - envelope.mean()))
    slow = (rate > 1.0) & (rate < 6.0)
    assert 2.4 < rate[slow][np.argmax(spectrum[slow])] < 4.2


@pytest.mark.parametrize(("kind", "seconds"), [("thunder", 1.0), ("hood", 0.0), ("hood", -1.0)])
def test_noise_that_does_not_exist_is_refused(kind: str, seconds: float) -> None:
    with pytest.raises(ValueError, match=r"no noise|length above zero"):
        kitchen_noise(kind, seconds, 0)


@pytest.mark.parametrize("snr_db", [20.0, 10.0, 5.0, 0.0])
def test_the_mixture_has_the_ratio_asked_for(snr_db: float) -> None:
    speech, noise = speechlike(), kitchen_noise("hood", 1.0, 5)
    mixed = mix(speech, noise, snr_db)
    added = mixed.astype(float) - speech
    assert 20 * np.log10(active_level(speech) / rms(added)) == pytest.approx(snr_db, abs=0.3)


def test_pauses_do_not_count_for_the_level() -> None:
    padded = np.concatenate([SILENT, speechlike(), SILENT])
    assert active_level(padded) == pytest.approx(active_level(speechlike()), rel=0.02)


@settings(deadline=None, max_examples=40)
@given(gain=st.floats(0.05, 5.3), snr_db=st.floats(-10, 40), seconds=st.floats(0.05, 2.0))
def test_a_mixture_never_clips_and_is_as_long_as_the_longer(gain: float, snr_db: float, seconds: float) -> None:
    speech = np.clip(speechlike() * gain, -32_768, 32_767).astype(np.int16)
    noise = kitchen_noise("water", seconds, 1)
    mixed = mix(speech, noise, snr_db)
    assert len(mixed) == max(len(speech), len(noise))
    assert np.max(np.abs(mixed.astype(int))) <= 32_000


def test_silence_on_either_side_is_no_trouble() -> None:
    assert np.array_equal(mix(speechlike(), SILENT, 10.0), speechlike())
    assert rms(mix(SILENT, kitchen_noise("hood", 1.0, 1), 10.0)) == 0.0
