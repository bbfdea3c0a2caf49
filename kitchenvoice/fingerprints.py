"""Name what something was made of, so that it can be kept and found again: other files, another name."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path

__all__ = ["fingerprint_of"]


def fingerprint_of(paths: Iterable[Path], *more: str) -> str:
    """Return the SHA-256 of the files' names and contents and of `more`; `""` if a file can't be read."""
    whole = sha256()
    try:
        for path in sorted(paths):
            whole.update(f"{path.name} {sha256(path.read_bytes()).hexdigest()}\n".encode())
    except OSError:
        return ""
    whole.update(repr(more).encode())
    return whole.hexdigest()
