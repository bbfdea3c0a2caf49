"""The microphone: PortAudio's callback fills a queue, `blocks` empties it, a heartbeat detects a lost device.

Limitations: the sound system may answer "no such device" while it restarts, and a frozen driver hangs every call into
it. So a loss is detected by missing blocks (0.5 s) or by the end of the stream, and the stream is closed in a thread
that can be abandoned. To reopen after a loss, call `portaudio.reinitialise()`, which ends the speaker's stream too,
and then `blocks()` again.
"""

from __future__ import annotations

import contextlib
import queue
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import soxr

from kitchenvoice.audio import portaudio
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.hearing.thresholds import HEARTBEAT_S, QUEUE_S
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["Microphone"]

BLOCK_S = 0.02
_MISSING = "There is no microphone that can be opened. Plug one in, or choose it in the sound settings."
_LOST = "The microphone is gone. Plug it in again; listening goes on by itself when it is back."


class _Inlet:
    """State of one opening of the device, filled by its callback; a later opening has its own."""

    def __init__(self) -> None:
        self.blocks: queue.Queue[Samples] = queue.Queue(maxsize=round(QUEUE_S / BLOCK_S))
        self.ended = threading.Event()
        self.heartbeat = time.monotonic()
        self.dropped = 0

    def take(self, indata: Any, _frames: int, _when: Any, _status: Any) -> None:
        """Copy one block; called by PortAudio, so nothing here may block."""
        self.heartbeat = time.monotonic()
        if self.blocks.full():
            self.dropped += 1
            with contextlib.suppress(queue.Empty):
                self.blocks.get_nowait()
        with contextlib.suppress(queue.Full):
            self.blocks.put_nowait(indata[:, 0].copy())

    def next(self) -> Samples | None:
        """Wait briefly for a block. Raises: DeviceLost if the device was silent for too long or has ended."""
        try:
            return self.blocks.get(timeout=BLOCK_S * 2)
        except queue.Empty:
            if self.ended.is_set() or time.monotonic() - self.heartbeat > HEARTBEAT_S:
                raise DeviceLost(_LOST) from None
            return None


class Microphone:
    """An `AudioSource` on an input device (index or name; the default one if None), made louder by `gain_db`."""

    def __init__(self, device: int | str | None = None, gain_db: float = 0.0) -> None:
        self._device = device
        self._factor = 10.0 ** (gain_db / 20.0)
        self._closed = threading.Event()
        self._inlet = _Inlet()

    @property
    def dropped_blocks(self) -> int:
        """Blocks dropped since opening because they weren't taken within `QUEUE_S`; the oldest go first."""
        return self._inlet.dropped

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks of 20 ms at 16 kHz until closed. May be called again after a loss.

        Raises: DeviceMissing if there is no microphone, DeviceLost if it stops.
        """
        inlet = self._inlet = _Inlet()
        opened_in = portaudio.generation()
        stream, rate_hz = self._open(inlet)
        convert = _converter(rate_hz)
        try:
            while not self._closed.is_set():
                if portaudio.generation() != opened_in:
                    raise DeviceLost(_LOST)
                block = inlet.next()
                if block is not None and len(sound := convert(block)):
                    yield sound if self._factor == 1.0 else _times(sound, self._factor)
        finally:
            portaudio.close_stream(stream, opened_in)

    def close(self) -> None:
        """Stop; `blocks` ends within a block. Safe to call twice and from another thread."""
        self._closed.set()

    def _open(self, inlet: _Inlet) -> tuple[Any, int]:
        with portaudio.one_at_a_time():
            return self._begin_stream(inlet)

    def _begin_stream(self, inlet: _Inlet) -> tuple[Any, int]:
        sd = portaudio.sounddevice()
        stream = None
        try:
            rate_hz = self._offered_rate(sd)
            stream = sd.InputStream(
                samplerate=rate_hz,
                blocksize=round(rate_hz * BLOCK_S),
                device=self._device,
                channels=1,
                dtype="int16",
                latency="high",
                callback=inlet.take,
                finished_callback=inlet.ended.set,
            )
            stream.start()
        except (sd.PortAudioError, ValueError) as exc:
            if stream is not None:
                stream.close(ignore_errors=True)
            raise DeviceMissing(_MISSING) from exc
        inlet.heartbeat = time.monotonic()
        return stream, rate_hz

    def _offered_rate(self, sd: Any) -> int:
        """Return 16 kHz if the device takes it, else the device's own rate."""
        try:
            sd.check_input_settings(device=self._device, channels=1, dtype="int16", samplerate=EAR_RATE_HZ)
        except sd.PortAudioError:
            return int(sd.query_devices(self._device, "input")["default_samplerate"])
        return EAR_RATE_HZ


def _times(sound: Samples, factor: float) -> Samples:
    return np.asarray(np.clip(np.rint(sound * factor), -32768, 32767), dtype=np.int16)


def _converter(rate_hz: int) -> Callable[[Samples], Samples]:
    """Return a resampler from the device's rate to 16 kHz, block by block."""
    if rate_hz == EAR_RATE_HZ:
        return lambda block: block
    resampler = soxr.ResampleStream(rate_hz, EAR_RATE_HZ, 1, dtype="int16", quality="LQ")
    return lambda block: np.asarray(resampler.resample_chunk(block), dtype=np.int16)
