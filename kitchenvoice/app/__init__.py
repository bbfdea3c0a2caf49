"""The program as it runs: session, ear and mouth in their threads, boards, self-test."""

from kitchenvoice.app.session import (
    Answered,
    Ear,
    Inbox,
    Item,
    Mouthpiece,
    Pressed,
    Session,
    SilentMouth,
    Trouble,
    Typed,
)

__all__ = [
    "Answered",
    "Ear",
    "Inbox",
    "Item",
    "Mouthpiece",
    "Pressed",
    "Session",
    "SilentMouth",
    "Trouble",
    "Typed",
]
