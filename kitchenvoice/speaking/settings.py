"""Volume and rate, in audible steps within useful bounds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.speaking.levels import as_factor

__all__ = ["MouthSettings"]

VOLUME_STEP_DB = 3.0
VOLUME_DB = (-12.0, 6.0)
"""At the top, speech is still 6 dB below an alarm at its default."""
ALARM_DB = (-6.0, 0.0)
"""Alarms have a separate volume, which no setting makes soft."""
RATE_STEP_WPM = 20
RATE_WPM = (90, 230)
REPEAT_STEP_DB = 3.0


@dataclass(frozen=True, slots=True)
class MouthSettings:
    """Volume of speech and of alarms in decibels from the default, and rate in words a minute.

    Raises: ValueError outside the bounds.
    """

    volume_db: float = 0.0
    alarm_db: float = 0.0
    rate_wpm: int = 150

    def __post_init__(self) -> None:
        """Check the bounds."""
        for name, value, (low, high) in (
            ("volume", self.volume_db, VOLUME_DB),
            ("alarm volume", self.alarm_db, ALARM_DB),
            ("pace", self.rate_wpm, RATE_WPM),
        ):
            if not low <= value <= high:
                raise ValueError(f"The {name} has to be between {low:g} and {high:g}, not {value:g}.")

    @classmethod
    def clipped(cls, volume_db: float = 0.0, alarm_db: float = 0.0, rate_wpm: int = 150) -> MouthSettings:
        """Return settings with each value clipped to its bounds, as for a profile written by hand."""
        return cls(_within(volume_db, VOLUME_DB), _within(alarm_db, ALARM_DB), round(_within(rate_wpm, RATE_WPM)))

    def louder(self, steps: int = 1) -> MouthSettings:
        """Return these settings with speech louder (softer for negative steps), within the bounds."""
        return replace(self, volume_db=_within(self.volume_db + steps * VOLUME_STEP_DB, VOLUME_DB))

    def faster(self, steps: int = 1) -> MouthSettings:
        """Return these settings with speech faster (slower for negative steps), within the bounds."""
        return replace(self, rate_wpm=round(_within(self.rate_wpm + steps * RATE_STEP_WPM, RATE_WPM)))

    def speech_gain(self, announcement: Announcement) -> float:
        """Return the factor for words: louder with each repeat; words of an alarm never below the default."""
        base_db = max(self.volume_db, 0.0) if announcement.urgency == Urgency.ALARM else self.volume_db
        return as_factor(_within(base_db + announcement.repeats * REPEAT_STEP_DB, VOLUME_DB))

    def tone_gain(self, alarming: bool) -> float:
        """Return the gain of a tone."""
        return as_factor(self.alarm_db if alarming else self.volume_db)


def _within(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])
