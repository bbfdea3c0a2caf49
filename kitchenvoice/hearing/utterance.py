"""State of the utterance in progress."""

from __future__ import annotations

import numpy as np

from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.endpoint import has_ended, patience_s
from kitchenvoice.hearing.vad import FRAME, FRAME_S
from kitchenvoice.ports import ListeningGrammar, Samples

__all__ = ["Speech"]


class Speech:
    """Length, silence, text and level of one utterance. Frames count from its first one, pre-roll included."""

    def __init__(self, pre_roll: int) -> None:
        self.frames = pre_roll
        self.last_voiced = pre_roll
        self.changed = pre_roll
        self.text = ""
        self.patience_s = th.WORDLESS_S
        self.energy = 0.0
        self.clipped = 0
        self.voiced = 0

    def note(self, frame: Samples, is_voice: bool) -> None:
        """Count a frame; if it is voice, its level too."""
        self.frames += 1
        if is_voice:
            self.last_voiced = self.frames
            self.add_level(frame)

    def add_level(self, frame: Samples) -> None:
        """Add the energy and the clipped samples of a frame of voice."""
        values = frame.astype(np.float64)
        self.energy += float(np.mean(values * values))
        self.clipped += int(np.count_nonzero(np.abs(values) >= 32_700))
        self.voiced += 1

    def note_text(self, text: str, grammar: ListeningGrammar) -> None:
        """Take the text recognised so far, and work out how long a silence ends it."""
        if text != self.text:  # asking the grammar costs more than comparing
            self.text = text
            self.changed = self.frames
            self.patience_s = patience_s(text, grammar)

    @property
    def has_ended(self) -> bool:
        """True if it is too long, or has been silent for long enough."""
        if self.too_long:
            return True
        return has_ended(self.patience_s, self.silence_s, self.stable_s, self.text)

    @property
    def too_long(self) -> bool:
        """True from `MAX_UTTERANCE_S` on."""
        return self.seconds >= th.MAX_UTTERANCE_S

    @property
    def silence_s(self) -> float:
        """Seconds since the last frame of voice."""
        return (self.frames - self.last_voiced) * FRAME_S

    @property
    def waited_s(self) -> float:
        """Seconds since the end of speech, or since the last new word if the detector takes noise for voice."""
        return self.silence_s + th.DETECTOR_LAG_S if self.silence_s else self.stable_s

    @property
    def stable_s(self) -> float:
        """Seconds since the text last changed."""
        return (self.frames - self.changed) * FRAME_S

    @property
    def seconds(self) -> float:
        """Length, pre-roll included."""
        return self.frames * FRAME_S

    @property
    def level_dbfs(self) -> float:
        """Mean level of the frames of voice, in dB below full scale."""
        return 10.0 * float(np.log10(max(self.energy / max(self.voiced, 1), 1e-3) / 32768.0**2))

    def trouble(self) -> str | None:
        """Return the fault of the sound (`too_long`, `too_loud`, `too_soft`), or `None`."""
        if self.too_long:
            return "too_long"
        if self.clipped > th.CLIPPED_SHARE * self.voiced * FRAME:
            return "too_loud"
        return "too_soft" if self.level_dbfs < th.TOO_SOFT_DBFS else None
