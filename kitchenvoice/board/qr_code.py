"""The board's address as a QR code in the terminal, to be read by the tablet's camera."""

from __future__ import annotations

from io import StringIO

import segno

__all__ = ["qr_code"]

_COLOURS = "\x1b[97;40m{line}\x1b[0m"
"""White on black, whatever the terminal's own colours are: a reader wants dark modules on a light ground."""


def qr_code(url: str) -> str:
    """Return the code (ISO/IEC 18004) as lines of half blocks, two modules a character in height."""
    drawn = StringIO()
    segno.make_qr(url).terminal(drawn, compact=True)
    return "\n".join(_COLOURS.format(line=line) for line in drawn.getvalue().splitlines())
