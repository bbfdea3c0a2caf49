"""PortAudio, shared by microphone and speaker, and the memory of the audio threads."""

from kitchenvoice.audio.malloc import give_back_memory, share_one_store
from kitchenvoice.audio.portaudio import (
    SoundDevice,
    close_stream,
    describe_devices,
    generation,
    one_at_a_time,
    reinitialise,
    sounddevice,
    surroundings,
)

__all__ = [
    "SoundDevice",
    "close_stream",
    "describe_devices",
    "generation",
    "give_back_memory",
    "one_at_a_time",
    "reinitialise",
    "share_one_store",
    "sounddevice",
    "surroundings",
]
