"""Tones, levels and settings, counted in samples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.ports import Announcement, Sound, Urgency
from kitchenvoice.speaking import TONES, MouthSettings, tone_names
from kitchenvoice.speaking.levels import FULL_SCALE, amplified, as_factor, level_dbfs, levelled
from kitchenvoice.speaking.settings import RATE_WPM, VOLUME_DB
from kitchenvoice.speaking.tones import TONE_RATE_HZ, make_tone
from kitchenvoice.testing.fake_mouth import FakeSynthesiser

SPEECH = FakeSynthesiser().render("The time is up for load two, turn off the heat.")


def pulses(sound: Sound) -> list[float]:
    """Return the length of each stretch above a tenth of the peak, in seconds, bridging gaps below 40 ms."""
    loud = np.flatnonzero(np.abs(sound.samples) > np.abs(sound.samples).max() * 0.1)
    breaks = np.flatnonzero(np.diff(loud) > 0.04 * sound.rate_hz)
    begins, ends = np.r_[loud[0], loud[breaks + 1]], np.r_[loud[breaks], loud[-1]]
    return [float(end - begin) / sound.rate_hz for begin, end in zip(begins, ends, strict=True)]


@pytest.mark.parametrize(("name", "count"), [("accepted", 1), ("attention", 2), ("timer", 3), ("alarm", 10)])
def test_each_tone_has_its_own_number_of_pulses(name: str, count: int) -> None:
    assert len(pulses(TONES[name])) == count


def test_refused_is_one_pulse_and_several_times_as_long_as_accepted() -> None:
    (refused,) = pulses(TONES["refused"])
    (accepted,) = pulses(TONES["accepted"])
    assert refused > 4 * accepted


@pytest.mark.parametrize("name", tone_names())
def test_every_tone_begins_and_ends_softly_and_keeps_its_energy_between_500_and_4000_hz(name: str) -> None:
    samples = TONES[name].samples.astype(np.float64)
    assert abs(samples[0]) < 0.01 * FULL_SCALE
    assert abs(samples[-1]) == 0
    power = np.abs(np.fft.rfft(samples)) ** 2
    hz = np.fft.rfftfreq(len(samples), 1 / TONE_RATE_HZ)
    assert power[(hz >= 480) & (hz <= 4800)].sum() > 0.98 * power.sum()
    assert power[(hz >= 1000) & (hz <= 4000)].sum() > 0.2 * power.sum()


def test_tones_are_the_same_each_time() -> None:
    assert np.array_equal(make_tone("alarm").samples, TONES["alarm"].samples)


def test_an_alarm_is_near_full_scale_and_speech_at_its_loudest_is_6_db_below() -> None:
    alarm = TONES["alarm"]
    assert np.abs(alarm.samples).max() > 0.9 * FULL_SCALE
    loudest = amplified(levelled(SPEECH).samples, as_factor(VOLUME_DB[1]))
    assert level_dbfs(alarm) - level_dbfs(Sound(loudest, SPEECH.rate_hz)) >= 6.0


@given(st.floats(0.0, 50.0), st.lists(st.integers(-32768, 32767), min_size=1, max_size=50))
def test_no_gain_wraps_a_sample_round(gain: float, values: list[int]) -> None:
    before = np.array(values, dtype=np.int16)
    after = amplified(before, gain)
    assert after.dtype == np.int16
    assert np.all(np.sign(after) * np.sign(before) >= 0)
    order = np.argsort(before, kind="stable")
    assert np.all(np.diff(after[order].astype(int)) >= 0)


@pytest.mark.parametrize("gain_db", [-12.0, -6.0, 3.0])
def test_gain_is_what_it_says_below_the_knee(gain_db: float) -> None:
    speech = levelled(SPEECH)
    louder = Sound(amplified(speech.samples, as_factor(gain_db)), speech.rate_hz)
    assert level_dbfs(louder) - level_dbfs(speech) == pytest.approx(gain_db, abs=0.1)


def test_the_level_of_a_sound_does_not_depend_on_its_pauses() -> None:
    padded = Sound(np.concatenate([SPEECH.samples, np.zeros(40_000, dtype=np.int16)]), SPEECH.rate_hz)
    assert level_dbfs(padded) == pytest.approx(level_dbfs(SPEECH), abs=0.3)


@pytest.mark.parametrize("samples", [[], [0] * 5000])
def test_silence_stays_silence(samples: list[int]) -> None:
    silence = Sound(np.array(samples, dtype=np.int16), 8000)
    assert np.array_equal(levelled(silence).samples, silence.samples)


def test_volume_and_pace_stop_at_their_bounds() -> None:
    settings = MouthSettings()
    assert settings.louder(20).volume_db == VOLUME_DB[1]
    assert settings.louder(-20).volume_db == VOLUME_DB[0]
    assert settings.faster(20).rate_wpm == RATE_WPM[1]
    assert settings.faster(-20).rate_wpm == RATE_WPM[0]
    with pytest.raises(ValueError, match="alarm volume has to be between"):
        MouthSettings(alarm_db=-30.0)


def test_settings_from_a_hand_are_brought_within_bounds() -> None:
    assert MouthSettings.clipped(-40.0, -40.0, 400) == MouthSettings(-12.0, -6.0, 230)
    assert MouthSettings.clipped() == MouthSettings()


def test_repeats_get_louder_and_words_of_an_alarm_are_never_soft() -> None:
    soft = MouthSettings(volume_db=-12.0)

    def gain(urgency: Urgency, repeats: int) -> float:
        return soft.speech_gain(Announcement("words", urgency, repeats=repeats))

    assert gain(Urgency.CHAT, 0) < gain(Urgency.CHAT, 1) < gain(Urgency.CHAT, 2)
    assert gain(Urgency.ALARM, 0) == 1.0
    assert gain(Urgency.ALARM, 9) == as_factor(VOLUME_DB[1])
    assert soft.tone_gain(alarming=True) == 1.0
    assert soft.tone_gain(alarming=False) < 0.3
