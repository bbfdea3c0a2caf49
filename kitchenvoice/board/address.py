"""Address of the board: local by default; any other address requires an access code."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

from kitchenvoice.errors import BadInput

__all__ = ["DEFAULT_ADDRESS", "BoardAddress", "read_address"]

DEFAULT_ADDRESS = "127.0.0.1:8420"
"""Default address. The port is arbitrary, free on a usual machine."""


@dataclass(frozen=True, slots=True)
class BoardAddress:
    """An address and a port; port 0 lets the system choose."""

    host: str
    port: int

    @property
    def is_local(self) -> bool:
        """True if only this machine can reach it."""
        if self.host == "localhost":
            return True
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False

    @property
    def is_any(self) -> bool:
        """True for "every address of this machine"."""
        return self.host in ("0.0.0.0", "::")

    @property
    def needs_code(self) -> bool:
        """True where others than this machine can reach it."""
        return not self.is_local

    @property
    def url(self) -> str:
        """The URL for a browser."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"http://{host}:{self.port}/"


def read_address(text: str) -> BoardAddress:
    """Read "ADDRESS:PORT", "ADDRESS", ":PORT" or "PORT". Raises: BadInput with the right form."""
    home, _, home_port = DEFAULT_ADDRESS.partition(":")
    host, port = _parts(text.strip())
    number = int(port or home_port) if (port or home_port).isdecimal() else -1
    if not 0 <= number <= 65535 or not _is_host(host or home):
        raise BadInput(f"{text} isn't an address for the board. Give an address and a port, such as 192.168.1.20:8420.")
    return BoardAddress(host or home, number)


def _is_host(host: str) -> bool:
    """True if this can be an address or a name; with a colon in it, it must be an IPv6 address."""
    if ":" in host:
        try:
            return ipaddress.ip_address(host.partition("%")[0]).version == 6
        except ValueError:
            return False
    return not any(sign.isspace() or sign in "/@?#[]" for sign in host)


def _parts(text: str) -> tuple[str, str]:
    """Split an address from its port; an IPv6 address is in brackets."""
    if text.isdecimal():
        return "", text
    if text.startswith("["):
        host, _, port = text[1:].partition("]")
        return host, port.removeprefix(":")
    host, _, port = text.rpartition(":") if text.count(":") == 1 else (text, "", "")
    return host, port
