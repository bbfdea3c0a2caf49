"""The mouth of a live session: voice, speaker and settings as the profile wants them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kitchenvoice.audio import portaudio
from kitchenvoice.clock import SystemClock
from kitchenvoice.errors import DeviceMissing
from kitchenvoice.kitchen.loudness import volume_db
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.ports import Synthesiser
from kitchenvoice.speaking import (
    NEURAL,
    Mouth,
    MouthCallbacks,
    MouthSettings,
    NeuralSynthesiser,
    Pyttsx3Synthesiser,
    SpeakerPlayer,
)

__all__ = ["NO_SPEAKER", "make_mouth", "make_voice"]

NO_SPEAKER = "There is no speaker that works. Plug one in; I go on, and speak as soon as it is there."


def make_mouth(profile: Profile, live: dict[str, Any], *, speaker_may_be_missing: bool = False) -> Mouth:
    """Make the mouth; what it tells goes where `live` points once the ear is there.

    Raises: VoiceMissing, and DeviceMissing if the library isn't installed, or (unless it `speaker_may_be_missing`) if
    there is no speaker.
    """

    def tell(name: str) -> Callable[..., None]:
        return lambda *what: live[name](*what) if name in live else None

    synthesiser = make_voice(profile)
    clock = SystemClock()
    portaudio.sounddevice()  # without the library no device can ever come
    player = SpeakerPlayer(
        profile.output_device,
        on_lost=tell("lost"),
        on_played=tell("played"),
        may_be_missing=speaker_may_be_missing,
    )
    mouth = Mouth(
        synthesiser,
        player,
        lambda: clock.now().elapsed,
        callbacks=MouthCallbacks(
            on_speaking=tell("speaking"),
            on_started=tell("started"),
            on_trouble=tell("trouble"),
            on_recovered=tell("recovered"),
            on_dropped=tell("dropped"),
        ),
        settings=_settings(profile),
    )
    live["lost"] = mouth.note_lost
    if not player.healthy:
        mouth.note_lost(DeviceMissing(NO_SPEAKER))
    return mouth


def make_voice(profile: Profile) -> Synthesiser:
    """Return the voice that the profile names. Raises: VoiceMissing."""
    if profile.voice == NEURAL:
        return NeuralSynthesiser()
    return Pyttsx3Synthesiser(voice=profile.voice) if profile.voice else Pyttsx3Synthesiser()


def _settings(profile: Profile) -> MouthSettings:
    """Return the profile's volume and pace, within what the mouth can do."""
    return MouthSettings.clipped(volume_db=volume_db(profile.volume), rate_wpm=profile.speech_rate_wpm)
