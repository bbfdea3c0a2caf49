"""Shared fixtures of the mouth's tests: a virtual sound card, and a recorder at its loudspeaker."""

from __future__ import annotations

import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.audio import portaudio
from kitchenvoice.ports import Samples

ROOT = Path(__file__).parents[2]
RATE_HZ = 16_000
LOUD = 300
"""Above the noise that keeps the sink awake (12), below any speech."""


class Recording:
    """Output of the virtual loudspeaker, with the time of arrival of each 10 ms."""

    def __init__(self) -> None:
        command = ["parec", "--device=speaker.monitor", f"--rate={RATE_HZ}", "--channels=1", "--format=s16le"]
        self._recorder = subprocess.Popen([*command, "--latency-msec=10", "--raw"], stdout=subprocess.PIPE)
        self._blocks: list[tuple[float, Samples]] = []
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()
        self.wait(lambda: bool(self._blocks), "the recorder never started")

    def _read(self) -> None:
        assert self._recorder.stdout is not None
        while block := self._recorder.stdout.read(320):
            with self._changed:
                self._blocks.append((time.perf_counter(), np.frombuffer(block, dtype=np.int16)))
                self._changed.notify_all()

    def wait(self, condition: Callable[[], bool], otherwise: str, limit_s: float = 8.0) -> None:
        """Wait for the condition, polling at each new block; fail after `limit_s`."""
        with self._changed:
            assert self._changed.wait_for(condition, limit_s), otherwise

    def loud_times(self, since_t: float = 0.0) -> list[float]:
        """Return when loud blocks arrived."""
        return [t for t, block in self._blocks if t >= since_t and np.abs(block).max() > LOUD]

    def wait_loud(self, since_t: float, limit_s: float = 8.0) -> float:
        """Wait for the first loud block; return its time."""
        self.wait(lambda: bool(self.loud_times(since_t)), "nothing was heard", limit_s)
        return self.loud_times(since_t)[0]

    def wait_quiet(self, seconds: float, since_t: float, limit_s: float = 8.0) -> float:
        """Wait for so long a silence; return the time of the last loud block."""

        def quiet() -> bool:
            return self._blocks[-1][0] - (self.loud_times(since_t) or [since_t])[-1] > seconds

        self.wait(quiet, "it never fell silent", limit_s)
        return (self.loud_times(since_t) or [since_t])[-1]

    def samples(self, since_t: float) -> Samples:
        """Return the samples since then."""
        return np.concatenate([block for t, block in self._blocks if t >= since_t])

    def close(self) -> None:
        """End the recorder."""
        self._recorder.terminate()
        self._recorder.wait(5.0)
        self._thread.join(5.0)
        assert self._recorder.stdout is not None
        self._recorder.stdout.close()


@pytest.fixture
def virtual_room(virtual_room: Path) -> Path:
    """A virtual sound card; PortAudio of this process sees no other."""
    portaudio.reinitialise()
    return virtual_room


@pytest.fixture
def recording(virtual_room: Path) -> Iterator[Recording]:
    """A recorder at the virtual loudspeaker."""
    opened = Recording()
    yield opened
    opened.close()
