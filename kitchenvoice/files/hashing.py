"""Cache keys made from files."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path

__all__ = ["content_hash"]


def content_hash(paths: Iterable[Path], *more: str) -> str:
    """SHA-256 over files' names and contents and over `more`, used as a cache key; `""` if a file can't be read."""
    whole = sha256()
    try:
        for path in sorted(paths):
            whole.update(f"{path.name} {sha256(path.read_bytes()).hexdigest()}\n".encode())
    except OSError:
        return ""
    whole.update(repr(more).encode())
    return whole.hexdigest()
