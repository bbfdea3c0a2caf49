"""The mouth of a live session: voice, speaker and settings as the profile wants them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kitchenvoice.audio import portaudio
from kitchenvoice.clock import SystemClock
from kitchenvoice.errors import DeviceMissing, VoiceMissing
from kitchenvoice.kitchen.loudness import volume_db
from kitchenvoice.kitchen.profile import SECOND_VOICE, Profile
from kitchenvoice.ports import Sound, Synthesiser
from kitchenvoice.speaking import (
    Mouth,
    MouthCallbacks,
    MouthSettings,
    NeuralSynthesiser,
    Pyttsx3Synthesiser,
    SpeakerPlayer,
)

__all__ = ["NO_SPEAKER", "ChangingVoice", "make_mouth", "make_voice"]

NO_SPEAKER = "There is no speaker that works. Plug one in; I go on, and speak as soon as it is there."


def make_mouth(profile: Profile, live: dict[str, Any], *, speaker_may_be_missing: bool = False) -> Mouth:
    """Make the mouth; its reports go to `live` once the ear is there.

    Raises: VoiceMissing, and DeviceMissing if the library isn't installed, or (unless it `speaker_may_be_missing`) if
    there is no speaker.
    """

    def tell(name: str) -> Callable[..., None]:
        return lambda *what: live[name](*what) if name in live else None

    synthesiser = live["voice"] = ChangingVoice(profile.voice)
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


class ChangingVoice:
    """The voice of that name, exchangeable from one sentence to the next."""

    def __init__(self, name: str | None, make: Callable[[str | None], Synthesiser] | None = None) -> None:
        """Make the voice. Raises: VoiceMissing."""
        self._make = make or make_voice
        self._voices = {name: self._make(name)}
        self._first = self._chosen = name
        self._rate_wpm = MouthSettings().rate_wpm

    @property
    def name(self) -> str:
        """Name of engine and voice."""
        return self._voices[self._chosen if self._chosen in self._voices else self._first].name

    def choose(self, name: str | None) -> None:
        """Speak with the voice of this name from now on; it is made with its first sentence, which takes a second."""
        self._chosen = name

    def set_rate_wpm(self, rate_wpm: int) -> None:
        """Speak at this rate from the next sentence on."""
        self._rate_wpm = rate_wpm

    def render(self, text: str) -> Sound:
        """Return the spoken text, by the voice of before where the chosen one fails. Raises: VoiceMissing."""
        chosen = self._chosen
        try:
            return self._render(chosen, text)
        except VoiceMissing:
            if chosen == self._first:
                raise
            self._chosen = self._first
            return self._render(self._first, text)

    def _render(self, name: str | None, text: str) -> Sound:
        if name not in self._voices:
            self._voices[name] = self._make(name)
        voice = self._voices[name]
        voice.set_rate_wpm(self._rate_wpm)
        return voice.render(text)


def make_voice(name: str | None) -> Synthesiser:
    """Return the voice of that name in the profile. Raises: VoiceMissing."""
    if name == SECOND_VOICE:
        return NeuralSynthesiser()
    return Pyttsx3Synthesiser(voice=name) if name else Pyttsx3Synthesiser()


def _settings(profile: Profile) -> MouthSettings:
    """Return the profile's volume and pace, clipped to the mouth's limits."""
    return MouthSettings.clipped(volume_db=volume_db(profile.volume), rate_wpm=profile.speech_rate_wpm)
