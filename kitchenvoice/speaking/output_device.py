"""The output device itself: the settings it takes, and the turns at a restart of PortAudio to find it again."""

from __future__ import annotations

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceMissing

__all__ = ["MISSING", "PREFERRED_RATE_HZ", "Restarts", "accepted_settings"]

PREFERRED_RATE_HZ = 22_050
MISSING = "There is no speaker that works. Plug one in or choose another device."
SHORTEST_S, LONGEST_S = 1.0, 8.0
"""Intervals between two restarts: each twice as long as the one before."""


def accepted_settings(device: int | str | None) -> tuple[int, int]:
    """Return a sample rate in Hz and a number of channels for the device. Raises: DeviceMissing if it takes none."""
    sd = portaudio.sounddevice()
    default_hz = round(float(sd.query_devices(device, kind="output")["default_samplerate"]))
    for rate_hz in (PREFERRED_RATE_HZ, default_hz):
        for channels in (1, 2):
            try:
                sd.check_output_settings(device, channels=channels, dtype="int16", samplerate=rate_hz)
            except (sd.PortAudioError, ValueError):
                continue
            return rate_hz, channels
    raise DeviceMissing(MISSING)


class Restarts:
    """Turns at restarting PortAudio, which interrupts the microphone as well.

    Where there is one, PortAudio is restarted once the surroundings have changed, else at growing intervals.
    """

    def __init__(self) -> None:
        self._surroundings = portaudio.surroundings()
        self._next_t = 0.0
        self._pause_s = SHORTEST_S

    def due(self, now: float) -> bool:
        """True if it is time, and take the turn; `now` is of the monotonic clock, seconds."""
        before, self._surroundings = self._surroundings, portaudio.surroundings()
        if self._surroundings != before:
            self._next_t, self._pause_s = now, SHORTEST_S
        a_microphone_may_run = any(device.inputs for device in portaudio.describe_devices())
        if a_microphone_may_run and now < self._next_t:
            return False
        self._next_t, self._pause_s = now + self._pause_s, min(2 * self._pause_s, LONGEST_S)
        return True

    def found(self) -> None:
        """Begin again with the shortest interval: the device is open."""
        self._pause_s = SHORTEST_S
