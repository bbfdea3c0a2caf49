"""Size-limited reads of regular files, so that a read neither blocks on a pipe nor fills the memory."""

from __future__ import annotations

import os
import stat
from pathlib import Path

__all__ = ["read_small"]


def read_small(path: Path, most_bytes: int) -> bytes:
    """Return the content of a regular file of at most `most_bytes`.

    Raises: OSError; ValueError with the reason, such as "isn't an ordinary file", to be put after its name.
    """
    handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY | os.O_CLOEXEC)  # doesn't block on a pipe
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise ValueError("isn't an ordinary file")
        with os.fdopen(handle, "rb", closefd=False) as file:
            content = file.read(most_bytes + 1)
    finally:
        os.close(handle)
    if len(content) > most_bytes:
        raise ValueError(f"is longer than {most_bytes:,} bytes")
    return content
