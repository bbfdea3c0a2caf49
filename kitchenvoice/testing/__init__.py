"""Public fakes of the ports, and kitchens on a simulated clock, for tests, rehearsals and users."""

from kitchenvoice.testing.copied import copied
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
from kitchenvoice.testing.joined_kitchen import JoinedKitchen, Sounded
from kitchenvoice.testing.simulated_kitchen import DAY_START_UTC, KitchenLog, SimulatedInbox, SimulatedKitchen

__all__ = [
    "DAY_START_UTC",
    "FakePlayer",
    "FakeSynthesiser",
    "JoinedKitchen",
    "KitchenLog",
    "ListSource",
    "LoudnessDetector",
    "MemoryLog",
    "Played",
    "ScriptedOpinion",
    "ScriptedRecogniser",
    "ScriptedSpeech",
    "SentenceList",
    "SimulatedInbox",
    "SimulatedKitchen",
    "Sounded",
    "copied",
]
