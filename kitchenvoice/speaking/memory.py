"""The sentences of the day, remembered once they were rendered."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound

__all__ = ["Memory", "prepared"]


class Memory:
    """The sounds last asked for, at most `size` of them. Safe to use from several threads."""

    def __init__(self, size: int) -> None:
        """Remember nothing yet."""
        self._size = size
        self._sounds: OrderedDict[Hashable, Sound] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Sound]) -> Sound:
        """Return the sound of this key; `make` it if it isn't remembered. Raises: what `make` does."""
        with self._lock:
            known = self._sounds.get(key)
            if known is not None:
                self._sounds.move_to_end(key)
                return known
        sound = make()
        with self._lock:
            self._sounds[key] = sound
            while len(self._sounds) > self._size:
                self._sounds.popitem(last=False)
        return sound


def prepared(render: Callable[[str], Sound], texts: Iterable[str]) -> int:
    """Render texts before they are needed, until a voice fails; return how many are ready."""
    ready = 0
    for text in texts:
        try:
            render(text)
        except VoiceMissing:
            break
        ready += 1
    return ready
