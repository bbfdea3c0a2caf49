"""A finished file kept from one start to the next, under the fingerprint of what it was made of.

What is damaged, cut short or of another fingerprint isn't found, and is made anew. A disk that refuses costs the time
of making it, nothing else. Limits: the sum guards against damage, not against somebody who rewrites the file.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from hashlib import sha256
from pathlib import Path

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
        if not file.is_file() or file.stat().st_size > _MOST_BYTES:
            return None
        whole = file.read_bytes()
    except OSError:
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
        folder.mkdir(mode=0o700, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".new-", suffix=_SUFFIX, dir=folder)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(_sum(fingerprint, content) + content)
            kept = Path(name).replace(folder / f"{fingerprint}{_SUFFIX}")
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        for other in folder.glob(f"*{_SUFFIX}"):  # a half-written one of a start that was killed, too
            if other != kept:
                other.unlink()


def _sum(fingerprint: str, content: bytes) -> bytes:
    return sha256(fingerprint.encode() + content).digest()
