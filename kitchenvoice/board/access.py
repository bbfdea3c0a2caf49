"""Who may see the board where others than this machine can reach it: a code from the terminal, once, for a cookie.

The code is random, works once, and is compared in constant time. After five wrong tries it is thrown away and the
door stays shut for a minute, twice as long each time after that. Which boards were let in is kept in the kitchen's
folder (as hashes), so that a tablet is back by itself after a power cut.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import json
import os
import secrets
from collections.abc import Callable
from pathlib import Path

from kitchenvoice.ports import Moment

__all__ = ["COOKIE_S", "AccessControl"]

TRIES = 5
SHUT_S = 60.0
LONGEST_SHUT_S = 3600.0
COOKIE_S = 48 * 3600
"""How long a board stays let in: a canning day, its night, and the count. A choice of ours, as are the three above."""
MOST_BOARDS = 16
_FILE = "boards.json"


class AccessControl:
    """The door of the board. `tell` is called with each new code; `folder` keeps who was let in, if given."""

    def __init__(self, now: Callable[[], Moment], tell: Callable[[str], None], folder: Path | None = None) -> None:
        self._now = now
        self._tell = tell
        self._path = None if folder is None else folder / _FILE
        self._known: dict[str, float] = self._read()
        self._wrong = 0
        self._shut_until = 0.0
        self._shut_times = 0
        self._code = ""
        self._draw()

    def _draw(self) -> None:
        self._code = f"{secrets.randbelow(10**8):08d}"
        self._wrong = 0
        self._tell(f"{self._code[:4]} {self._code[4:]}")

    @property
    def shut_s(self) -> float:
        """Seconds for which no code is taken."""
        return max(0.0, self._shut_until - self._now().elapsed)

    def enter(self, typed: str) -> str | None:
        """Take a code; return the cookie for the right one, `None` for a wrong one or while the door is shut."""
        if self.shut_s > 0:
            return None
        given = "".join(typed.split()).encode("utf-8", "replace")
        if not hmac.compare_digest(given, self._code.encode()):
            self._count_wrong()
            return None
        cookie = secrets.token_urlsafe(32)
        self._known[_hash(cookie)] = self._now().utc + COOKIE_S
        self._known = dict(list(self._known.items())[-MOST_BOARDS:])
        self._write()
        self._shut_times = 0
        self._draw()
        return cookie

    def knows(self, cookie: str) -> bool:
        """Tell whether a board with this cookie was let in, and not too long ago."""
        until = self._known.get(_hash(cookie))
        return until is not None and self._now().utc < until

    def _count_wrong(self) -> None:
        self._wrong += 1
        if self._wrong >= TRIES:
            shut_s = min(LONGEST_SHUT_S, SHUT_S * 2.0**self._shut_times)
            self._shut_until = self._now().elapsed + shut_s
            self._shut_times += 1
            self._draw()

    def _read(self) -> dict[str, float]:
        """Read who was let in; what can't be read counts as nobody."""
        try:
            kept = json.loads(self._path.read_text("utf-8")) if self._path is not None else {}
            return {str(name): float(until) for name, until in kept.items()}
        except (OSError, ValueError, TypeError, AttributeError):
            return {}

    def _write(self) -> None:
        """Keep who was let in; a folder that can't be written to only means a code again after a restart."""
        if self._path is None:
            return
        with contextlib.suppress(OSError):
            draft = self._path.with_suffix(".new")
            handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(self._known, file)
            draft.replace(self._path)


def _hash(cookie: str) -> str:
    return hashlib.sha256(cookie.encode("utf-8", "replace")).hexdigest()
