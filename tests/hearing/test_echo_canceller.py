"""Echo cancellation: our own voice goes, and the voice of a cook who talks over it stays."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.stop_word.echo_canceller import HOP, EchoCanceller
from kitchenvoice.ports import EAR_RATE_HZ
from kitchenvoice.rehearsal.room import impulse_response

Floats = npt.NDArray[np.float64]
SECONDS = 12


@lru_cache(maxsize=1)
def talk() -> Floats:
    """Noise with the long-term spectrum and the syllables of speech, 12 seconds, without a synthesiser."""
    rng = np.random.default_rng(4)
    white = np.fft.rfft(rng.normal(0.0, 1.0, SECONDS * EAR_RATE_HZ))
    hz = np.fft.rfftfreq(SECONDS * EAR_RATE_HZ, 1 / EAR_RATE_HZ)
    sound = np.fft.irfft(white / np.maximum(hz, 200.0), SECONDS * EAR_RATE_HZ)
    syllables = 0.55 + 0.45 * np.sin(2 * np.pi * 4.0 * np.arange(len(sound)) / EAR_RATE_HZ)
    return 0.1 * sound / sound.std() * syllables


def echoed(played: Floats, delay_s: float = 0.06) -> Floats:
    """Return the sound's echo in a room, 6 dB softer."""
    response = np.concatenate([np.zeros(round(delay_s * EAR_RATE_HZ)), impulse_response(0.6, 1)])
    size = 1 << (len(played) + len(response)).bit_length()
    wet = np.fft.irfft(np.fft.rfft(played, size) * np.fft.rfft(response, size), size)[: len(played)]
    return wet * played.std() / wet.std() * 0.5


def cleaned(heard: Floats, played: Floats) -> Floats:
    canceller = EchoCanceller()
    hops = zip(heard.reshape(-1, HOP), played.reshape(-1, HOP), strict=True)
    return np.concatenate([canceller.clean(here, there) for here, there in hops])


def last_db(sound: Floats, than: Floats) -> float:
    """Return the attenuation of the last third in decibels."""
    third = len(sound) // 3
    return float(10 * np.log10(np.mean(than[-third:] ** 2) / np.mean(sound[-third:] ** 2)))


def test_an_echo_is_taken_away_by_twenty_decibels_within_eight_seconds() -> None:
    played = talk()
    echo = echoed(played)
    assert last_db(cleaned(echo, played), echo) > 20.0


def test_what_a_person_says_over_it_comes_through_and_does_not_spoil_what_was_learnt() -> None:
    played = talk()
    echo = echoed(played)
    person = np.zeros(len(played))
    begin, end = 5 * EAR_RATE_HZ, 7 * EAR_RATE_HZ
    person[begin:end] = talk()[::-1][: end - begin]
    left = cleaned(echo + person, played)
    likeness = np.corrcoef(left[begin:end], person[begin:end])[0, 1]
    assert likeness > 0.95
    assert last_db(left, echo) > 18.0


def test_without_our_voice_the_sound_is_left_alone() -> None:
    person = talk()
    assert np.array_equal(cleaned(person, np.zeros(len(person))), person)


def test_after_a_change_it_learns_anew() -> None:
    played = talk()
    canceller = EchoCanceller()

    def last(heard: Floats) -> float:
        hops = zip(heard.reshape(-1, HOP), played.reshape(-1, HOP), strict=True)
        return last_db(np.concatenate([canceller.clean(here, there) for here, there in hops]), heard)

    last(echoed(played))
    canceller.doubt()
    assert last(echoed(played, delay_s=0.1)) > 15.0
