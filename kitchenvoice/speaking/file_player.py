"""A player that writes to files: one WAV for each sound, and one track of them all."""

from __future__ import annotations

import json
import wave
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soxr

from kitchenvoice.errors import DeviceLost
from kitchenvoice.files import make_folder, replace_file
from kitchenvoice.ports import Samples, Sound
from kitchenvoice.speaking.levels import amplified

__all__ = ["FilePlayer"]

TRACK_RATE_HZ = 22_050
CLOSED = "The folder of sounds was closed. Open a new one."


@dataclass(slots=True)
class _Running:
    sound: Sound
    begin_t: float
    on_end: Callable[[bool], None] | None


class FilePlayer:
    """Write sounds into a folder: `001.wav`, `002.wav` ..., `track.wav`, and `track.json` with the times.

    The clock is external: a sound lasts until the clock has passed its end *and* `settle` is called.
    """

    def __init__(self, folder: Path, now: Callable[[], float], *, longest_silence_s: float | None = 3.0) -> None:
        """Make the folder. Silence in the track is shortened to `longest_silence_s` (`None`: kept, a day is 3.8 GB).

        Raises: OSError if the folder can't be written.
        """
        make_folder(folder)
        self._folder = folder
        self._now = now
        self._longest_silence_s = longest_silence_s
        self._running: _Running | None = None
        self._entries: list[dict[str, object]] = []
        self._written_until_t: float | None = None
        self._written = 0
        self._track: wave.Wave_write | None = _wav(folder / "track.wav", TRACK_RATE_HZ)

    def play(self, sound: Sound, *, gain: float = 1.0, on_end: Callable[[bool], None] | None = None) -> None:
        """Begin a sound at the clock's time; a running one is stopped. Raises: DeviceLost after `close`."""
        if self._track is None:
            raise DeviceLost(CLOSED)
        self.stop()
        self._running = _Running(Sound(amplified(sound.samples, gain), sound.rate_hz), self._now(), on_end)

    def stop(self) -> None:
        """End the current sound; the files hold its played part."""
        self.settle()
        self._end(finished=False)

    @property
    def playing(self) -> bool:
        """True until the clock has passed the end of the sound."""
        return self._running is not None and self._now() < self._end_t(self._running)

    def settle(self) -> None:
        """End the sound if the clock has passed its end; call after moving the clock."""
        if self._running is not None and self._now() >= self._end_t(self._running):
            self._end(finished=True)

    def close(self) -> None:
        """Finish the files. Safe to call twice."""
        if self._track is None:
            return
        self.stop()
        self._track.close()
        self._track = None
        replace_file(self._folder / "track.json", f"{json.dumps(self._entries, indent=1)}\n".encode())

    def _end_t(self, running: _Running) -> float:
        return running.begin_t + running.sound.seconds

    def _end(self, *, finished: bool) -> None:
        running, self._running = self._running, None
        if running is None:
            return
        heard_s = running.sound.seconds if finished else self._now() - running.begin_t
        samples = running.sound.samples[: round(heard_s * running.sound.rate_hz)]
        self._write(running, samples)
        if running.on_end is not None:
            running.on_end(finished)

    def _write(self, running: _Running, samples: Samples) -> None:
        rate_hz = running.sound.rate_hz
        file = f"{len(self._entries) + 1:03}.wav"
        with _wav(self._folder / file, rate_hz) as opened:
            opened.writeframes(samples.astype("<i2").tobytes())
        if self._written_until_t is not None:
            silence_s = max(0.0, running.begin_t - self._written_until_t)
            if self._longest_silence_s is not None:
                silence_s = min(silence_s, self._longest_silence_s)
            self._add_to_track(np.zeros(round(silence_s * TRACK_RATE_HZ), dtype=np.int16))
        offset_s = self._written / TRACK_RATE_HZ
        seconds = len(samples) / rate_hz
        self._entries.append(
            {"file": file, "t": round(running.begin_t, 3), "track_s": round(offset_s, 3), "seconds": round(seconds, 3)}
        )
        if rate_hz != TRACK_RATE_HZ and len(samples):
            samples = soxr.resample(samples, rate_hz, TRACK_RATE_HZ)
        self._add_to_track(samples)
        self._written_until_t = running.begin_t + seconds

    def _add_to_track(self, samples: Samples) -> None:
        if self._track is not None:
            self._track.writeframes(samples.astype("<i2").tobytes())
            self._written += len(samples)


def _wav(file: Path, rate_hz: int) -> wave.Wave_write:
    replace_file(file, b"", sync=False)  # private, and no link that was there is followed
    opened = wave.open(str(file), "wb")  # noqa: SIM115 - the caller closes it
    opened.setnchannels(1)
    opened.setsampwidth(2)
    opened.setframerate(rate_hz)
    return opened
