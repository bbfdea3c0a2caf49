"""A copy of a conversation, to go on from one state in several ways."""

from __future__ import annotations

import copy

from kitchenvoice.dialogue.conversation import Conversation

__all__ = ["copied"]


def copied(conversation: Conversation) -> Conversation:
    """Return another one in the same state: its lists are new, all that is frozen is shared."""
    other = copy.copy(conversation)
    other.talk = talk = copy.copy(conversation.talk)
    for name, value in vars(talk).items():
        if isinstance(value, list):
            setattr(talk, name, [*value])
    talk.obey = other._handle
    return other
