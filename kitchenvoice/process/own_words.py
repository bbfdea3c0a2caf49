"""What is published of the food itself, before its jars are filled, in bits that can be heard.

A cook keeps about thirty five words in mind (common practice, no source). What is longer, with the acid that goes in by
it, is said in steps of its own: what has to be minded first, then how the food is made. What is shorter stays with
the step that it belongs to.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from kitchenvoice.process.load_parts import Process

__all__ = ["Bit", "bits", "made_after"]

MOST_WORDS = 35
_SENTENCES = re.compile(r"(?<=[.!?])\s+")


class Bit(NamedTuple):
    """A few sentences; `mind` if they caution, not if they only say how the food is made."""

    text: str
    mind: bool


@lru_cache(maxsize=256)
def bits(process: Process) -> tuple[Bit, ...]:
    """Return what is said in steps of its own: nothing where it is short. Of a ferment how it is made comes later."""
    made, mind = process.cautions[:1], process.cautions[1:]
    if not _long(process):
        return ()
    before = () if made_after(process) else made
    return (*(Bit(each, True) for each in _split(mind)), *(Bit(each, False) for each in _split(before)))


def made_after(process: Process) -> bool:
    """True if how it is made is a step of its own after the acid: of a ferment, which made the acid."""
    return process.acid_in == "ferment" and _long(process) and bool(process.cautions)


def _long(process: Process) -> bool:
    return _count(" ".join((*process.cautions, process.acid))) > MOST_WORDS


def _split(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Put whole sentences together as long as they are few words."""
    said: list[str] = []
    for each in _SENTENCES.split(" ".join(texts)):
        if said and _count(f"{said[-1]} {each}") <= MOST_WORDS:
            said[-1] = f"{said[-1]} {each}"
        elif each:
            said.append(each)
    return tuple(said)


def _count(text: str) -> int:
    return len(text.split())
