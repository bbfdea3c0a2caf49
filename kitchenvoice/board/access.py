"""Access control for a board that other machines can reach: a one-time code from the terminal, exchanged for a cookie.

The code is random and compared in constant time. After five wrong tries from one address it is replaced and the address
is locked out for a minute, twice as long after each five more, up to an hour; other addresses may still try. While
wrong codes come from many addresses, each has one try. A guesser with all 254 addresses of a home network has some
9,000 tries in the first hour, of 100 million codes. The terminal's own machine is locked out for five seconds only: a
guesser there has 3,600 tries an hour. Hashes of the cookies are kept in the kitchen's folder, so that a tablet
reconnects by itself after a power cut.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import ipaddress
import json
import secrets
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from kitchenvoice.files import read_small, replace_file, set_aside
from kitchenvoice.ports import Moment

__all__ = ["COOKIE_S", "AccessControl", "network_of"]

TRIES = 5
SHUT_S = 60.0
LONGEST_SHUT_S = 3600.0
HERE_SHUT_S = 5.0
COOKIE_S = 48 * 3600
"""Lifetime of a cookie: a canning day, its night, and the count. A judgement, as are the four above."""
MOST_BOARDS = 16
MOST_ADDRESSES = 1000
WRONG_A_MINUTE = 20
_MOST_BYTES = 64 * 1024
_FILE = "boards.json"
_LIST_LOST = "The list of tablets that had a code can't be read. Each needs a new code."


@dataclass(slots=True)
class _Tries:
    """Wrong codes of one address so far, and the end of its lock-out."""

    wrong: int = 0
    shut_until: float = 0.0


class AccessControl:
    """Access codes and cookies of the board.

    `tell` is called with each new code, `warn` with a sentence when somebody guesses or the list of tablets is lost;
    `folder`, if given, keeps the hashes of the cookies.
    """

    def __init__(
        self,
        now: Callable[[], Moment],
        tell: Callable[[str], None],
        folder: Path | None = None,
        warn: Callable[[str], None] = lambda _: None,
    ) -> None:
        self._now = now
        self._tell = tell
        self._warn = warn
        self._path = None if folder is None else folder / _FILE
        self._known: dict[str, float] = self._read()
        self._tries: dict[str, _Tries] = {}
        self._wrong_at: deque[float] = deque(maxlen=WRONG_A_MINUTE)
        self._siege_told = float("-inf")
        self._code = ""
        self._draw()

    def _draw(self) -> None:
        self._code = f"{secrets.randbelow(10**8):08d}"
        self._tell(f"{self._code[:4]} {self._code[4:]}")

    def shut_s(self, address: str) -> float:
        """Seconds of lock-out left for this address."""
        tries = self._tries.get(network_of(address))
        return 0.0 if tries is None else max(0.0, tries.shut_until - self._now().elapsed)

    def enter(self, typed: str, address: str, *, here: bool = False) -> str | None:
        """Check a code; return a cookie for the right one, `None` for a wrong one or from an address locked out.

        `here` means that it was typed at the terminal's own machine.
        """
        if self.shut_s(address) > 0 or (self._is_besieged() and network_of(address) in self._tries and not here):
            return None
        given = "".join(typed.split()).encode("utf-8", "replace")
        if not hmac.compare_digest(given, self._code.encode()):
            self._count_wrong(address, here=here)
            return None
        cookie = secrets.token_urlsafe(32)
        self._known[_hash(cookie)] = self._now().utc + COOKIE_S
        self._known = dict(list(self._known.items())[-MOST_BOARDS:])
        self._write()
        self._tries.pop(network_of(address), None)
        self._draw()
        return cookie

    def knows(self, cookie: str) -> bool:
        """True if this cookie was issued and hasn't expired."""
        until = self._known.get(_hash(cookie))
        return until is not None and self._now().utc < until

    def _count_wrong(self, address: str, *, here: bool) -> None:
        now = self._now().elapsed
        tries = self._tries.setdefault(network_of(address), _Tries())
        tries.wrong += 1
        if not here:
            self._wrong_at.append(now)
        if tries.wrong % TRIES == 0:
            longest = HERE_SHUT_S if here else LONGEST_SHUT_S
            tries.shut_until = now + min(longest, SHUT_S * 2.0 ** (tries.wrong // TRIES - 1))
            self._warn(f"Somebody at {address} typed a wrong code for the board {tries.wrong} times.")
            self._draw()
        if self._is_besieged() and now - self._siege_told >= LONGEST_SHUT_S:
            self._siege_told = now
            self._warn(f"Wrong codes for the board come from several addresses, {WRONG_A_MINUTE} within a minute.")
        while len(self._tries) > MOST_ADDRESSES:
            self._tries.pop(next(iter(self._tries)))

    def _is_besieged(self) -> bool:
        """True if so many wrong codes came in the last minute that each address has one try only."""
        return len(self._wrong_at) == WRONG_A_MINUTE and self._now().elapsed - self._wrong_at[0] < SHUT_S

    def _read(self) -> dict[str, float]:
        """Read the hashes; an unreadable file is set aside and counts as empty."""
        if self._path is None:
            return {}
        try:
            kept = json.loads(read_small(self._path, _MOST_BYTES))
            return {str(name): float(until) for name, until in kept.items()}
        except FileNotFoundError:
            pass
        except (OSError, ValueError, TypeError, AttributeError, OverflowError, RecursionError):
            set_aside(self._path)
            self._warn(_LIST_LOST)
        return {}

    def _write(self) -> None:
        """Save the hashes; with a read-only folder, boards need a new code after a restart."""
        if self._path is None:
            return
        with contextlib.suppress(OSError):
            replace_file(self._path, json.dumps(self._known).encode())


@lru_cache(maxsize=1024)
def network_of(address: str) -> str:
    """The address; for IPv6 its /64 network, of which one machine may take any address."""
    try:
        number = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    return str(ipaddress.ip_network((number, 64), strict=False)) if number.version == 6 else str(number)


def _hash(cookie: str) -> str:
    return hashlib.sha256(cookie.encode("utf-8", "replace")).hexdigest()
