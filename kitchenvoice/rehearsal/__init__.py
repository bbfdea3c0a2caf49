"""Simulated days: scenarios and the demonstration, practice, a synthetic cook in a noisy kitchen."""

from kitchenvoice.rehearsal.practice_day import LeapingClock, PracticeDay, PracticeMouth
from kitchenvoice.rehearsal.scenario import Scenario, read_scenario
from kitchenvoice.rehearsal.stage import Failure, Rehearsal, TranscriptEntry

__all__ = [
    "Failure",
    "LeapingClock",
    "PracticeDay",
    "PracticeMouth",
    "Rehearsal",
    "Scenario",
    "TranscriptEntry",
    "read_scenario",
]
