"""The loudspeaker: one stream, always open, fed by a callback that tracks the sounds in the air.

The stream runs on between sounds: a lost device is noticed before an alarm needs it, and a sound starts without the
delay of opening. Some devices sleep at digital silence and would swallow the beginning of the next sound, so inaudible
noise is played meanwhile.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.ports import Samples, Sound
from kitchenvoice.speaking.levels import FULL_SCALE, amplified
from kitchenvoice.speaking.output_device import MISSING, PREFERRED_RATE_HZ, Restarts, accepted_settings
from kitchenvoice.speaking.playback import Flight, fade, guarded, tell

__all__ = ["SpeakerPlayer"]

_log = logging.getLogger(__name__)

BEAT_LIMIT_S = 0.5
"""Age of the last callback that means a dead driver; measured: one each 10 to 40 ms, 28 ms at worst with busy cores."""
WATCH_S = 0.1
LONGEST_WAY_S = 2.0
"""Cap on the driver's reported latency, because the ear is muted until the last sample."""
WAKE_PEAK = 12
"""Peak of the noise between sounds: 73 dB below full scale, far under a kitchen's own."""
WAKE_S = 0.15
"""How long that noise is played on a newly opened device before the first sound."""
FADE_S = 0.005
"""Length of the fade-out: short enough for the limit, long enough not to click."""
LOST = "The speaker has stopped working. Check its plug; it is tried again every second."
CLOSED = "The speaker was closed. Open a new one."


class SpeakerPlayer:
    """Play on a PortAudio device. Thread-safe; `on_end` comes from the player's own thread."""

    def __init__(
        self,
        device: int | str | None = None,
        *,
        latency: float | str = "high",
        on_lost: Callable[[DeviceLost], None] | None = None,
        on_played: Callable[[Samples, int, float], None] | None = None,
        may_be_missing: bool = False,
    ) -> None:
        """Open the device (`None`: the system's default); `on_lost` is called once for each loss.

        `on_played(samples, rate_hz, t)` gets everything handed to the device, silence included, with the time at which
        its first sample sounds (monotonic clock); it is called from the driver's callback and must not block.

        If it `may_be_missing`, a device that can't be opened counts as lost from the start (`healthy` is False).
        Otherwise raises: DeviceMissing if it isn't there, DeviceLost if the driver hangs.
        """
        self._device = device
        self._latency: float | str = latency
        self._on_lost = on_lost
        self._on_played = on_played
        self._lock = threading.RLock()
        self._reopening = threading.Lock()
        self._wake = threading.Event()
        self._flight: Flight | None = None
        self._ending: list[Flight] = []
        self._stream: Any = None
        self._opened_in = -1
        self._attempt = 0
        self._lost = False
        self._closed = False
        self._rate_hz = PREFERRED_RATE_HZ
        self._beat = 0.0
        self._awake_t = 0.0
        noise = np.random.default_rng(0).integers(-WAKE_PEAK, WAKE_PEAK + 1, PREFERRED_RATE_HZ)
        self._noise: Samples = noise.astype(np.int16)
        self._restarts = Restarts()
        try:
            self._open()
        except (DeviceMissing, DeviceLost):
            if not may_be_missing:
                raise
            self._lost = True
        self._watcher = threading.Thread(target=self._watch, name="speaker-watch", daemon=True)
        self._watcher.start()

    # ------------------------------------------------------------ the port

    def play(self, sound: Sound, *, gain: float = 1.0, on_end: Callable[[bool], None] | None = None) -> None:
        """Start playing and return; a sound still in the air ends first. A lost device is tried again.

        Raises: DeviceLost if the device is gone (and still is), DeviceMissing if there is none, or after `close`.
        """
        if self._closed:
            raise DeviceLost(CLOSED)
        if not self.healthy:
            if self._lost or self._opened_in == portaudio.generation():
                self._note_lost()
            self.reopen()
        flight = self._prepared(sound, gain, on_end)
        with self._lock:
            self._end_present()
            self._flight = flight

    def stop(self) -> None:
        """Fall silent within 60 ms."""
        with self._lock:
            self._end_present()

    @property
    def playing(self) -> bool:
        """True from the first sample until the last has left the device."""
        with self._lock:
            return self._flight is not None or bool(self._ending)

    def close(self) -> None:
        """Release the device. Safe to call twice."""
        with self._lock:
            if self._closed:
                return
            self._closed = True
            ended = self._take_all()
        self._wake.set()
        self._close_stream()
        tell(ended, False)

    # ------------------------------------------------------------ beyond the port

    @property
    def healthy(self) -> bool:
        """True while the device asks for samples."""
        stream_lives = not self._lost and self._opened_in == portaudio.generation()
        return stream_lives and time.monotonic() - self._beat < BEAT_LIMIT_S

    @property
    def latency_s(self) -> float:
        """Reported time from handing a sample over to its sounding, seconds."""
        with self._lock:
            return float(self._stream.latency) if self._stream is not None else 0.0

    @property
    def rate_hz(self) -> int:
        """Sample rate of the device."""
        return self._rate_hz

    def reopen(self) -> None:
        """Reopen the device after a loss; does nothing while it is healthy.

        PortAudio is restarted only if plain opening fails, and its turn has come. Raises: DeviceMissing, DeviceLost.
        """
        if self._closed:
            raise DeviceLost(CLOSED)
        with self._reopening:
            if not self.healthy:
                self._open_again()

    def _open_again(self) -> None:
        self._close_stream()
        try:
            self._open()
        except (DeviceMissing, DeviceLost):
            if not self._restarts.due(time.monotonic()):
                raise
            portaudio.reinitialise()
            self._open()
        self._restarts.found()

    # ------------------------------------------------------------ opening and closing

    def _open(self) -> None:
        opened: list[bool] = []
        failed: list[Exception] = []
        with self._lock:
            self._attempt += 1
            attempt = self._attempt

        def work() -> None:
            try:
                opened.append(self._open_stream(attempt))
            except Exception as exc:  # passed to the caller below, if it still waits
                _log.info("the speaker can't be opened", exc_info=True)
                failed.append(exc)

        opener = threading.Thread(target=work, name="speaker-open", daemon=True)
        opener.start()
        opener.join(portaudio.PATIENCE_S)
        with self._lock:
            if not opened:
                self._attempt += 1  # a stream that opens too late is closed again
        if failed:
            if isinstance(failed[0], DeviceMissing):
                raise failed[0]
            raise DeviceMissing(MISSING) from failed[0]
        if opened != [True]:
            raise DeviceLost(LOST)

    def _open_stream(self, attempt: int) -> bool:
        """Open and start a stream; False if a later attempt has overtaken this one, as after a driver that hung."""
        with portaudio.one_at_a_time():
            stream, generation = self._begin_stream(attempt)
        if stream is None:
            return True
        portaudio.close_stream(stream, generation)
        return False

    def _begin_stream(self, attempt: int) -> tuple[Any, int]:
        """Open and start a stream; return it only if it was overtaken and has to be closed."""
        sd = portaudio.sounddevice()
        generation = portaudio.generation()
        rate_hz, channels = accepted_settings(self._device)
        stream = sd.OutputStream(
            device=self._device,
            samplerate=rate_hz,
            channels=channels,
            dtype="int16",
            latency=self._latency,
            callback=lambda out, frames, when, _status: self._feed(attempt, out, frames, when),
            finished_callback=lambda: self._finished(attempt),
        )
        with self._lock:
            overtaken = attempt != self._attempt or self._closed
            if not overtaken:
                self._stream, self._opened_in, self._rate_hz, self._lost = stream, generation, rate_hz, False
                self._awake_t = time.monotonic() + WAKE_S
        if overtaken:
            return stream, generation
        stream.start()
        self._beat = time.monotonic()
        return None, generation

    def _close_stream(self) -> None:
        with self._lock:
            stream, self._stream = self._stream, None
        if stream is not None:
            portaudio.close_stream(stream, self._opened_in)

    # ------------------------------------------------------------ playback

    def _prepared(self, sound: Sound, gain: float, on_end: Callable[[bool], None] | None) -> Flight:
        samples = amplified(sound.samples, gain)
        if sound.rate_hz != self._rate_hz:
            samples = soxr.resample(samples, sound.rate_hz, self._rate_hz)
        lead = round(max(0.0, self._awake_t - time.monotonic()) * self._rate_hz)
        self._awake_t = 0.0
        return Flight(np.concatenate([self._noise[:lead], samples]) if lead else samples, on_end)

    def _end_present(self) -> None:
        """Fade out the current sound; the callback does the rest."""
        flight = self._flight
        if flight is None:
            return
        self._flight = None
        flight.stopping = True
        flight.over_at = time.monotonic() + self.latency_s
        self._ending.append(flight)
        self._wake.set()

    def _feed(self, attempt: int, out: Any, frames: int, when: Any) -> None:
        if attempt != self._attempt:
            out.fill(0)
            return
        now = time.monotonic()
        self._beat = now
        mix = np.zeros(frames, dtype=np.int32)
        with self._lock:
            idle = self._flight is None and all(ending.silent for ending in self._ending)
            for ending in self._ending:
                if not ending.silent:
                    ending.silent = True
                    fade(mix, ending, round(FADE_S * self._rate_hz))
            told = float(when.outputBufferDacTime) - float(when.currentTime)
            until_heard = min(max(0.0, told), LONGEST_WAY_S)
            if self._flight is not None:
                self._hand_over(self._flight, mix, now, until_heard)
        played = np.clip(mix, -FULL_SCALE, FULL_SCALE).astype(np.int16)
        out[:] = (np.resize(self._noise, frames) if idle else played)[:, np.newaxis]
        self._noise = np.roll(self._noise, -frames)
        if self._on_played is not None:
            self._on_played(played, self._rate_hz, now + until_heard)

    def _hand_over(self, flight: Flight, mix: npt.NDArray[np.int32], now: float, until_heard_s: float) -> None:
        part = flight.samples[flight.handed : flight.handed + len(mix)]
        mix[: len(part)] += part
        flight.handed += len(part)
        if flight.handed >= len(flight.samples):
            self._flight = None
            flight.silent = True
            flight.over_at = now + max(until_heard_s, self.latency_s) + len(part) / self._rate_hz
            self._ending.append(flight)
            self._wake.set()

    def _finished(self, attempt: int) -> None:
        """Note that PortAudio ended the stream; our own code ends one only by closing it."""
        if not self._closed and attempt == self._attempt and self._stream is not None:
            self._lost = self._opened_in == portaudio.generation()  # else only PortAudio was restarted
            self._wake.set()

    # ------------------------------------------------------------ the watch thread

    def _watch(self) -> None:
        while not self._closed:
            self._wake.wait(self._pause_s())
            self._wake.clear()
            guarded(self._look_at_device)  # without this thread no sentence would ever end, and the ear stay muted
            guarded(self._look_at_ends)

    def _look_at_device(self) -> None:
        if not self._closed and not self.healthy and not self._began_anew():
            self._note_lost()

    def _look_at_ends(self) -> None:
        """Report the sounds that have ended."""
        now = time.monotonic()
        with self._lock:
            over = [f for f in self._ending if f.over_at is not None and f.over_at <= now]
            self._ending = [f for f in self._ending if f not in over]
        for flight in over:
            tell([flight], not flight.stopping)

    def _pause_s(self) -> float:
        now = time.monotonic()
        with self._lock:
            waits = [f.over_at - now for f in self._ending if f.over_at is not None]
        return max(0.0, min([WATCH_S, *waits]))

    def _began_anew(self) -> bool:
        """Reopen after a restart of PortAudio for the microphone's sake; True if that was all."""
        if self._lost or self._opened_in == portaudio.generation() or self._flight is not None:
            return False
        with self._reopening:
            if self.healthy:
                return True
            self._close_stream()
            try:
                self._open()
            except (DeviceMissing, DeviceLost):
                return False
        return True

    def _note_lost(self) -> None:
        with self._lock:
            told_before = self._stream is None
            self._lost = True
            stream, opened_in, self._stream = self._stream, self._opened_in, None
            ended = self._take_all()
        tell(ended, False)
        if not told_before and self._on_lost is not None:
            guarded(partial(self._on_lost, DeviceLost(LOST)))
        if stream is not None:
            portaudio.close_stream(stream, opened_in)

    def _take_all(self) -> list[Flight]:
        ended = [*self._ending, *([self._flight] if self._flight is not None else [])]
        self._ending, self._flight = [], None
        for flight in ended:
            flight.stopping = True
        return ended
