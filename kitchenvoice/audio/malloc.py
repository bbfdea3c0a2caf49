"""One malloc arena for all threads, and free memory returned to the system, where the C library can.

The C library may give each new thread its own arena, which keeps its peak size after the thread has ended. The second
pass runs in short-lived threads, so a session grew by 10 MB at a time whenever other threads had started in between:
from 235 to 343 MB in ten rounds of eight doubtful utterances, from 231 to 238 MB with one arena (two cores).
"""

from __future__ import annotations

import ctypes

__all__ = ["give_back_memory", "share_one_store"]

_M_ARENA_MAX = -8
"""From malloc.h of the GNU C library; see mallopt(3)."""


def share_one_store() -> bool:
    """Make all threads share one arena; False where the C library has no such setting.

    It applies to threads started later, so call it before the engine, the voice and the sound system are loaded.
    """
    try:
        mallopt = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError):
        return False
    return bool(mallopt(_M_ARENA_MAX, 1))


def give_back_memory() -> bool:
    """Return free memory to the system; False if there was none, or the C library has no such call.

    By itself the heap shrinks only from its top, which is hardly ever free. Takes a few milliseconds.
    """
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError):
        return False
    return bool(trim(0))
