"""A finished file kept from one start to the next, under the fingerprint of what it was made of.

What is damaged, cut short or of another fingerprint isn't found, and is made anew. A disk that refuses costs the time
of making it, nothing else. Limits: the sum guards against damage, not against somebody who rewrites the file.
"""

from __future__ import annotations

import contextlib
import shutil
from hashlib import sha256
from pathlib import Path

from kitchenvoice.files import make_folder, read_small, replace_file

__all__ = ["find_kept", "keep"]

_SUFFIX = ".kept"
_MOST_BYTES = 64_000_000
_SUM_BYTES = 32
_LEFT_FREE_BYTES = 100_000_000
"""So much of the disk is left for the record, which needs it more."""


def find_kept(folder: Path, fingerprint: str) -> bytes | None:
    """Return what was kept under this fingerprint; `None` if nothing was, or not whole."""
    file = folder / f"{fingerprint}{_SUFFIX}"
    try:
        whole = read_small(file, _MOST_BYTES)
    except (OSError, ValueError):
        return None
    content = whole[_SUM_BYTES:]
    return content if whole[:_SUM_BYTES] == _sum(fingerprint, content) else None


def keep(folder: Path, fingerprint: str, content: bytes) -> None:
    """Keep this under its fingerprint, for the owner alone, in place of what was kept before.

    On a disk that is nearly full nothing is kept.
    """
    with contextlib.suppress(OSError):
        if shutil.disk_usage(folder.parent).free < _LEFT_FREE_BYTES:
            return
        make_folder(folder)
        kept = folder / f"{fingerprint}{_SUFFIX}"
        replace_file(kept, _sum(fingerprint, content) + content, sync=False)
        for other in folder.glob(f"*{_SUFFIX}"):  # a half-written one of a start that was killed, too
            if other != kept:
                other.unlink()


def _sum(fingerprint: str, content: bytes) -> bytes:
    return sha256(fingerprint.encode() + content).digest()
