"""Cache of rendered sentences."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound

__all__ = ["REMEMBERED_S", "Memory", "prepared"]

REMEMBERED_S = 300.0
"""Capacity in seconds of speech: 13 MB. 256 sentences of any length were some 100 MB after three hours of answers
(`scripts/bench_hours`)."""


class Memory:
    """Least-recently-used cache of sounds, at most `most_s` seconds in all. Thread-safe."""

    def __init__(self, most_s: float = REMEMBERED_S) -> None:
        """Start empty."""
        self._most_s = most_s
        self._kept_s = 0.0
        self._sounds: OrderedDict[Hashable, Sound] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Sound]) -> Sound:
        """Return the sound of this key; `make` it on a miss. Raises: what `make` does."""
        with self._lock:
            known = self._sounds.get(key)
            if known is not None:
                self._sounds.move_to_end(key)
                return known
        sound = make()
        with self._lock:
            if key not in self._sounds:  # another thread may have made it meanwhile
                self._sounds[key] = sound
                self._kept_s += sound.seconds
            while self._kept_s > self._most_s:
                self._kept_s -= self._sounds.popitem(last=False)[1].seconds
        return sound


def prepared(render: Callable[[str], Sound], texts: Iterable[str]) -> int:
    """Render texts ahead of time, until a voice fails; return how many are ready."""
    ready = 0
    for text in texts:
        try:
            render(text)
        except VoiceMissing:
            break
        ready += 1
    return ready
