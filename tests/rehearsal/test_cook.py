"""The synthetic cook: present, repeatable, at one level, and honest about what it can't say."""

import numpy as np
import pytest

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.rehearsal.cook import DEMO_COOK, DEMO_HELPER, Cook, voice, voices
from kitchenvoice.rehearsal.kitchen_noise import active_level

pytestmark = pytest.mark.audio

PLAIN_INSTALL = ["flite slt", "flite rms", "flite awb", "flite kal", "espeak f3", "espeak m3"]


@pytest.mark.parametrize("name", PLAIN_INSTALL)
def test_a_plain_install_speaks_with_this_voice(name: str) -> None:
    said = voice(name).say("the weight is rocking")
    assert said.dtype == np.int16
    assert 0.7 < len(said) / 16_000 < 3.0
    assert 1_600 < active_level(said) < 6_600


@pytest.mark.parametrize("name", ["flite slt", "flite slt small", "espeak f3"])
def test_the_same_text_gives_the_same_samples(name: str) -> None:
    cook = voice(name)
    assert np.array_equal(cook.say("jars are in"), cook.say("jars are in"))


@pytest.mark.parametrize("name", ["flite slt", "espeak f3"])
def test_a_higher_rate_is_shorter(name: str) -> None:
    cook = voice(name)
    slow, fast = cook.say("how much salt per jar", rate=0.8), cook.say("how much salt per jar", rate=1.4)
    assert len(fast) < 0.75 * len(slow)


def test_a_smaller_person_speaks_higher_for_the_same_time() -> None:
    cook, small = voice("flite slt"), voice("flite slt small")
    a, b = cook.say("what is the head space"), small.say("what is the head space")
    assert abs(len(a) - len(b)) < 0.1 * len(a)
    assert _centre_hz(b) > 1.03 * _centre_hz(a)


def test_the_cook_and_the_helper_are_there_and_of_different_families() -> None:
    cook, helper = voice(DEMO_COOK), voice(DEMO_HELPER)
    assert voices()[0] == cook
    assert cook.family != helper.family


def test_names_are_unique() -> None:
    names = [cook.name for cook in voices()]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("text", ["", "  ", "\n"])
def test_nothing_to_say_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="nothing to say"):
        voice(DEMO_COOK).say(text)


@pytest.mark.parametrize("rate", [0.0, 0.4, 2.1, -1.0])
def test_an_impossible_rate_is_refused(rate: float) -> None:
    with pytest.raises(ValueError, match="can't be spoken"):
        voice(DEMO_COOK).say("yes", rate=rate)


def test_an_unknown_voice_names_what_to_install() -> None:
    with pytest.raises(VoiceMissing, match="Install"):
        voice("a tenor")


def test_a_voice_whose_program_is_missing_says_so() -> None:
    absent = Cook("nobody", "formant", "flite", "slt")
    object.__setattr__(absent, "engine", "no-such-program")
    assert not absent.available
    with pytest.raises(VoiceMissing, match="no-such-program"):
        absent.say("yes")


def test_text_that_looks_like_an_option_is_spoken_as_text() -> None:
    assert len(voice("espeak f3").say("--version please")) > 8_000
    assert len(voice("flite slt").say("-o nothing")) > 8_000


def _centre_hz(sound: np.ndarray) -> float:
    power = np.abs(np.fft.rfft(sound.astype(float))) ** 2
    return float(np.sum(np.fft.rfftfreq(len(sound), 1 / 16_000) * power) / np.sum(power))
