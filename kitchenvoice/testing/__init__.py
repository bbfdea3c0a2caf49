"""Public fakes of the ports, for tests, rehearsals and users."""

from kitchenvoice.testing.fake_ear import (
    ListSource,
    LoudnessDetector,
    ScriptedOpinion,
    ScriptedRecogniser,
    ScriptedSpeech,
    SentenceList,
)
from kitchenvoice.testing.fake_log import MemoryLog
from kitchenvoice.testing.fake_mouth import FakePlayer, FakeSynthesiser, Played

__all__ = [
    "FakePlayer",
    "FakeSynthesiser",
    "ListSource",
    "LoudnessDetector",
    "MemoryLog",
    "Played",
    "ScriptedOpinion",
    "ScriptedRecogniser",
    "ScriptedSpeech",
    "SentenceList",
]
