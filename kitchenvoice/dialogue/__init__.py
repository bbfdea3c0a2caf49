"""The conversation: an utterance to an intent, an intent to events, events to sentences."""

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control, Heard, Turn
from kitchenvoice.dialogue.understand import Understanding, understand

__all__ = ["Control", "Conversation", "Heard", "Turn", "Understanding", "understand"]
