"""Cache of the compiled graph between starts, keyed by the fingerprint of its sources.

A damaged or truncated file, or one with another fingerprint, is a cache miss. A disk that refuses costs the time of
compiling it, nothing else. Limits: the checksum guards against damage, not against tampering.
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
"""Free space left on the disk for the record, which needs it more."""


def find_kept(folder: Path, fingerprint: str) -> bytes | None:
    """Return the content cached under this fingerprint; `None` if there is none, or it is damaged."""
    file = folder / f"{fingerprint}{_SUFFIX}"
    try:
        whole = read_small(file, _MOST_BYTES)
    except (OSError, ValueError):
        return None
    content = whole[_SUM_BYTES:]
    return content if whole[:_SUM_BYTES] == _sum(fingerprint, content) else None


def keep(folder: Path, fingerprint: str, content: bytes) -> None:
    """Cache this under its fingerprint, readable by its owner only, in place of the previous content.

    Nothing is cached on a disk that is nearly full.
    """
    with contextlib.suppress(OSError):
        if shutil.disk_usage(folder.parent).free < _LEFT_FREE_BYTES:
            return
        make_folder(folder)
        kept = folder / f"{fingerprint}{_SUFFIX}"
        replace_file(kept, _sum(fingerprint, content) + content, sync=False)
        for other in folder.glob(f"*{_SUFFIX}"):  # also a partial file of a start that was killed
            if other != kept:
                other.unlink()


def _sum(fingerprint: str, content: bytes) -> bytes:
    return sha256(fingerprint.encode() + content).digest()
